"""Pieces to sell and pieces sold, for the pages of sales."""

import pytest

from app.database.unit_of_work import Ledger
from app.pieces.models import Piece
from app.sales.models import Sale
from tests.builders.floor import a_channel, a_listed_piece
from tests.builders.sales import a_sold_piece
from tests.examining_client import ExaminingClient


@pytest.fixture
def listed(ledger: Ledger, client: ExaminingClient) -> Piece:  # noqa: ARG001
    """A chest on the floor at 240, through a channel that takes 13 % and 30 cents."""
    with ledger.writing() as session:
        channel = a_channel(session, "Online marketplace", percent_hundredths=13_00, fixed_cents=30)
        a_channel(session, "Local classifieds")
        return a_listed_piece(session, channel_ids=[channel.id])


@pytest.fixture
def sold(ledger: Ledger, client: ExaminingClient) -> tuple[Piece, Sale]:  # noqa: ARG001
    """A piece sold for 240 with tax, fees and delivery."""
    with ledger.writing() as session:
        money = {
            "delivery_charged_cents": 25_00,
            "delivery_paid_cents": 18_00,
            "fees_cents": 31_20,
            "tax_cents": 19_80,
        }
        return a_sold_piece(session, sale=money)
