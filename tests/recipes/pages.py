"""What the tests of the pages of recipes share: a form of a coat of paint, and what a page holds and says."""

from collections.abc import Mapping
from typing import Any

from app.database.unit_of_work import Ledger
from app.recipes.queries import RecipeSheet, recipe_by_id
from tests.examining_client import ExaminingClient, Page

PAINT = {
    "part": "body",
    "material": "",
    "product": "",
    "coats": "2",
    "way": "",
    "note": "",
    "caution": "",
    "ratio": "",
    "mixed_with": "",
    "thin": "",
    "colour": "#b98a4e",
    "dwell": "",
    "recoat": "",
    "recoat_by": "",
    "cure": "",
    "active": "",
}
NEW_PAINT = "/recipes/1/steps/new?task=paint"


def sheet_of(ledger: Ledger, recipe_id: int = 1) -> RecipeSheet:
    with ledger.reading() as session:
        return recipe_by_id(session, recipe_id)


def sent(client: ExaminingClient, path: str, fields: Mapping[str, Any], *, status: int = 422) -> str:
    """What the page says to a post that is not sent on."""
    answer = client.post_form(path, fields)
    assert answer.status_code == status, answer.text[:500]
    return answer.text


def form_on(client: ExaminingClient, page: str, ending: str) -> dict[str, str]:
    """What the form of a page that leads to an address ending so holds."""
    forms = [form for form in Page(client.get(page).text).forms if str(form["action"]).endswith(ending)]
    held: dict[str, str] = {**forms[0]["filled"], **forms[0]["fields"]}
    return held
