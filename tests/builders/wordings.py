"""The shop's permanent address, and the owner's own words for pieces, for tests."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.access.models import HomeAddress
from tests.builders.pieces import NOW

HOST = "192.168.1.20"
PORT = 8427


def a_home(session: Session, host: str = HOST, port: int = PORT, *, now: datetime = NOW) -> HomeAddress:
    """The address at which phones find the shop."""
    row = HomeAddress(host=host, port=port, set_at=now)
    session.add(row)
    session.flush()
    return row
