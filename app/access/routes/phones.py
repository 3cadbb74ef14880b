"""Pages of the phones and browsers that may open the shop: the list, one phone, its calendar, the end of each."""

from collections.abc import Callable, Mapping
from http import HTTPStatus

from flask import Flask, current_app, flash, g, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.access import actions, queries
from app.access.formats import square
from app.access.routes.blueprint import bp
from app.access.routes.certificate import trusted_here
from app.basics import clock
from app.database.unit_of_work import Session
from app.web.frame import ledger
from app.web.saving import SEE_OTHER, found

CountCaptures = Callable[[Session], Mapping[int, int]]
_COUNT = "tackcloth_captures_received"
NO_STORE = {"Cache-Control": "no-store"}


def count_captures_by(app: Flask, count: CountCaptures) -> None:
    """Say how it is known how many captures came from each phone: they are kept in a room above this one."""
    app.extensions[_COUNT] = count


def _captures(session: Session) -> Mapping[int, int]:
    count: CountCaptures = current_app.extensions[_COUNT]
    return count(session)


@bp.get("/settings/phones")
def phones() -> ResponseReturnValue:
    with ledger().reading() as session:
        is_locked = queries.passphrase_is_set(session)
        rows = queries.open_browsers(session, clock.now())
        home, captures = queries.home_address(session), _captures(session)
    return render_template(
        "access/phones.html",
        is_locked=is_locked,
        phones=[row for row in rows if row.is_phone],
        browsers=[row for row in rows if not row.is_phone],
        has_others=any(row.id != g.get("browser_id") for row in rows),
        captures=captures,
        here_id=g.get("browser_id"),
        home=home,
        trust=trusted_here(),
    )


@bp.get("/settings/phones/<int:browser_id>")
def phone(browser_id: int) -> ResponseReturnValue:
    return _phone_page(browser_id)


@bp.post("/settings/phones/<int:browser_id>/calendar")
def make_calendar(browser_id: int) -> ResponseReturnValue:
    with ledger().writing() as session:
        secret = actions.make_calendar_feed(session, browser_id, now=clock.now())
    return _phone_page(browser_id, secret), HTTPStatus.OK, NO_STORE


@bp.post("/settings/phones/<int:browser_id>/calendar/end")
def end_calendar(browser_id: int) -> ResponseReturnValue:
    with ledger().writing() as session:
        actions.end_calendar_feed(session, browser_id, now=clock.now())
    flash("The calendar address is ended: nothing can be read at it any more.")
    return redirect(url_for("access.phone", browser_id=browser_id), SEE_OTHER)


def _phone_page(browser_id: int, secret: str | None = None) -> str:
    with ledger().reading() as session:
        row = found(queries.browser_row(session, browser_id, clock.now()))
        home, captures = queries.home_address(session), _captures(session)
    path = url_for("bench.feed", secret=secret) if secret else None
    address = home.secure(path) if home and path else None
    return render_template(
        "access/phone.html",
        row=row,
        captures=captures.get(row.id, 0),
        is_here=row.id == g.get("browser_id"),
        home=home,
        address=address,
        plain_address=home.plain(path) if home and path else None,
        drawn=square(address, "The calendar address, to scan") if address else None,
    )


@bp.post("/settings/phones/<int:browser_id>/end")
def end_browser(browser_id: int) -> ResponseReturnValue:
    with ledger().writing() as session:
        name = actions.end_browser(session, browser_id, now=clock.now())
    flash(f"Out from now on: {name}.")
    return redirect(url_for("access.phones"), SEE_OTHER)


@bp.post("/settings/phones/end-others")
def end_others() -> ResponseReturnValue:
    with ledger().writing() as session:
        count = actions.end_other_browsers(session, g.get("browser_id") or 0, now=clock.now())
    flash(f"Out from now on: {count} {'other' if count == 1 else 'others'}.")
    return redirect(url_for("access.phones"), SEE_OTHER)
