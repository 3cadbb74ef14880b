"""Pages of the timelog room."""

from flask import Blueprint

bp = Blueprint("timelog", __name__, template_folder="templates")


def timer_strip() -> None:
    """The running clock, if one runs."""
