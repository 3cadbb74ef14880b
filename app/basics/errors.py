"""The errors every room may raise, each carrying a sentence the owner can read."""

from collections.abc import Mapping
from types import MappingProxyType


class TackclothError(Exception):
    """Anything the ledger refuses; `message` says it in plain words for the owner."""

    def __init__(self, message: str) -> None:
        """Keep the sentence that will be shown."""
        super().__init__(message)
        self.message = message


class RuleError(TackclothError):
    """Something the ledger does not allow was asked for; `field` names the form field where it is shown."""

    def __init__(self, message: str, field: str | None = None) -> None:
        """Keep the sentence and, where one field is at fault, that field's name."""
        super().__init__(message)
        self.field = field


class StaleEdit(TackclothError):
    """The row changed after the form was made; `now_values` holds what stands there now, by label."""

    def __init__(self, what: str, now_values: Mapping[str, str], version: int | None = None) -> None:
        """Name what changed, keep a read-only copy of what it says now and the version it stands at."""
        super().__init__(f"The {what} was changed after you opened this page. Nothing has been saved yet.")
        self.what = what
        self.version = version
        self.now_values: Mapping[str, str] = MappingProxyType(dict(now_values))


class NotFound(TackclothError):
    """The thing asked for is not in the ledger."""

    def __init__(self, what: str) -> None:
        """Name what was looked for."""
        super().__init__(f"There is no such {what} in the ledger.")
        self.what = what
