"""Walks through a shop on a file of their own, each held to its books when it ends."""

import shutil
from collections.abc import Callable, Sequence
from pathlib import Path

from hypothesis import settings
from hypothesis.stateful import run_state_machine_as_test
from sqlalchemy.orm import Session

from app.database.engine import make_engine
from app.shop.actions import set_up_shop
from tests.builders.reports import NOW
from tests.conftest import SHOP
from tests.reports.shop_walk import ShopWalk


def hold_after_walks(
    migrated_file: Path, folder: Path, faults: Callable[[Session], Sequence[object]], *, walks: int, steps: int
) -> None:
    """Walk through a shop `walks` times for `steps` steps; after each walk `faults` must find nothing."""
    ledger_file = folder / "ledger.sqlite"
    shutil.copy(migrated_file, ledger_file)
    engine = make_engine(f"sqlite:///{ledger_file}")

    class Walk(ShopWalk):
        def __init__(self) -> None:
            super().__init__()
            self.session = Session(engine, expire_on_commit=False)
            set_up_shop(self.session, SHOP, now=NOW)

        def teardown(self) -> None:
            try:
                self.session.expire_all()
                assert faults(self.session) == []
            finally:
                self.session.close()

    run_state_machine_as_test(Walk, settings=settings(max_examples=walks, stateful_step_count=steps))
    engine.dispose()
