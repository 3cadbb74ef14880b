"""Replaying a material: what each row is charged, in the order of the days, whatever the order of typing."""

from collections.abc import Iterable
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.shelf.rules import (
    NEWEST,
    Charge,
    ChargeKind,
    NothingBought,
    RowKind,
    ShelfRow,
    changed_charges,
    in_order,
    is_own,
    mark_of,
    replay,
    walk_material,
)

DAY = date(2026, 3, 2)


def bought(number: int, milli: int, cents: int, *, on: date = DAY) -> ShelfRow:
    return ShelfRow(RowKind.BOUGHT, number, on, milli, cents)


def used(number: int, milli: int, *, on: date = DAY, piece_id: int | None = 1) -> ShelfRow:
    return ShelfRow(RowKind.USED, number, on, milli, piece_id=piece_id)


def counted(number: int, milli: int, *, on: date = DAY) -> ShelfRow:
    return ShelfRow(RowKind.COUNTED, number, on, milli)


def cents_of(rows: Iterable[ShelfRow]) -> list[tuple[ChargeKind, int]]:
    return [(charge.kind, charge.cents) for charge in replay(rows)]


@st.composite
def materials(draw: st.DrawFn) -> list[ShelfRow]:
    """Rows of one material over some days; the first of them buys something."""
    kinds = st.sampled_from([RowKind.BOUGHT, RowKind.USED, RowKind.USED, RowKind.COUNTED])
    rows = [bought(1, 5_000, 1_234)]
    for number, (kind, days, milli, cents) in enumerate(
        draw(st.lists(st.tuples(kinds, st.integers(0, 9), st.integers(1, 9_000), st.integers(0, 4_000)), max_size=25)),
        start=2,
    ):
        cost = cents if kind is RowKind.BOUGHT else 0
        piece_id = number % 4 or None if kind is RowKind.USED else None
        rows.append(ShelfRow(kind, number, DAY + timedelta(days), milli, cost, piece_id))
    return rows


def test_within_a_day_what_was_bought_comes_first_and_a_count_last() -> None:
    rows = [counted(1, 500), used(1, 400), used(2, 100), bought(1, 1_000, 1_000)]
    assert [row.key for row in in_order(rows)] == [
        (RowKind.BOUGHT, 1),
        (RowKind.USED, 1),
        (RowKind.USED, 2),
        (RowKind.COUNTED, 1),
    ]
    assert cents_of(rows) == [(ChargeKind.USE, 400), (ChargeKind.USE, 100)]


def test_a_use_says_how_much_of_it_was_beyond_what_was_left() -> None:
    rows = [bought(1, 1_000, 1_000), used(1, 1_500), used(2, 250, piece_id=None)]
    charges = replay(rows)
    assert [(charge.short_milli, charge.cents, charge.piece_id) for charge in charges] == [
        (500, 1_500, 1),
        (250, 250, None),
    ]
    assert walk_material(rows).open_short == {1: 500, 2: 250}


def test_a_settlement_is_dated_on_its_purchase_and_names_its_use() -> None:
    later = DAY + timedelta(5)
    rows = [bought(1, 1_000, 1_000), used(1, 1_500), bought(2, 1_000, 3_000, on=later)]
    *_, settlement = replay(rows)
    assert settlement == Charge(ChargeKind.SETTLEMENT, later, 1, 2, None, 1, 500, 0, 1_500 - 500)
    assert walk_material(rows).open_short == {}


def test_a_count_ends_what_is_short_and_charges_the_shop() -> None:
    rows = [bought(1, 1_000, 1_000), used(1, 1_500), counted(1, 200)]
    *_, count = replay(rows)
    assert (count.kind, count.piece_id, count.milli, count.cents) == (ChargeKind.COUNT, None, -700, -700)
    walked = walk_material(rows)
    assert (walked.open_short, walked.last_average) == ({}, Fraction(1))


def test_a_count_that_finds_what_the_books_say_charges_nothing() -> None:
    assert cents_of([bought(1, 1_000, 1_000), counted(1, 1_000)]) == []


def test_what_is_used_or_counted_before_anything_was_bought_is_refused() -> None:
    early = DAY - timedelta(1)
    with pytest.raises(NothingBought, match="The use of 1 March 2026 would be left"):
        replay([used(3, 100, on=early), bought(1, 1_000, 1_000)])
    with pytest.raises(NothingBought, match="Nothing of it was bought by 1 March 2026") as refused:
        replay([counted(NEWEST, 100, on=early), bought(1, 1_000, 1_000)])
    assert refused.value.field == "quantity"


@given(rows=materials(), data=st.data())
def test_the_order_of_typing_changes_nothing(rows: list[ShelfRow], data: st.DataObject) -> None:
    assert replay(data.draw(st.permutations(rows))) == replay(rows)


@given(rows=materials())
def test_after_every_row_bought_less_charged_is_what_stands_there(rows: list[ShelfRow]) -> None:
    walked = walk_material(rows)
    ordered = in_order(rows)
    for place, row in enumerate(ordered, start=1):
        so_far = {each.key for each in ordered[:place]}
        charged = sum(charge.cents for charge in walked.charges if made_by(charge) in so_far)
        assert walked.after[row.key].cents == sum(each.cents for each in ordered[:place]) - charged
    assert sum(walked.open_short.values()) == max(-walked.after[ordered[-1].key].milli, 0)


def made_by(charge: Charge) -> tuple[RowKind, int | None]:
    """The row on which a charge is made: a settlement by its purchase."""
    if charge.kind is ChargeKind.SETTLEMENT:
        return RowKind.BOUGHT, charge.purchase_id
    return (RowKind.USED, charge.use_id) if charge.kind is ChargeKind.USE else (RowKind.COUNTED, charge.count_id)


@given(rows=materials())
def test_every_charge_has_a_key_of_its_own_and_what_was_short_is_settled_at_most_once(rows: list[ShelfRow]) -> None:
    charges = replay(rows)
    assert len({charge.key for charge in charges}) == len(charges)
    for use in (charge for charge in charges if charge.kind is ChargeKind.USE):
        settled = [each.milli for each in charges if each.kind is ChargeKind.SETTLEMENT and each.use_id == use.use_id]
        assert sum(settled) <= use.short_milli


@given(rows=materials(), days=st.integers(0, 9), milli=st.integers(1, 9_000), kind=st.sampled_from(RowKind))
def test_a_new_row_changes_nothing_dated_before_it(rows: list[ShelfRow], days: int, milli: int, kind: RowKind) -> None:
    new = ShelfRow(kind, NEWEST, DAY + timedelta(days), milli, 700 if kind is RowKind.BOUGHT else 0)
    changes = changed_charges(replay(rows), replay([*rows, new]))
    assert all(change.charge.on >= new.on for change in changes)


def test_changes_are_told_with_what_was_and_what_becomes() -> None:
    rows = [bought(1, 1_000, 1_000), used(1, 500, on=DAY + timedelta(2))]
    new = bought(NEWEST, 1_000, 3_000, on=DAY + timedelta(1))
    (change,) = changed_charges(replay(rows), replay([*rows, new]))
    assert (change.was, change.becomes, change.difference, change.charge.piece_id) == (500, 1_000, 500, 1)
    assert not is_own(new, change.charge)
    assert is_own(rows[1], change.charge)
    assert mark_of([change]) != mark_of([]) == ""
    (gone,) = changed_charges(replay(rows), replay(rows[:1]))
    assert (gone.was, gone.becomes) == (500, 0)
