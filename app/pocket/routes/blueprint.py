"""The blueprint that the pages of the pocket hang on, and the addresses it leads to."""

from flask import Blueprint, url_for

from app.basics.dates import Month
from app.pocket.rules import CaptureKind, Made
from app.timelog.rules import first_of_week

bp = Blueprint("pocket", __name__, template_folder="../templates")


def made_href(made: Made) -> str:
    """Where what was made of a capture is seen."""
    if made.kind is CaptureKind.FIND:
        return url_for("desk.sheet", tag=made.tag)
    if made.kind is CaptureKind.COST:
        month = str(Month.of(made.on_date))
        return url_for("costs.of_piece", tag=made.tag) if made.tag else url_for("costs.shop_costs", month=month)
    week = first_of_week(made.on_date)
    return url_for("timelog.of_piece", tag=made.tag) if made.tag else url_for("timelog.log", week=week)
