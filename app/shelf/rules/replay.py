"""Replay a material's rows day by day into what the shelf charged, and tell two such results apart."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from hashlib import sha256
from typing import Final, TypeAlias, cast

from app.basics.dates import day_in_words
from app.shelf.rules.average import MovingAverage, NothingBought
from app.shelf.rules.kinds import ChargeKind, RowKind

NEWEST: Final = 2**62
"""The number of a row that is not entered yet: it comes after all that are."""

RowKey: TypeAlias = tuple[RowKind, int]

_ORDER: Final = {kind: place for place, kind in enumerate(RowKind)}


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """One row that counts: bought for `cents` in all, used (on a piece or, without one, for the shop), counted."""

    kind: RowKind
    id: int
    on: date
    milli: int
    cents: int = 0
    piece_id: int | None = None

    @property
    def key(self) -> RowKey:
        """What tells it from every other row of the material."""
        return self.kind, self.id


@dataclass(frozen=True, slots=True)
class Charge:
    """What the shelf charged on one day to a piece (None: to the shop), as the table of charges keeps it."""

    kind: ChargeKind
    on: date
    use_id: int | None
    purchase_id: int | None
    count_id: int | None
    piece_id: int | None
    milli: int
    short_milli: int
    cents: int

    @property
    def key(self) -> tuple[ChargeKind, int | None, int | None, int | None]:
        """What tells it from every other charge of the material."""
        return self.kind, self.use_id, self.purchase_id, self.count_id


@dataclass(frozen=True, slots=True)
class Standing:
    """What was left after a row, in thousandths, and what that stood at in cents."""

    milli: int
    cents: int


@dataclass(frozen=True, slots=True)
class Walked:
    """A material's whole way: its charges, where it stood after each row, and where it stands now.

    `open_short` holds what of each use was beyond what was left and is not settled yet, by the use's id.
    """

    charges: list[Charge]
    after: dict[RowKey, Standing]
    open_short: dict[int, int]
    last_average: Fraction | None


@dataclass(frozen=True, slots=True)
class ChangedCharge:
    """A charge that another row changes: what it is and what it becomes, in cents; 0 where there is none."""

    charge: Charge
    was: int
    becomes: int

    @property
    def difference(self) -> int:
        """Cents by which it changes."""
        return self.becomes - self.was


def in_order(rows: Iterable[ShelfRow]) -> list[ShelfRow]:
    """Rows as they count: by day; within one what was bought, then used, then counted; then as entered."""
    return sorted(rows, key=lambda row: (row.on, _ORDER[row.kind], row.id))


def replay(rows: Iterable[ShelfRow]) -> list[Charge]:
    """Everything the shelf charged for one material, from all its rows that count, in whatever order they come.

    Refuses a use or a count before anything was bought (NothingBought).
    """
    return walk_material(rows).charges


def walk_material(rows: Iterable[ShelfRow]) -> Walked:
    """As `replay`, with where the material stood after each row."""
    shelf = MovingAverage()
    walked = Walked([], {}, {}, None)
    uses: dict[int, ShelfRow] = {}
    for row in in_order(rows):
        try:
            walked.charges.extend(_charges_of(row, shelf, uses, walked.open_short))
        except NothingBought as refusal:
            raise _nothing_bought(row) from refusal
        walked.after[row.key] = Standing(int(shelf.quantity), shelf.value)
    return Walked(walked.charges, walked.after, walked.open_short, shelf.last_average)


def _charges_of(
    row: ShelfRow, shelf: MovingAverage, uses: dict[int, ShelfRow], open_short: dict[int, int]
) -> list[Charge]:
    if row.kind is RowKind.USED:
        uses[row.id] = row
        short = row.milli - min(row.milli, max(int(shelf.quantity), 0))
        charge = _use_charge(row, short, shelf.use(row.milli, row.id))
        if short:
            open_short[row.id] = short
        return [charge]
    if row.kind is RowKind.COUNTED:
        missing = int(shelf.quantity) - row.milli
        cents = shelf.count(row.milli)
        if missing <= 0:
            open_short.clear()
        return [_count_charge(row, missing, cents)] if missing or cents else []
    settled = []
    for settlement in shelf.buy(row.milli, row.cents):
        use = uses[cast("int", settlement.use)]
        settled.append(_settlement_charge(row, use, int(settlement.quantity), settlement.cents))
        open_short[use.id] -= int(settlement.quantity)
        if not open_short[use.id]:
            del open_short[use.id]
    return settled


def _use_charge(row: ShelfRow, short: int, cents: int) -> Charge:
    return Charge(ChargeKind.USE, row.on, row.id, None, None, row.piece_id, row.milli, short, cents)


def _count_charge(row: ShelfRow, missing: int, cents: int) -> Charge:
    return Charge(ChargeKind.COUNT, row.on, None, None, row.id, None, missing, 0, cents)


def _settlement_charge(row: ShelfRow, use: ShelfRow, milli: int, cents: int) -> Charge:
    return Charge(ChargeKind.SETTLEMENT, row.on, use.id, row.id, None, use.piece_id, milli, 0, cents)


def _nothing_bought(row: ShelfRow) -> NothingBought:
    what = "use" if row.kind is RowKind.USED else "count"
    if row.id == NEWEST:
        return NothingBought(
            f"Nothing of it was bought by {day_in_words(row.on)}, so nobody knows what it costs. Enter that first,"
            " dated on that day or before.",
            "quantity",
        )
    return NothingBought(
        f"The {what} of {day_in_words(row.on)} would be left with nothing bought before it. Strike that out first."
    )


def changed_charges(before: Iterable[Charge], after: Iterable[Charge]) -> list[ChangedCharge]:
    """The charges whose cents are not the same in both, in the order of their days."""
    was, becomes = ({charge.key: charge for charge in each} for each in (before, after))
    found = []
    for key in {**was, **becomes}:
        old, new = was.get(key), becomes.get(key)
        cents = (old.cents if old else 0, new.cents if new else 0)
        charge = new or old
        if charge is not None and cents[0] != cents[1]:
            found.append(ChangedCharge(charge, *cents))
    return sorted(found, key=lambda each: (each.charge.on, each.charge.kind, each.charge.use_id or 0))


def is_own(row: ShelfRow, charge: Charge) -> bool:
    """Whether a charge is that of the row itself: a use's with its settlements, a purchase's settlements, a count's."""
    ids = {RowKind.USED: charge.use_id, RowKind.BOUGHT: charge.purchase_id, RowKind.COUNTED: charge.count_id}
    return ids[row.kind] == row.id


def mark_of(changes: Iterable[ChangedCharge]) -> str:
    """A short mark of changes, so that what is saved is what was shown; "" for none."""
    told = [(each.charge.key, each.was, each.becomes) for each in changes]
    return sha256(repr(told).encode()).hexdigest()[:32] if told else ""
