"""A recipe in the ledger of the pages."""

import pytest

from app.database.unit_of_work import Ledger
from tests.builders.recipes import a_recipe
from tests.examining_client import ExaminingClient


@pytest.fixture
def recipe(ledger: Ledger, client: ExaminingClient) -> int:  # noqa: ARG001
    with ledger.writing() as session:
        return a_recipe(session).id
