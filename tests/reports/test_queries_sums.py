"""The sums in SQL are what the walk through every piece comes to, and every line opens to the rows that make it."""

import shutil
from pathlib import Path

from hypothesis import settings
from hypothesis.stateful import run_state_machine_as_test
from sqlalchemy.orm import Session

from app.database.engine import make_engine
from app.shop.actions import set_up_shop
from tests.conftest import NOW, SHOP
from tests.reports.shop_walk import ShopWalk
from tests.reports.sums_beside_walk import differences

STEPS_IN_A_WALK = 35


def test_after_any_walk_of_a_shop_the_sums_in_sql_are_those_of_the_walk(
    migrated_file: Path, tmp_path: Path, *, is_long: bool
) -> None:
    ledger_file = tmp_path / "ledger.sqlite"
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
                assert differences(self.session) == []
            finally:
                self.session.close()

    count = settings().max_examples if is_long else 25
    run_state_machine_as_test(Walk, settings=settings(max_examples=count, stateful_step_count=STEPS_IN_A_WALK))
    engine.dispose()
