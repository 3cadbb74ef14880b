"""A locked shop, and browsers elsewhere on the home network."""

from datetime import datetime

import pytest
from flask import Flask

from app.access import actions
from app.access.rules import Home
from app.database.unit_of_work import Ledger
from app.shop.rules import ShopFacts
from tests.access.visitors import GOOD, PHONE, sign_in
from tests.examining_client import ExaminingClient

HOME = Home("192.168.1.5", 8427)


@pytest.fixture
def locked(ledger: Ledger, shop: ShopFacts, now: datetime) -> Ledger:  # noqa: ARG001
    """The shop with a passphrase."""
    with ledger.writing() as session:
        actions.set_passphrase(session, GOOD, now=now)
    return ledger


@pytest.fixture
def at_home(locked: Ledger, now: datetime) -> Ledger:
    """The same with an address at which phones find it."""
    with locked.writing() as session:
        actions.settle_at(session, HOME, now=now)
    return locked


@pytest.fixture
def phone(app: Flask, locked: Ledger) -> ExaminingClient:  # noqa: ARG001
    """A browser elsewhere on the home network."""
    client = ExaminingClient(app)
    client.raw.environ_base["REMOTE_ADDR"] = PHONE
    return client


@pytest.fixture
def inside(app: Flask, locked: Ledger) -> ExaminingClient:  # noqa: ARG001
    """Another one, signed in."""
    client = ExaminingClient(app)
    client.raw.environ_base["REMOTE_ADDR"] = PHONE
    sign_in(client)
    return client
