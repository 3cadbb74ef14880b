"""Change the books: one verb each; none of them commits."""

from app.reports.actions.closing import close_month

__all__ = ["close_month"]
