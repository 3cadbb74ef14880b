"""The one place that asks the system what time it is."""

from datetime import UTC, datetime


def now() -> datetime:
    """The present instant in UTC; everything else in the ledger is handed its time."""
    return datetime.now(UTC)  # noqa: TID251 - this module is the one exception
