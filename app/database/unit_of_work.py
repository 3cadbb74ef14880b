"""The unit of work: the one place that commits."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError, OperationalError
from sqlalchemy.orm import Session
from sqlalchemy.orm.exc import StaleDataError

from app.basics.errors import TackclothError

__all__ = ["Ledger", "LedgerBusy", "LedgerClash", "LedgerFull", "LedgerTrouble", "Session", "taken_back"]


class LedgerTrouble(TackclothError):
    """The ledger could not take the work, and took none of it; `status` is the answer a browser gets."""

    status = 503


class LedgerBusy(LedgerTrouble):
    """Another write held the ledger for too long."""


class LedgerFull(LedgerTrouble):
    """The disk has no room left."""

    status = 507


class LedgerClash(LedgerTrouble):
    """Another device saved something at the same moment that this work contradicts."""

    status = 409


class Ledger:
    """The open ledger: hands out sessions that commit whole or not at all."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._reading_engine = engine.execution_options(read_only=True)

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session whose work is committed when the block ends, and rolled back when it raises."""
        try:
            with Session(self.engine, expire_on_commit=False) as session, session.begin():
                yield session
        except OperationalError as trouble:
            raise _told_plainly(trouble) from trouble
        except (IntegrityError, StaleDataError) as clash:
            raise LedgerClash(
                "Something else was saved at the same moment. Nothing of this was saved: look at what is there"
                " now and save again."
            ) from clash

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that looks at one moment of the ledger; whatever is changed in it is dropped."""
        try:
            with Session(self._reading_engine, expire_on_commit=False) as session:
                try:
                    yield session
                finally:
                    session.rollback()
        except OperationalError as trouble:
            raise _told_plainly(trouble) from trouble

    def close(self) -> None:
        """Let go of every connection."""
        self.engine.dispose()


@contextmanager
def taken_back(session: Session) -> Iterator[None]:
    """Work that is undone when the block ends, however it ends: it shows whether it could be done."""
    trial = session.begin_nested()
    try:
        yield
    finally:
        trial.rollback()


def _told_plainly(trouble: OperationalError) -> Exception:
    """The trouble in the owner's words where it is one that passes; the error itself where it is not."""
    words = str(trouble.orig).lower()
    if "locked" in words or "busy" in words:
        return LedgerBusy("The ledger is busy, so nothing was saved. Try again in a moment.")
    if "full" in words:
        return LedgerFull("The disk is full, so nothing was saved. Make room and save again.")
    return trouble
