"""A shelf that lives at random: rows typed in any order, struck out, months closed; its identities always hold."""

from collections import Counter
from datetime import date, datetime, timedelta

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import RuleError
from app.shelf.actions import strike_count, strike_purchase, strike_use
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.queries import charge_of, counting_rows, material_rows, shelf_findings, shelf_value
from app.shelf.rules import Charge, in_order, walk_material
from app.shop.actions import keep_closed
from app.shop.queries import last_closed_day
from app.shop.rules import MonthFigures
from tests.builders.pieces import a_piece
from tests.builders.shelf import a_count, a_material, a_purchase, a_use, some_parts

FIRST, TODAY = date(2026, 8, 1), date(2026, 11, 25)
ACTS = ("buy", "use", "use", "use", "count", "strike", "strike", "close", "parts")
LIVES = st.lists(
    st.tuples(
        st.sampled_from(ACTS),
        st.integers(0, 116),
        st.integers(1, 3_000),
        st.integers(0, 5_000),
        st.integers(0, 99),
    ),
    max_size=20,
)
A_FULL_LIFE = [
    ("use", 1, 100, 0, 0),
    ("buy", 2, 1_000, 2_000, 0),
    ("use", 3, 100, 0, 1),
    ("count", 4, 800, 0, 0),
    ("parts", 5, 10, 100, 0),
    ("strike", 0, 1, 0, 1),
    ("close", 0, 1, 0, 0),
]
"""Everything that can happen once, the first of it refused: which acts are drawn is left to chance."""


def live(session: Session, material: Material, told: tuple[str, int, int, int, int], now: datetime) -> None:
    """One act on the shelf; it may be refused, and then nothing has changed."""
    act, days, milli, cents, pick = told
    on_date = FIRST + timedelta(days)
    if act == "buy":
        a_purchase(session, material, milli, cents, on_date=on_date)
    elif act == "use":
        a_use(session, material, pick % 3 or None, milli, on_date=on_date)
    elif act == "count":
        a_count(session, material, milli, on_date=on_date)
    elif act == "parts":
        some_parts(session, material, 1, milli, cents, stands_at_cents=5_000, on_date=on_date)
    elif act == "close" and not pick % 4:
        closed = last_closed_day(session)
        month = Month.of(closed).next if closed else Month.of(FIRST)
        keep_closed(session, month, MonthFigures(0, 0, 0, 0, 0), first=Month.of(FIRST), now=now)
    elif act == "strike":
        table, strike = (
            (ShelfPurchase, strike_purchase),
            (ShelfUse, strike_use),
            (ShelfCount, strike_count),
        )[pick % 3]
        ids = session.scalars(select(table.id).order_by(table.id)).all()
        if ids:
            strike(session, ids[pick % len(ids)], reason="x", now=now)


def frozen(session: Session) -> list[Charge]:
    """The charges dated in closed months."""
    closed = last_closed_day(session)
    kept = session.scalars(select(ShelfCharge).order_by(ShelfCharge.id))
    return [charge_of(charge) for charge in kept if closed is not None and charge.on_date <= closed]


def require_sound(session: Session, material: Material) -> None:
    """Every identity holds, and each way of telling what is left and what it is worth says the same."""
    assert [found for found in shelf_findings(session) if not found.holds] == []
    rows = counting_rows(session, [material.id])[material.id]
    stands = walk_material(rows).after[in_order(rows)[-1].key] if rows else None
    (row,) = material_rows(session)
    assert (row.left_milli, row.value_cents) == ((stands.milli, stands.cents) if stands else (0, 0))
    assert shelf_value(session, TODAY) == row.value_cents


def live_through(
    session: Session, life: list[tuple[str, int, int, int, int]], now: datetime, counted: Counter[str]
) -> None:
    """One life of a shelf, examined after every act, and gone again."""
    before_it = session.begin_nested()
    a_piece(session, bought_on=FIRST)
    a_piece(session, bought_on=FIRST)
    material = a_material(session)
    for told in life:
        before, mark = frozen(session), session.begin_nested()
        try:
            live(session, material, told, now)
            mark.commit()
            counted[told[0]] += 1
        except RuleError:
            mark.rollback()
            session.expire_all()
            counted["refused"] += 1
        assert frozen(session)[: len(before)] == before or told[0] == "close"
        require_sound(session, material)
    before_it.rollback()
    session.expunge_all()


def test_whatever_happens_the_shelf_adds_up_and_closed_months_stay(session: Session, now: datetime) -> None:
    counted: Counter[str] = Counter()

    @settings(suppress_health_check=[HealthCheck.too_slow])
    @given(life=LIVES)
    @example(life=A_FULL_LIFE)
    def walk(life: list[tuple[str, int, int, int, int]]) -> None:
        live_through(session, life, now, counted)

    walk()
    assert set(counted) == {*ACTS, "refused"}
