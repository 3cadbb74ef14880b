"""The demo's story, and ledgers it was loaded into on two different days."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from app.database.engine import make_engine
from app.database.resources import shipped_folder
from app.database.unit_of_work import Ledger
from app.demo.actions import load_demo
from app.demo.formats import read_story
from app.demo.rules import FILES, Story

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
DAYS_LATER = 79
NO_PHOTOS = Path("nowhere")
"""The photo folder of stories that tell of no photo."""


@dataclass(frozen=True)
class LoadedDemo:
    """A ledger the demo was loaded into, and the day it was loaded on."""

    ledger: Ledger
    today: date
    now: datetime


@pytest.fixture(scope="session")
def story() -> Story:
    """The files that ship."""
    return read_story(shipped_folder("demo_data"))


@pytest.fixture
def small_story(story: Story) -> Story:
    """The shop with its sources and channels, one find and its sale."""
    kept = {"shop", "sources", "channels", "tax_rates"}
    empty = replace(story, **{name: () for name in FILES if name not in kept})
    find = next(piece for piece in story.pieces if piece.source and not piece.opening_stage)
    sale = next(sale for sale in story.sales if sale.piece == find.piece)
    return replace(empty, pieces=(find,), sales=(sale,))


@pytest.fixture(scope="session")
def demo(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[LoadedDemo]:
    """The demo as it is loaded on the day the tests stand at; for looking at, not for changing."""
    loaded = load(migrated_file, tmp_path_factory.mktemp("demo"), NOW)
    yield loaded
    loaded.ledger.close()


@pytest.fixture(scope="session")
def demo_later(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[LoadedDemo]:
    """The demo as it is loaded in the winter after, at night."""
    later = NOW + timedelta(days=DAYS_LATER, hours=14)
    loaded = load(migrated_file, tmp_path_factory.mktemp("later"), later)
    yield loaded
    loaded.ledger.close()


def load(migrated_file: Path, folder: Path, now: datetime) -> LoadedDemo:
    """Load the demo into a copy of an empty ledger."""
    shutil.copy(migrated_file, folder / "ledger.sqlite")
    ledger = Ledger(make_engine(f"sqlite:///{folder / 'ledger.sqlite'}"))
    with ledger.writing() as session:
        load_demo(session, folder / "photos", now=now)
    # At either moment it is the same day in the shop's zone and in UTC less seven hours.
    return LoadedDemo(ledger, (now - timedelta(hours=7)).date(), now)
