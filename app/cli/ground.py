"""What every command stands on: the settings of the shop it is about, and its ledger, opened and closed."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from app.basics import clock
from app.basics.errors import RuleError
from app.basics.settings import Settings, load_settings, make_data_dir
from app.database.engine import make_engine
from app.database.migrate import upgrade
from app.database.unit_of_work import Ledger
from app.safekeeping.actions import settle
from app.safekeeping.store import hold_folder, is_exchange_underway


@dataclass(frozen=True)
class Shopfront:
    """The data folder named on the command line, if one was."""

    data_dir: str | None

    def settings(self, **flags: object) -> Settings:
        """Settings from file, environment and flags; raises RuleError for what cannot be meant."""
        return load_settings({"data_dir": self.data_dir, **flags})


def require_shop(settings: Settings) -> None:
    """Refuse a data folder in which no shop was ever opened; complete a restore that was interrupted there."""
    _complete_restore(settings)
    if not settings.database_url and not settings.ledger_file.exists():
        raise RuleError(
            f"There is no shop in {settings.data_dir} yet. `tackcloth open` starts one, --data names another folder."
        )


@contextmanager
def opened_ledger(settings: Settings) -> Iterator[Ledger]:
    """The ledger at the newest layout, closed when the block ends."""
    make_data_dir(settings.data_dir)
    _complete_restore(settings)
    now = clock.now()
    upgrade(settings.url, ledger_file=settings.ledger_file, copies_dir=settings.kept_copies_dir, now=now)
    ledger = Ledger(make_engine(settings.url))
    try:
        yield ledger
    finally:
        ledger.close()


def _complete_restore(settings: Settings) -> None:
    if is_exchange_underway(settings.data_dir):
        with hold_folder(settings.data_dir):
            settle(settings)


def path_in_words(path: Path | str) -> str:
    """A path as it is shown: with ~ for the home folder where it lies there."""
    try:
        return str(Path("~") / Path(path).relative_to(Path.home()))
    except (ValueError, RuntimeError):
        return str(path)
