"""The year an address asks for."""

from flask import abort, request

from app.basics.dates import FIRST_YEAR, LAST_YEAR
from app.web.frame import frame


def known_year(year: int) -> int:
    """The year itself; there is no page for one the ledger cannot hold."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        abort(404)
    return year


def asked_year() -> int:
    """The year that `?year=` asks for, the present one without it or where it is none."""
    words = request.args.get("year", "")
    year = int(words) if words.isascii() and words.isdigit() and len(words) == len(str(LAST_YEAR)) else 0
    return year if FIRST_YEAR <= year <= LAST_YEAR else frame().today.year
