"""A find that cost nothing, from the kerb to its sale; and a set bought in a closed month that is split later."""

from datetime import date, datetime

from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.database.unit_of_work import Ledger
from app.desk.actions import split_set
from app.desk.rules import SplitBy, WishedPart, WishedSplit
from app.pieces.models import Piece
from app.pieces.queries import piece_rows, purchases_of
from app.pieces.rules import PurchaseKind
from app.reports.queries import closing_findings, figures_of, profit_of_piece, prove_ledger, stock_of_piece
from app.shop.queries import closed_months
from tests.builders.closing import closed_up_to
from tests.builders.pieces import a_piece, a_source
from tests.builders.reports import sold, spent
from tests.examining_client import ExaminingClient

TODAY = date(2026, 11, 25)


def test_a_free_find_earns_all_that_is_left_after_its_costs(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        kerb = a_source(session, "kerb", is_free=True)
    client.post_form("/find", {"form": "chest", "bought_on": "2026-10-02", "paid": "", "source": str(kerb.id)})
    with ledger.reading() as session:
        [found] = piece_rows(session)
    add = {"amount": "12.50", "kind": "materials", "on_date": "2026-10-05"}
    assert client.post_form(f"/pieces/{found.tag}/costs/new", add).status_code == 303
    with ledger.writing() as session:
        assert purchases_of(session, found.id)[0].kind is PurchaseKind.FREE
        assert stock_of_piece(session, found.id) == 1_250
        closed_up_to(session, Month(2026, 10))
        assert figures_of(session, Month(2026, 10)).stock == 1_250
        sold(session, session.get_one(Piece, found.id), date(2026, 11, 3), 9_000, fees=250)
        assert profit_of_piece(session, found.id).profit == 9_000 - 1_250 - 250
        assert [finding.name for finding in prove_ledger(session, TODAY) if not finding.holds] == []
    assert "$75.00" in client.get(f"/pieces/{found.tag}/profit").text


def test_a_set_bought_in_a_closed_month_is_split_in_the_open_one(session: Session, now: datetime) -> None:
    chairs = a_piece(session, count=4, price_cents=8_001, bought_on=date(2026, 9, 5))
    spent(session, chairs, date(2026, 10, 5), 999)
    closed_up_to(session, Month(2026, 10))
    wished = WishedSplit((WishedPart("Three", 3), WishedPart("One", 1)), SplitBy.EACH, date(2026, 11, 2))
    three, one = split_set(session, chairs.id, wished, now=now)
    assert (stock_of_piece(session, three.id), stock_of_piece(session, one.id)) == (6_750, 2_250)
    assert [figures_of(session, row.month).stock for row in closed_months(session)] == [8_001, 9_000]
    assert [name for name, was, says in closing_findings(session) if was != says] == []
    assert [finding.name for finding in prove_ledger(session, TODAY) if not finding.holds] == []
