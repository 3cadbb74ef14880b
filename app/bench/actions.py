"""Say what the workshop has, and what a piece is expected to bring."""

from datetime import datetime

from sqlalchemy.orm import Session
from sqlalchemy.orm.attributes import flag_modified

from app.basics.errors import RuleError, StaleEdit
from app.basics.money import currency_places, money_plain
from app.basics.quantities import format_minutes
from app.basics.spells import spells_in_words
from app.bench.models import BenchFacts, Expectation
from app.bench.queries import expectation, workshop
from app.bench.rules import Workshop, require_workshop
from app.pieces.actions.ground import counting_piece, the_shop
from app.pieces.rules import require_on_hand
from app.shop.queries import usual_hours
from app.shop.rules import WEEKDAYS, days_typed


def set_bench_facts(session: Session, *, drying_places: int, spray_clear: int, version: int | None) -> BenchFacts:
    """Say how many places there are to dry, and for how many minutes the spray corner stays taken after a coat.

    The usual hours stand in the same form, so its version moves on with every save, whatever of it is new. Refuses what
    `require_workshop` refuses; raises StaleEdit.
    """
    require_workshop(drying_places, spray_clear)
    has = workshop(session)
    if version is not None and version != has.version:
        raise StaleEdit("workshop", _stands(session, has), has.version)
    row = session.get(BenchFacts, 1)
    if row is None:
        row = BenchFacts(id=1, drying_places=drying_places, spray_clear=spray_clear)
        session.add(row)
    row.drying_places, row.spray_clear = drying_places, spray_clear
    flag_modified(row, "drying_places")
    session.flush()
    return row


def _stands(session: Session, has: Workshop) -> dict[str, str]:
    days = zip(WEEKDAYS, days_typed(usual_hours(session)), strict=True)
    week = "; ".join(f"{day} {spells_in_words(spells)}" for day, spells in days if spells)
    return {
        "The week": week or "no hours at all",
        "Places to dry": str(has.drying_places),
        "Spray corner taken": format_minutes(has.spray_clear),
    }


def expect(session: Session, piece_id: int, cents: int | None, *, version: int | None, now: datetime) -> None:
    """Say what a piece is going to bring; None takes back what was said, and the guess at buying counts again.

    The row stays without an amount then, so that a form opened before cannot pass for a new one.

    Refuses less than nothing (RuleError at "brings") and a piece that is sold or gone; raises StaleEdit, NotFound.
    """
    piece = counting_piece(session, piece_id)
    require_on_hand(piece.stage, piece.left_as)
    if cents is not None and cents < 0:
        raise RuleError("A piece brings nothing at least.", "brings")
    there = expectation(session, piece_id)
    if version is not None and version != there.version:
        places = currency_places(the_shop(session).currency)
        said = "nothing said" if there.cents is None else money_plain(there.cents, places)
        raise StaleEdit("expectation", {"It brings": said}, there.version)
    row = session.get(Expectation, piece_id)
    if row is not None:
        row.brings_cents, row.made_at = cents, now
    elif cents is not None:
        session.add(Expectation(piece_id=piece_id, brings_cents=cents, made_at=now))
    session.flush()
