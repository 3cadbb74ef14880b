"""The blueprint of the room, and how its quantities and averages read on a page."""

from flask import Blueprint

from app.shelf.queries import MaterialRow
from app.shelf.rules import Unit, average_cents, format_quantity, priced_measure
from app.web.filters import money
from app.web.frame import frame

bp = Blueprint("shelf", __name__, template_folder="../templates")


@bp.app_template_filter("quantity")
def quantity(milli: int, unit: Unit) -> str:
    """Thousandths of a unit in the shop's measures."""
    return format_quantity(milli, unit, frame().units)


@bp.app_template_filter("average")
def average(row: MaterialRow) -> str:
    """What a quart, a pound or one of it costs now; nothing where none is left."""
    if row.average is None:
        return ""
    cents, measure = average_cents(row.average, row.unit, frame().units), priced_measure(row.unit, frame().units)
    return f"{money(cents)} {'each' if measure == 'each' else f'a {measure}'}"
