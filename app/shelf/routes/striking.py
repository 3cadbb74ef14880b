"""Pages for striking out what was bought, used or counted; each shows what other charges that changes."""

from collections.abc import Callable
from typing import Any

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import RuleError
from app.database.unit_of_work import Session
from app.shelf import actions, queries
from app.shelf.forms import StrikeRowForm
from app.shelf.queries import ChangeLine, ShelfLine
from app.shelf.routes.blueprint import bp
from app.shelf.rules import RowKind, mark_of
from app.web.filters import is_closed
from app.web.frame import ledger
from app.web.saving import save

Act = Callable[..., Any]


@bp.route("/shelf/purchases/<int:purchase_id>/strike", methods=["GET", "POST"])
def strike_purchase(purchase_id: int) -> ResponseReturnValue:
    return _strike(RowKind.BOUGHT, purchase_id, actions.strike_purchase)


@bp.route("/shelf/uses/<int:use_id>/strike", methods=["GET", "POST"])
def strike_use(use_id: int) -> ResponseReturnValue:
    return _strike(RowKind.USED, use_id, actions.strike_use)


@bp.route("/shelf/counts/<int:count_id>/strike", methods=["GET", "POST"])
def strike_count(count_id: int) -> ResponseReturnValue:
    return _strike(RowKind.COUNTED, count_id, actions.strike_count)


def _strike(kind: RowKind, row_id: int, act: Act) -> ResponseReturnValue:
    with ledger().reading() as session:
        line = queries.line_by_id(session, kind, row_id)
    form = StrikeRowForm.from_request()
    agreed = form.agreed_mark
    back = url_for("shelf.material", material_id=line.material_id)

    def again() -> str:
        changes, mark, hindrance = _changes(line)
        form.agree_on(mark)
        return render_template(
            "shelf/strike.html", form=form, line=line, back=back, changes=changes, hindrance=hindrance
        )

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: act(session, row_id, reason=form.reason.data, agreed=agreed, now=clock.now()),
        to=lambda _row: back,
        again=again,
        done="It is struck out. It counts no more.",
    )


def _changes(line: ShelfLine) -> tuple[list[ChangeLine], str, str]:
    """The other charges that striking a row out changes, their mark, and what stands in its way."""
    if line.is_struck or is_closed(line.on):
        return [], "", ""
    with ledger().reading() as session:
        return _told(session, line)


def _told(session: Session, line: ShelfLine) -> tuple[list[ChangeLine], str, str]:
    try:
        others = queries.plan_without(session, line.material_id, line.key).others
    except RuleError as refusal:
        return [], "", refusal.message
    return queries.change_lines(session, others), mark_of(others), ""
