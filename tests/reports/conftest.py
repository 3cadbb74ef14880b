"""What tests of the books' pages share."""

from collections.abc import Iterator

import pytest
from sqlalchemy.orm import Session

from app.database.unit_of_work import Ledger
from tests.examining_client import ExaminingClient


@pytest.fixture
def books(client: ExaminingClient, ledger: Ledger) -> Iterator[tuple[ExaminingClient, Session]]:
    """A browser on the shop, and a session whose work it sees once it is committed."""
    with Session(ledger.engine, expire_on_commit=False) as session:
        yield client, session
