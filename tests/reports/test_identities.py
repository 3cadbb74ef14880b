"""Whatever a shop does, in whatever order: its books add up to the cent."""

import logging
import shutil
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from hypothesis import settings
from hypothesis.stateful import invariant, run_state_machine_as_test
from sqlalchemy.orm import Session

from app.database.engine import make_engine
from app.reports.queries import (
    month_of,
    months_known,
    months_of,
    piece_ledgers,
    prove_ledger,
    stock_moved,
    stock_now,
    stock_rows,
)
from app.reports.queries.shop_rows import shop_cost_rows
from app.reports.rules import Finding, month_profit, stock_at_cost, stock_identity, stock_movement
from app.shop.actions import set_up_shop
from app.shop.models import ClosedMonth
from tests.conftest import NOW, SHOP
from tests.reports.beside_walk import DAY_OF, STRIKE, BesideWalk, reached
from tests.reports.shop_walk import BEGINNING, TODAY
from tests.reports.sums_beside_walk import differences

STEPS_IN_A_WALK = 50
WALKS = 60
FEWEST_STEPS = 2_000
STEPS_BETWEEN_PROOFS = 10


def test_after_any_walk_of_a_shop_every_identity_holds(
    migrated_file: Path, tmp_path: Path, record_property: Callable[[str, object], None], *, is_long: bool
) -> None:
    ledger_file = tmp_path / "ledger.sqlite"
    shutil.copy(migrated_file, ledger_file)
    engine = make_engine(f"sqlite:///{ledger_file}")

    class Walk(BesideWalk):
        def __init__(self) -> None:
            super().__init__()
            self.session = Session(engine, expire_on_commit=False)
            set_up_shop(self.session, SHOP, now=NOW)

        @invariant()
        def prove_on_the_way(self) -> None:
            if self.taken % every == 0:
                self.session.expire_all()
                assert broken(self.session) == []

        def teardown(self) -> None:
            try:
                super().teardown()
                prove_all(self.session)
            finally:
                self.session.close()

    every = 1 if is_long else STEPS_BETWEEN_PROOFS
    count = settings().max_examples if is_long else WALKS
    run_state_machine_as_test(Walk, settings=settings(max_examples=count, stateful_step_count=STEPS_IN_A_WALK))
    engine.dispose()
    record_property("steps", Walk.steps)
    logging.getLogger(__name__).info("%s steps in %s walks", Walk.steps, count)
    assert Walk.steps >= FEWEST_STEPS
    # A walk in which every act is refused proves nothing.
    assert [table.__name__ for table in (*DAY_OF, *STRIKE, ClosedMonth) if not reached[table.__name__]] == []


def broken(session: Session) -> list[Finding]:
    """What `tackcloth check` would find."""
    return [finding for finding in prove_ledger(session, TODAY) if not finding.holds]


def prove_all(session: Session) -> None:
    """Every finding holds, and what is read of a part of the ledger is what all of it says."""
    assert broken(session) == []
    assert differences(session) == []
    ledgers, shop_costs = piece_ledgers(session), shop_cost_rows(session)
    months = months_known(session)
    for month, in_one_go in zip(months, months_of(session, months), strict=True):
        expected = month_profit(ledgers, shop_costs, month)
        assert month_of(session, month) == expected
        assert in_one_go == expected
    assert (
        stock_now(session, TODAY) == stock_at_cost(ledgers, TODAY) == sum(r.cents for r in stock_rows(session, TODAY))
    )
    for first in (SHOP.started_on, BEGINNING + timedelta(days=20), date(TODAY.year, TODAY.month, 1)):
        moved = stock_moved(session, first, TODAY)
        assert stock_identity(moved) == 0
        whole = stock_movement(ledgers, first, TODAY)
        assert (moved.opening, moved.closing) == (whole.opening, whole.closing)
        assert [line.cents for line in moved.lines] == [line.cents for line in whole.lines]
