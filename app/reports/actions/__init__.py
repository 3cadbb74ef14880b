"""Change the books: one verb each; none of them commits."""

from app.reports.actions.closing import close_month
from app.reports.actions.statements import keep_statement
from app.reports.actions.writing_down import strike_write_down, write_down

__all__ = ["close_month", "keep_statement", "strike_write_down", "write_down"]
