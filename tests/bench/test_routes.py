"""The bench: what is in hand, in what order, and the same as CSV."""

from datetime import date, datetime

from app.bench.queries import bench_sheet
from app.bench.rules import BenchOrder, order_asked_for
from app.database.unit_of_work import Ledger
from app.pieces.actions import leave, note_next
from app.pieces.rules import Leaving, Stage
from app.recipes.rules import Part
from app.timelog.rules import Activity
from tests.bench.hands import HOUR, SAND, a_drying_job, a_job, begin
from tests.builders.finishes import a_coat
from tests.builders.floor import a_listed_piece
from tests.builders.pieces import a_piece
from tests.builders.sales import a_sold_piece
from tests.builders.shelf import a_stocked_material
from tests.builders.timelog import a_time
from tests.examining_client import ExaminingClient

TODAY = date(2026, 11, 25)


def test_the_bench_holds_what_is_in_hand_and_nothing_else(ledger: Ledger, shop: object, now: datetime) -> None:  # noqa: ARG001
    with ledger.writing() as session:
        wanted = {a_piece(session, stage=stage).id for stage in (Stage.SOURCED, Stage.PREPPED, Stage.FINISHED)}
        a_listed_piece(session)
        a_sold_piece(session)
        gone = a_piece(session)
        leave(session, gone.id, Leaving.KEPT, on_date=TODAY, reason="", version=None, now=now)
        sheet = bench_sheet(session, now, TODAY)
    assert {card.piece.id for card in sheet.cards} == wanted
    assert [group.stage for group in sheet.groups] == [Stage.SOURCED, Stage.PREPPED, Stage.FINISHED]


def test_a_card_counts_days_minutes_and_the_last_work(ledger: Ledger, shop: object, now: datetime) -> None:  # noqa: ARG001
    with ledger.writing() as session:
        piece = a_piece(session, bought_on=date(2026, 11, 1), stage=Stage.PREPPED, stage_on=date(2026, 11, 20))
        a_time(session, piece.id, minutes=20, on_date=date(2026, 11, 18))
        a_time(session, piece.id, minutes=25, on_date=date(2026, 11, 22), activity=Activity.REPAIR)
        [card] = bench_sheet(session, now, TODAY).cards
    assert (card.days_here, card.days_at_stage, card.minutes) == (24, 5, 45)
    assert card.last_work is not None
    assert (card.last_work.activity, card.last_work.on_date) == (Activity.REPAIR, date(2026, 11, 22))


def test_each_order_puts_its_own_first(ledger: Ledger, shop: object, now: datetime) -> None:  # noqa: ARG001
    with ledger.writing() as session:
        old = a_piece(session, title="Zebra", bought_on=date(2026, 10, 1), stage=Stage.PREPPED, stage_on=TODAY)
        slow = a_piece(
            session, title="Middle", bought_on=date(2026, 11, 1), stage=Stage.PREPPED, stage_on=date(2026, 11, 2)
        )
        named = a_piece(session, title="apple", bought_on=date(2026, 11, 20), stage=Stage.PREPPED)
        a_time(session, named.id, on_date=date(2026, 11, 21))
        a_time(session, slow.id, on_date=date(2026, 11, 20))
        first = {order: bench_sheet(session, now, TODAY, order).cards[0].piece.id for order in BenchOrder}
    assert first == {
        BenchOrder.STAGE_LONGEST: slow.id,
        BenchOrder.OLDEST: old.id,
        BenchOrder.LAST_WORKED: named.id,
        BenchOrder.LEAST_WORKED: old.id,
        BenchOrder.NAME: named.id,
    }


def test_an_order_nobody_knows_is_the_usual_one() -> None:
    assert order_asked_for("sideways") is order_asked_for(None) is BenchOrder.STAGE_LONGEST
    assert order_asked_for("name") is BenchOrder.NAME


def test_an_empty_bench_says_what_to_do(client: ExaminingClient) -> None:
    page = client.get("/bench").text
    assert "The bench is clear" in page
    assert 'href="/find"' in page


def test_a_card_leads_to_its_sheet_and_to_its_next_note(client: ExaminingClient, ledger: Ledger, now: datetime) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, title="Chest & <drawers>")
        note_next(session, piece.id, "Glue the runner", version=None, now=now)
    page = client.get("/bench").text
    assert f'href="/pieces/{piece.tag}"' in page
    assert f'href="/pieces/{piece.tag}/next"' in page
    assert "Glue the runner" in page
    assert "Chest &amp; &lt;drawers&gt;" in page


def test_the_bench_as_csv_has_one_row_for_each_piece(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, title="=cmd()", bought_on=date(2026, 11, 1))
    lines = client.get("/bench.csv").text.splitlines()
    assert lines[0].startswith("Tag,Piece,Form")
    assert lines[1].startswith(f"{piece.tag},'=cmd(),Chest of drawers,1,Sourced,2026-11-01,24")
    assert len(lines) == 2


def test_the_bench_asks_no_more_queries_for_ten_times_the_pieces(client: ExaminingClient, ledger: Ledger) -> None:
    def fill(number: int) -> None:
        with ledger.writing() as session:
            paint = a_stocked_material(session, f"Paint {number}")
            for _ in range(number):
                a_time(session, a_piece(session).id, minutes=1)
                _, steps = a_job(session, SAND, a_coat(Part.BODY, material_id=paint.id), a_coat(Part.TOP))
                begin(session, steps[0])
                a_drying_job(session, a_coat(material_id=paint.id, coats=2))
                a_drying_job(session, a_coat(material_id=paint.id, coats=2), ago=6 * HOUR)

    fill(3)
    client.get("/bench")
    asked = client.queries
    fill(27)
    client.get("/bench")
    assert client.queries == asked
