"""What the reckoning is read from: rows that count, in the order they happened, in a fixed number of queries."""

from collections.abc import Callable
from datetime import date
from functools import partial

import pytest
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound
from app.costs.actions import strike_cost
from app.costs.rules import CostKind
from app.floor.actions import change_price, end_listing
from app.floor.rules import Ending
from app.pieces.actions import bring_back, correct_paid, leave, split_off, step_back
from app.pieces.rules import Leaving, SplitPart, Stage
from app.reports import queries
from app.reports.rules import MOVED, PREMIUM, PRICE, SOLD, TAX, PieceLedger
from app.sales.actions import strike_return, strike_sale
from app.timelog.actions import strike_time
from tests.builders.pieces import a_haul, a_piece, an_owned_piece
from tests.builders.reports import NOW, a_round, came_back, found, listed, sold, spent, worked
from tests.conftest import SHOP
from tests.reports.counting import a_shop_beside, a_shop_of, queries_of

FOUND = date(2026, 10, 3)
LATER = date(2026, 10, 20)
NOVEMBER = date(2026, 11, 5)
TODAY = date(2026, 11, 25)


def the_ledger(session: Session, piece_id: int) -> PieceLedger:
    return queries.ledger_of_piece(session, piece_id)


def costs(ledger: PieceLedger) -> dict[str, int]:
    return {cost.kind: cost.cents for cost in ledger.costs}


def test_a_purchase_becomes_its_price_its_premium_and_its_tax(session: Session) -> None:
    piece = found(session, FOUND, 4_000, premium=500, tax=320)

    assert costs(the_ledger(session, piece.id)) == {PRICE: 4_000, PREMIUM: 500, TAX: 320}


def test_what_was_owned_when_the_shop_began_is_opening_stock_of_its_first_day(session: Session) -> None:
    piece = an_owned_piece(session, cost_cents=2_500)

    (cost,) = the_ledger(session, piece.id).costs

    assert (cost.kind, cost.cents, cost.on) == ("opening", 2_500, SHOP.started_on)


def test_a_piece_that_cost_nothing_is_in_stock_at_nothing(session: Session) -> None:
    piece = found(session, FOUND, 0)

    assert the_ledger(session, piece.id).costs == ()
    assert [(row.tag, row.cents) for row in queries.stock_rows(session, TODAY)] == [(piece.tag, 0)]


def test_struck_rows_are_nowhere_in_a_ledger(session: Session) -> None:
    piece = found(session, FOUND, 4_000)
    strike_cost(session, spent(session, piece, FOUND, 999).id, reason="typed twice", now=NOW)
    strike_time(session, worked(session, piece, FOUND, 99).id, reason="another day", now=NOW)
    strike_sale(session, sold(session, piece, LATER, 8_000).id, reason="another piece", now=NOW)
    bad = came_back(session, sold(session, piece, LATER, 9_000), LATER, 9_000)
    strike_return(session, bad.id, reason="they kept it", now=NOW)
    told = {"price_cents": 3_000, "premium_cents": 0, "tax_cents": 0, "on_date": FOUND, "reason": "misread"}
    correct_paid(session, piece.id, version=None, now=NOW, **told)  # type: ignore[arg-type]

    ledger = the_ledger(session, piece.id)

    assert costs(ledger) == {PRICE: 3_000}
    assert (ledger.times, ledger.returns) == ((), ())
    assert [sale.price for sale in ledger.sales] == [9_000]


def test_a_struck_shop_cost_is_not_in_the_month(session: Session) -> None:
    spent(session, None, NOVEMBER, 2_000)
    strike_cost(session, spent(session, None, NOVEMBER, 5_000).id, reason="not mine", now=NOW)

    assert queries.month_of(session, Month(2026, 11)).shop_costs.cents == -2_000


def test_sold_returned_and_sold_again_on_one_day_happened_in_that_order(session: Session) -> None:
    piece = found(session, FOUND, 4_000)
    strike_sale(session, sold(session, piece, LATER, 1_000).id, reason="another piece", now=NOW)
    first = sold(session, piece, LATER, 8_000)
    came_back(session, first, LATER, 8_000)
    second = sold(session, piece, LATER, 9_000)
    came_back(session, second, LATER, 2_000)
    sold(session, piece, LATER, 7_000)

    profit = queries.profit_of_piece(session, piece.id)

    assert (profit.state, profit.profit) == (SOLD, 8_000 - 8_000 + 9_000 - 2_000 + 7_000 - 4_000)
    assert queries.month_of(session, Month(2026, 10)).returned_count == 2


def test_left_brought_back_and_left_again_on_one_day_happened_in_that_order(session: Session) -> None:
    piece = found(session, FOUND, 4_000)
    told = {"on_date": LATER, "reason": "after all", "version": None, "now": NOW}
    leave(session, piece.id, Leaving.KEPT, **told)  # type: ignore[arg-type]
    bring_back(session, piece.id, **told)  # type: ignore[arg-type]
    leave(session, piece.id, Leaving.SCRAPPED, **told)  # type: ignore[arg-type]

    assert queries.profit_of_piece(session, piece.id).state == "scrapped"
    month = queries.month_of(session, Month(2026, 10))
    assert (month.kept.cents, month.line("scrapped").cents) == (0, -4_000)


def test_splitting_a_set_moves_cost_and_minutes_on_both_sides(session: Session) -> None:
    chairs = a_piece(session, count=4, price_cents=8_000, bought_on=FOUND)
    worked(session, chairs, FOUND, 100)
    parts = (SplitPart("Three", 3, 3), SplitPart("One", 1, 1))
    told = {"cents": 8_000, "minutes": 100, "on_date": LATER, "version": None, "now": NOW}
    one = split_off(session, chairs.id, parts, **told)[1]  # type: ignore[arg-type]

    giver, taker = the_ledger(session, chairs.id), the_ledger(session, one.id)

    assert costs(giver) == {PRICE: 8_000, MOVED: -2_000}
    assert costs(taker) == {MOVED: 2_000}
    assert (giver.minutes, taker.minutes) == (75, 25)
    assert [time.minutes for time in giver.times] == [100, -25]
    assert queries.stock_of_piece(session, chairs.id) + queries.stock_of_piece(session, one.id) == 8_000


def test_hours_never_fall_below_nothing_when_moved_work_is_struck_out_later(session: Session) -> None:
    chairs = a_piece(session, count=2, bought_on=FOUND)
    entry = worked(session, chairs, FOUND, 100)
    parts = (SplitPart("", 1, 1), SplitPart("", 1, 1))
    split_off(session, chairs.id, parts, cents=0, minutes=100, on_date=LATER, version=None, now=NOW)
    strike_time(session, entry.id, reason="another day", now=NOW)

    assert the_ledger(session, chairs.id).minutes == 0


def test_days_from_listing_run_from_the_first_time_on_the_floor(session: Session) -> None:
    piece = found(session, FOUND, 4_000)
    listed(session, piece, date(2026, 10, 5))
    told = {"on_date": date(2026, 10, 9), "reason": "other colour", "version": None, "now": NOW}
    step_back(session, piece.id, Stage.PREPPED, **told)  # type: ignore[arg-type]
    end_listing(session, piece.id, on_date=date(2026, 10, 9), ended_by=Ending.STEP_BACK, now=NOW)
    listed(session, piece, date(2026, 10, 15))
    sold(session, piece, date(2026, 10, 25), 9_000)

    days = queries.days_to_sale_of(session, TODAY)

    assert [piece.days for piece in days.from_listed.sold] == [20]
    assert [piece.days for piece in days.from_sourced.sold] == [22]


def test_a_month_reads_only_what_is_dated_in_it(session: Session) -> None:
    a_round(session, "October", FOUND, LATER)
    sale = a_round(session, "November", FOUND, NOVEMBER)

    month = queries.month_of(session, Month(2026, 11))

    assert [line.row.id for line in month.sales] == [sale.id]
    assert month.profit == 20_000 - 600 - 4_000 - 1_250


def test_each_kind_of_row_alone_brings_its_piece_into_the_month(session: Session) -> None:
    """Whatever is dated in a month is in it, though nothing else of that piece is."""
    early, told = date(2026, 8, 3), {"reason": "after all", "version": None, "now": NOW}
    bought = found(session, NOVEMBER, 100, "bought")
    cost = found(session, early, 100, "cost")
    spent(session, cost, NOVEMBER, 700)
    sale = found(session, early, 100, "sale")
    sold(session, sale, NOVEMBER, 900)
    back = found(session, early, 100, "back from a sale")
    came_back(session, sold(session, back, FOUND, 900), NOVEMBER, 900)
    left = found(session, early, 100, "left")
    leave(session, left.id, Leaving.KEPT, on_date=NOVEMBER, **told)  # type: ignore[arg-type]
    again = found(session, early, 100, "brought back")
    leave(session, again.id, Leaving.KEPT, on_date=FOUND, **told)  # type: ignore[arg-type]
    bring_back(session, again.id, on_date=NOVEMBER, **told)  # type: ignore[arg-type]
    chairs = a_piece(session, count=2, price_cents=100, bought_on=early)
    parts = (SplitPart("", 1, 1), SplitPart("", 1, 1))
    one = split_off(session, chairs.id, parts, cents=100, minutes=0, on_date=NOVEMBER, version=None, now=NOW)[1]
    a_round(session, "October", FOUND, LATER)
    pieces = {bought.id, cost.id, sale.id, back.id, left.id, again.id, chairs.id, one.id}

    assert set(queries.month_sheet(session, Month(2026, 11), Month(2026, 11)).names) == pieces


def test_left_and_brought_back_twice_each_coming_back_belongs_to_the_leaving_before_it(session: Session) -> None:
    piece = found(session, FOUND, 4_000)
    told = {"on_date": LATER, "reason": "after all", "version": None, "now": NOW}
    for how in (Leaving.KEPT, Leaving.GIVEN_AWAY):
        leave(session, piece.id, how, **told)  # type: ignore[arg-type]
        bring_back(session, piece.id, **told)  # type: ignore[arg-type]

    ledger = the_ledger(session, piece.id)

    assert [back.leaving for back in ledger.backs] == [leaving.row for leaving in ledger.leavings]
    places = [move.seq for pair in zip(ledger.leavings, ledger.backs, strict=True) for move in pair]
    assert places == sorted(set(places))
    assert 0 not in places


def test_the_months_known_run_from_the_first_row_to_the_last_without_a_gap(session: Session) -> None:
    assert queries.months_known(session) == []
    found(session, date(2026, 8, 30), 4_000)
    spent(session, None, NOVEMBER, 100)

    assert [str(month) for month in queries.months_known(session)] == ["2026-08", "2026-09", "2026-10", "2026-11"]


def test_many_months_at_once_are_the_months_one_by_one(session: Session) -> None:
    a_shop_of(session, 2)
    months = queries.months_known(session)

    assert queries.months_of(session, months) == [queries.month_of(session, month) for month in months]


def test_what_sits_too_long_is_asked_at_its_newest_price(session: Session) -> None:
    slow, quick = found(session, FOUND, 4_000, "Slow"), found(session, FOUND, 4_000, "Quick")
    listed(session, slow, FOUND, 20_000)
    listed(session, quick, LATER, 10_000)
    change_price(session, slow.id, asking_cents=18_000, on_date=LATER, note="", now=NOW)
    days = (TODAY - FOUND).days

    assert queries.sitting(session, TODAY, days + 1) == ()
    (row,) = queries.sitting(session, TODAY, days)
    assert (row.piece.title, row.piece.asking_cents, row.days) == ("Slow", 18_000, days)


def test_a_sold_piece_no_longer_sits(session: Session) -> None:
    a_round(session, "Sold", FOUND, NOVEMBER)

    assert queries.sitting(session, TODAY, 1) == ()


def test_stock_by_stage_adds_up_to_the_stock_now(session: Session) -> None:
    a_shop_of(session, 3)
    rows = queries.stock_rows(session, TODAY)

    sums = {each.stage: (each.pieces, each.cents) for each in queries.stage_sums(rows)}

    assert sums == {
        Stage.SOURCED: (3, 3_000),
        Stage.FINISHED: (3, 18_000),
        Stage.LISTED: (3, 15_000),
    }
    assert queries.stock_now(session, TODAY) == 36_000


def test_the_stock_moved_by_what_came_and_went_in_the_month(session: Session) -> None:
    a_round(session, "Sold", FOUND, NOVEMBER)
    found(session, date(2026, 11, 2), 900)

    moved = queries.stock_moved(session, date(2026, 11, 1), TODAY)

    assert (moved.opening, moved.line("bought").cents, moved.line("sold").cents) == (5_250, 900, -5_250)
    assert moved.closing == queries.stock_now(session, TODAY) == 900


def test_what_left_stands_with_its_cost_and_reason_until_it_comes_back(session: Session) -> None:
    piece = found(session, FOUND, 4_000)
    leave(session, piece.id, Leaving.KEPT, on_date=LATER, reason="for the hall", version=None, now=NOW)
    spent(session, piece, NOVEMBER, 700, kind=CostKind.REPAIR)

    (row,) = queries.left_rows(session, TODAY)
    assert (row.piece.how, row.piece.cents, row.reason) == ("kept", 4_000, "for the hall")

    bring_back(session, piece.id, on_date=NOVEMBER, reason="sell it", version=None, now=NOW)
    assert queries.left_rows(session, TODAY) == []


def test_an_unknown_piece_has_no_profit(session: Session) -> None:
    with pytest.raises(NotFound):
        queries.profit_of_piece(session, 999)


def test_some_ledgers_are_the_same_as_among_all(session: Session) -> None:
    a_haul(session)
    a_shop_of(session, 2)
    everything = queries.piece_ledgers(session)
    wanted = {ledger.piece_id for ledger in everything[::2]}

    assert queries.piece_ledgers(session, wanted) == everything[::2]


READERS: dict[str, Callable[[Session], object]] = {
    "ledgers": queries.piece_ledgers,
    "months known": queries.months_known,
    "hours": queries.hours_of,
    "a month": lambda session: queries.month_of(session, Month(2026, 11)),
    "all months": lambda session: queries.months_of(session, queries.months_known(session)),
    "a month's page": lambda session: queries.month_sheet(session, Month(2026, 11), Month(2026, 11)),
    "stock": lambda session: queries.stock_rows(session, TODAY),
    "stock and its moves": lambda session: queries.stock_sheet(session, Month(2026, 11), TODAY),
    "days to sale": lambda session: queries.days_to_sale_of(session, TODAY),
    "sitting": lambda session: queries.sitting(session, TODAY, 5),
    "left": lambda session: queries.left_rows(session, TODAY),
    "the proof": lambda session: queries.prove_ledger(session, TODAY),
    "the first page": lambda session: queries.books_sheet(session, TODAY, too_long_days=5),
    "every piece": lambda session: queries.piece_list(session, queries.Shown.ALL, queries.Order.PROFIT),
}


def test_as_many_queries_for_many_pieces_as_for_few(session: Session) -> None:
    def sent() -> dict[str, int]:
        return {name: queries_of(session, partial(read, session)) for name, read in READERS.items()}

    a_shop_of(session, 1)
    a_shop_beside(session, 1)
    for_few = sent()
    a_shop_of(session, 10)
    a_shop_beside(session, 10)

    assert sent() == for_few
