"""Where a find came from: chips, none of which must be tapped."""

from wtforms import Field, RadioField
from wtforms.validators import ValidationError


def require_offered(_form: object, field: Field) -> None:
    """Refuse a place that was not offered; nothing tapped is a place nobody noted."""
    if field.data and field.data not in {value for value, *_ in field.iter_choices()}:
        raise ValidationError("Choose from the places shown.")


def source_field() -> RadioField:
    """The chips; the places are offered later."""
    return RadioField("Where from", [require_offered], choices=[], default="", validate_choice=False)


def source_id_of(field: Field) -> int | None:
    """The place as tapped; None when none was."""
    return int(field.data) if field.data else None
