"""Whatever is tried after the closing, on whatever day: what closed months said stays said."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from shutil import copy
from tempfile import TemporaryDirectory
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError
from app.costs.actions import add_cost, strike_adjustment, strike_cost
from app.costs.models import Adjustment, CostLine
from app.costs.rules import CostKind, NewCost
from app.database.engine import make_engine
from app.database.unit_of_work import Ledger
from app.desk.actions import leave_piece, split_set, strike_find
from app.desk.rules import SplitBy, WishedPart, WishedSplit
from app.pieces.actions import bring_back, correct_dates, correct_haul, correct_paid, log_find
from app.pieces.models import Haul, Piece, Purchase
from app.pieces.queries import steps_of
from app.pieces.rules import HaulCorrection, Leaving, NewFind, SplitMethod, StepKind
from app.reports.queries import closing_findings, figures_of
from app.shop.actions import set_up_shop
from app.shop.queries import closed_months
from tests.builders.closing import a_correction, closed_up_to
from tests.builders.pieces import NOW, a_haul, a_piece, some_facts
from tests.builders.reports import spent
from tests.builders.sales import a_sale
from tests.conftest import SHOP

FIRST = date(2026, 9, 1)
DAYS = st.integers(0, 84).map(lambda days: FIRST + timedelta(days=days))


def _of(session: Session, model: type[Piece] | type[CostLine] | type[Haul] | type[Purchase], nth: int) -> int:
    ids = list(session.scalars(select(model.id).order_by(model.id)))
    return ids[nth % len(ids)]


def _redate(session: Session, nth: int, day: date, cents: int) -> object:
    piece_id = _of(session, Piece, nth)
    piece = session.get_one(Piece, piece_id)
    moved = [step for step in steps_of(session, piece_id) if step.kind in {StepKind.OUT, StepKind.IN_AGAIN}]
    dates = {moved[cents % len(moved)].id: day} if moved else {}
    found = piece.sourced_on if moved else day
    return correct_dates(session, piece_id, sourced_on=found, step_dates=dates, version=None, now=NOW)


def _strike_correction(session: Session, nth: int, _day: date, _cents: int) -> object:
    ids = list(session.scalars(select(Adjustment.id).order_by(Adjustment.id)))
    return strike_adjustment(session, ids[nth % len(ids)], reason="wrong", now=NOW) if ids else None


ACTS: dict[str, Callable[[Session, int, date, int], object]] = {
    "find": lambda s, _n, day, c: log_find(s, NewFind(some_facts(), None, day, c), capture_id=str(uuid4()), now=NOW),
    "haul": lambda s, _n, day, c: a_haul(s, price_cents=c, bought_on=day),
    "paid": lambda s, n, day, c: correct_paid(
        s, _of(s, Piece, n), price_cents=c, premium_cents=0, tax_cents=0, on_date=day, reason="x", version=None, now=NOW
    ),
    "redate": _redate,
    "share": lambda s, n, day, c: correct_haul(
        s, _of(s, Haul, n), HaulCorrection(None, day, c, 0, 0, SplitMethod.EQUAL, "x"), version=None, now=NOW
    ),
    "split": lambda s, n, day, _c: split_set(
        s, _of(s, Piece, n), WishedSplit((WishedPart("", 1), WishedPart("", 1)), SplitBy.EACH, day), now=NOW
    ),
    "leave": lambda s, n, day, _c: leave_piece(
        s, _of(s, Piece, n), Leaving.KEPT, on_date=day, reason="", version=None, now=NOW
    ),
    "back": lambda s, n, day, _c: bring_back(s, _of(s, Piece, n), on_date=day, reason="x", version=None, now=NOW),
    "strike": lambda s, n, _day, _c: strike_find(s, _of(s, Piece, n), reason="x", version=None, now=NOW),
    "cost": lambda s, n, day, c: add_cost(
        s, NewCost(_of(s, Piece, n), CostKind.OTHER, c, day), capture_id=str(uuid4()), now=NOW
    ),
    "shop cost": lambda s, _n, day, c: add_cost(
        s, NewCost(None, CostKind.RENT, c, day), capture_id=str(uuid4()), now=NOW
    ),
    "strike cost": lambda s, n, _day, _c: strike_cost(s, _of(s, CostLine, n), reason="x", now=NOW),
    "correct": lambda s, n, day, c: a_correction(s, "purchase", _of(s, Purchase, n), on_date=day, cost=c),
    "correct cost": lambda s, n, day, c: a_correction(s, "cost_line", _of(s, CostLine, n), on_date=day, cost=c),
    "strike correction": _strike_correction,
}


EARLY, LATE = ("split", "strike cost", "find", "paid", "strike"), ("leave", "back")


def begin(session: Session) -> None:
    """September and October closed, with a sale, a leaving, a set, a haul and costs in them."""
    set_up_shop(session, SHOP, now=NOW)
    sold, kept, pair = (a_piece(session, bought_on=FIRST, count=count) for count in (1, 1, 2))
    a_sale(session, sold, sold_on=date(2026, 9, 20), fees_cents=600)
    leave_piece(session, kept.id, Leaving.KEPT, on_date=date(2026, 10, 3), reason="", version=None, now=NOW)
    a_haul(session, bought_on=date(2026, 10, 5))
    a_haul(session, bought_on=date(2026, 11, 3))
    for day in (date(2026, 9, 2), date(2026, 11, 2)):
        spent(session, pair, day, 1_250)
        spent(session, None, day, 3_000)
    closed_up_to(session, Month(2026, 10))


@pytest.fixture(scope="module")
def closed_file(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger with two closed months, made once and copied for each trial."""
    path = tmp_path_factory.mktemp("closed") / "ledger.sqlite"
    copy(migrated_file, path)
    ledger = Ledger(make_engine(f"sqlite:///{path}"))
    with ledger.writing() as session:
        begin(session)
    ledger.close()
    return path


@contextmanager
def a_copy_of(path: Path) -> Iterator[Session]:
    """A session on a copy that is thrown away."""
    with TemporaryDirectory() as folder:
        copied = Path(folder) / "ledger.sqlite"
        copy(path, copied)
        ledger = Ledger(make_engine(f"sqlite:///{copied}"))
        with ledger.writing() as session:
            yield session
        ledger.close()


def succeeds(session: Session, act: str, nth: int, day: date, cents: int) -> bool:
    """Whether the act was allowed; a refused one leaves nothing behind."""
    try:
        with session.begin_nested():
            ACTS[act](session, nth, day, cents)
    except (RuleError, NotFound):
        session.expire_all()
        return False
    return True


TRIES = st.tuples(st.sampled_from(sorted(ACTS)), st.integers(0, 11), DAYS, st.integers(1, 9_999))


@given(st.lists(TRIES, min_size=4, max_size=10))
def test_no_act_changes_what_a_closed_month_said(closed_file: Path, tries: list[tuple[str, int, date, int]]) -> None:
    with a_copy_of(closed_file) as session:
        for act, nth, day, cents in tries:
            succeeds(session, act, nth, day, cents)
        for row in closed_months(session):
            assert figures_of(session, row.month) == row.figures, row.month
        assert [name for name, was, now in closing_findings(session) if was != now] == []


def test_each_of_these_acts_is_allowed_in_the_open_month(closed_file: Path) -> None:
    """So that the trial above does not consist of refusals."""
    done: set[str] = set()
    with a_copy_of(closed_file) as session:
        for act in [*EARLY, *sorted(set(ACTS) - {*EARLY, *LATE}), *LATE]:
            if any(succeeds(session, act, nth, date(2026, 11, 10), 500 + nth) for nth in range(24)):
                done.add(act)
    assert done == set(ACTS)
