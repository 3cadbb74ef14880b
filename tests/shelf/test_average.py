"""The moving average: exact, to the cent, also beyond what was left."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.shelf.rules import BadCost, BadQuantity, MovingAverage, NothingBought

Moves = list[tuple[str, int, int]]

MOVES = st.lists(
    st.one_of(
        st.tuples(st.just("buy"), st.integers(1, 40), st.integers(0, 5_000)),
        st.tuples(st.just("use"), st.integers(1, 60), st.just(0)),
        st.tuples(st.just("count"), st.integers(0, 60), st.just(0)),
    ),
    max_size=30,
)


def a_shelf(*bought: tuple[int, int]) -> MovingAverage:
    """A material with some of it bought."""
    shelf = MovingAverage()
    for quantity, cents in bought:
        shelf.buy(quantity, cents)
    return shelf


def at(shelf: Any) -> tuple[Any, Any]:
    """What is left, and what it stands at."""
    return shelf.quantity, shelf.value


def told(settlements: Any) -> list[tuple[Any, ...]]:
    """Settlements by their use, quantity and cents."""
    return [(each.use, each.quantity, each.cents) for each in settlements]


def test_a_use_takes_its_share_of_what_everything_cost() -> None:
    shelf = a_shelf((10, 1_000), (10, 3_000))
    assert shelf.last_average == 200
    assert shelf.use(5) == 1_000
    assert at(shelf) == (15, 3_000)


def test_a_share_is_rounded_once_half_up_and_the_last_use_takes_the_rest() -> None:
    shelf = a_shelf((3, 100))
    assert [shelf.use(1), shelf.use(1), shelf.use(1)] == [33, 34, 33]
    assert at(shelf) == (0, 0)
    assert a_shelf((2, 1)).use(1) == 1


def test_the_average_is_never_rounded() -> None:
    assert a_shelf((3, 100)).last_average == Fraction(100, 3)
    assert MovingAverage().last_average is None


@pytest.mark.parametrize("tenth", [0.1, Decimal("0.1"), Fraction(1, 10)])
def test_a_tenth_is_a_tenth_however_it_is_written(tenth: Any) -> None:
    shelf = a_shelf((1, 1_000))
    charges = [shelf.use(tenth) for _ in range(10)]
    assert charges == [100] * 10
    assert at(shelf) == (0, 0)


@pytest.mark.parametrize(
    "quantity",
    [0, -1, 0.0, float("nan"), float("inf"), Decimal("NaN"), Decimal("Infinity"), Decimal(-2), True, "1", None],
)
def test_what_is_no_quantity_is_refused_and_changes_nothing(quantity: Any) -> None:
    shelf = a_shelf((2, 100))
    for act in (lambda: shelf.buy(quantity, 100), lambda: shelf.use(quantity)):
        with pytest.raises(BadQuantity):
            act()
    assert at(shelf) == (2, 100)
    assert issubclass(BadQuantity, RuleError)


@pytest.mark.parametrize("cents", [-1, 1.5, True, None])
def test_cents_are_whole_and_from_nothing_on(cents: Any) -> None:
    with pytest.raises(BadCost):
        MovingAverage().buy(1, cents)


def test_where_nothing_was_ever_bought_nothing_can_be_used_or_counted() -> None:
    with pytest.raises(NothingBought):
        MovingAverage().use(1)
    with pytest.raises(NothingBought):
        MovingAverage().count(1)


def test_what_was_free_costs_nothing() -> None:
    shelf = a_shelf((4, 0))
    assert (shelf.use(3), shelf.use(2), shelf.value) == (0, 0, 0)


def test_a_use_beyond_what_is_left_takes_the_rest_and_the_last_average_for_the_excess() -> None:
    shelf = a_shelf((10, 1_000))
    assert shelf.use(9) == 900
    assert shelf.use(3) == 100 + 200
    assert at(shelf) == (-2, -200)
    assert shelf.use(1) == 100
    assert at(shelf) == (-3, -300)


def test_the_next_purchase_settles_what_was_short_at_what_it_really_cost() -> None:
    shelf = a_shelf((10, 1_000))
    shelf.use(12, "chest")
    settlement: Any
    (settlement,) = shelf.buy(8, 1_000)
    assert (settlement.use, settlement.quantity, settlement.cents) == ("chest", 2, 250 - 200)
    assert at(shelf) == (6, 750)
    assert shelf.buy(1, 100) == ()


def test_a_settlement_gives_back_where_the_purchase_was_cheaper() -> None:
    shelf = a_shelf((1, 500))
    shelf.use(2, "chest")
    (settlement,) = shelf.buy(4, 400)
    assert (settlement.cents, shelf.value) == (-400, 300)


def test_what_remains_is_rounded_and_the_short_uses_share_the_rest_by_quantity() -> None:
    shelf = a_shelf((1, 100))
    shelf.use(2, "chest")
    shelf.use(2, "stool")
    settlements = shelf.buy(7, 1_000)
    # 4 of 7 remain: 571.43, so 571; the 3 short ones really cost 429, shared one to two.
    assert shelf.value == 571
    assert told(settlements) == [("chest", 1, 143 - 100), ("stool", 2, 286 - 200)]


def test_a_purchase_smaller_than_what_is_short_settles_the_oldest_first() -> None:
    shelf = a_shelf((1, 100))
    shelf.use(4, "chest")
    shelf.use(2, "stool")
    assert told(shelf.buy(2, 300)) == [("chest", 2, 100)]
    assert at(shelf) == (-3, -300)
    assert shelf.last_average == 150
    assert told(shelf.buy(4, 800)) == [("chest", 1, 100), ("stool", 2, 200)]
    assert at(shelf) == (1, 200)


def test_a_purchase_of_just_what_is_short_leaves_nothing() -> None:
    shelf = a_shelf((1, 100))
    shelf.use(3)
    (settlement,) = shelf.buy(2, 333)
    assert settlement.cents == 133
    assert (at(shelf), shelf.last_average) == ((0, 0), Fraction(333, 2))


def test_a_count_charges_what_is_missing_and_gives_back_what_is_found() -> None:
    shelf = a_shelf((10, 1_000))
    assert shelf.count(8) == 200
    assert shelf.count(9) == -100
    assert shelf.count(9) == 0
    assert at(shelf) == (9, 900)
    assert shelf.count(0) == 900
    assert shelf.count(2) == -200
    with pytest.raises(BadQuantity):
        shelf.count(-1)


def test_a_count_that_finds_what_the_books_had_used_up_ends_the_shortage() -> None:
    shelf = a_shelf((10, 1_000))
    shelf.use(12, "chest")
    assert shelf.count(3) == -500
    assert at(shelf) == (3, 300)
    assert shelf.buy(1, 100) == ()


class Reference:
    """The same worked out another way: every cent is kept apart in fractions, nothing in running sums.

    Holds one list of what is on the shelf and one of what is short; the value is told from the charges alone.
    """

    def __init__(self) -> None:
        self.bought = self.charged = 0
        self.here = Fraction(0)
        self.last: Fraction | None = None
        self.owed: list[list[Fraction]] = []

    @staticmethod
    def rounded(exact: Fraction) -> int:
        return (
            -((-2 * exact.numerator + exact.denominator) // (2 * exact.denominator))
            if exact < 0
            else ((2 * exact.numerator + exact.denominator) // (2 * exact.denominator))
        )

    def average(self) -> Fraction:
        if self.here > 0:
            return Fraction(self.bought - self.charged) / self.here
        assert self.last is not None
        return self.last

    def buy(self, quantity: Fraction, cents: int) -> int:
        short = -min(self.here, Fraction(0))
        covered = min(short, quantity)
        provisional, wanted = 0, covered
        for line in self.owed:
            part = min(line[0], wanted)
            share = int(line[1]) if part == line[0] else self.rounded(line[1] * part / line[0])
            provisional, wanted = provisional + share, wanted - part
            line[0], line[1] = line[0] - part, line[1] - share
        self.owed = [line for line in self.owed if line[0]]
        keeps = self.rounded(Fraction(cents) * (quantity - covered) / quantity)
        settled = cents - keeps - provisional if covered else 0
        self.bought, self.charged = self.bought + cents, self.charged + settled
        self.here += quantity
        self.last = Fraction(self.bought - self.charged) / self.here if self.here > 0 else Fraction(cents) / quantity
        return settled

    def use(self, quantity: Fraction) -> int:
        average = self.average()
        from_shelf = min(quantity, max(self.here, Fraction(0)))
        value = self.bought - self.charged
        cents = (
            (value if from_shelf == self.here else self.rounded(value * from_shelf / self.here)) if from_shelf else 0
        )
        if quantity > from_shelf:
            provisional = self.rounded(average * (quantity - from_shelf))
            self.owed.append([quantity - from_shelf, Fraction(provisional)])
            cents += provisional
        self.last, self.here, self.charged = average, self.here - quantity, self.charged + cents
        return cents

    def count(self, counted: Fraction) -> int:
        average = self.average()
        if counted < self.here:
            cents = self.rounded((self.bought - self.charged) * (self.here - counted) / self.here)
        else:
            found = counted - max(self.here, Fraction(0))
            cents = -self.rounded(average * found) - sum(int(line[1]) for line in self.owed)
            self.owed = []
        self.last, self.here, self.charged = average, counted, self.charged + cents
        return cents


def play(moves: Moves, shelf: Any, size: Fraction) -> list[tuple[Any, Fraction, int]]:
    """Each move's charge, with what was left and what had been charged after it."""
    told, charged = [], 0
    for kind, number, cents in moves:
        quantity = number * size
        if kind == "buy":
            settled = shelf.buy(quantity, cents)
            charge = settled if isinstance(settled, int) else sum(each.cents for each in settled)
        else:
            charge = getattr(shelf, kind)(quantity)
        charged += charge
        told.append((charge, quantity, charged))
    return told


def possible(moves: Moves) -> Moves:
    """The moves with a first purchase, before which nothing can be used or counted."""
    return [("buy", 7, 1_000), *moves]


@given(moves=MOVES, size=st.fractions(Fraction(1, 50), 3, max_denominator=50))
def test_it_agrees_with_plain_fractions_move_by_move(moves: Moves, size: Fraction) -> None:
    shelf, reference = MovingAverage(), Reference()
    assert play(possible(moves), shelf, size) == play(possible(moves), reference, size)
    assert at(shelf) == (reference.here, reference.bought - reference.charged)


@given(moves=MOVES, size=st.fractions(Fraction(1, 50), 3, max_denominator=50))
def test_after_every_move_the_value_is_what_was_bought_less_what_was_charged(moves: Moves, size: Fraction) -> None:
    shelf = MovingAverage()
    bought = charged = 0
    for kind, number, cents in possible(moves):
        quantity = number * size
        if kind == "buy":
            bought += cents
            charged += sum(each.cents for each in shelf.buy(quantity, cents))
        else:
            charged += getattr(shelf, kind)(quantity)
        assert shelf.value == bought - charged
        assert shelf.value * shelf.quantity >= 0
        assert shelf.value == 0 or shelf.quantity != 0


@given(
    bought=st.lists(st.tuples(st.integers(1, 9_999), st.integers(0, 99_999)), min_size=1, max_size=5),
    cuts=st.lists(st.integers(1, 9_999), max_size=12),
)
def test_the_last_use_leaves_nothing_at_all(bought: list[tuple[int, int]], cuts: list[int]) -> None:
    shelf = a_shelf(*bought)
    charges = [shelf.use(cut) for cut in cuts if cut < shelf.quantity]
    charges.append(shelf.use(shelf.quantity))
    assert at(shelf) == (0, 0)
    assert sum(charges) == sum(cents for _quantity, cents in bought)


@given(
    start=st.tuples(st.integers(1, 50), st.integers(0, 5_000)),
    uses=st.lists(st.integers(1, 90), min_size=1, max_size=6),
    more=st.tuples(st.integers(0, 90), st.integers(0, 9_000)),
)
def test_what_was_short_ends_at_its_exact_share_of_the_next_purchase(
    start: tuple[int, int], uses: list[int], more: tuple[int, int]
) -> None:
    shelf = a_shelf(start)
    charges = [shelf.use(quantity, number) for number, quantity in enumerate(uses)]
    short = max(sum(uses) - start[0], 0)
    quantity, cents = short + more[0] + 1, more[1]
    settlements = shelf.buy(quantity, cents)
    assert sum((each.quantity for each in settlements), Fraction(0)) == short
    if short:
        assert shelf.value == Reference.rounded(Fraction(cents * (quantity - short), quantity))
    everything = sum(charges) + sum(each.cents for each in settlements)
    assert everything + shelf.value == start[1] + cents
