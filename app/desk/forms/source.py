"""Where a find came from: chips, none of which must be tapped."""

from typing import Any

from wtforms import RadioField
from wtforms.validators import ValidationError


class SourceField(RadioField):
    """A kind of place by its id; nothing tapped is a place nobody noted."""

    def __init__(self, label: str = "Where from", **kwargs: Any) -> None:
        super().__init__(label, choices=[], default="", validate_choice=False, **kwargs)

    @property
    def source_id(self) -> int | None:
        """The place as tapped; None when none was."""
        return int(self.data) if self.data else None

    def pre_validate(self, form: Any) -> None:  # noqa: ARG002
        """Refuse a place that was not offered."""
        if self.data and self.data not in {value for value, *_ in self.iter_choices()}:
            raise ValidationError("Choose from the places shown.")
