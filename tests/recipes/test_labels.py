"""What labels say: kept, changed, read for many materials at once, and their page."""

from datetime import datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.database.unit_of_work import Ledger
from app.recipes.actions import say_label
from app.recipes.models import MaterialLabel
from app.recipes.queries import label_of, label_row, labels_of
from app.recipes.rules import DAY, NO_LABEL, Label, Product
from app.shelf.rules import MaterialClass, Unit
from tests.builders.recipes import a_label
from tests.builders.shelf import a_material
from tests.examining_client import ExaminingClient

TYPED = {"product": "", "recoat": "", "recoat_by": "", "handle": "", "cure": "", "dwell": "", "spread": ""}


def test_a_label_is_kept_and_said_anew(session: Session, now: datetime) -> None:
    paint, bare = a_material(session), a_material(session, "Bare")
    label = Label(Product.OIL_PAINT, 960, 7 * DAY, DAY, 30 * DAY, 5, 982)
    say_label(session, paint.id, label, version=0, now=now)
    assert (label_of(session, paint.id), label_row(session, paint.id).version) == (label, 1)
    assert (label_of(session, bare.id), label_row(session, bare.id).version) == (NO_LABEL, 0)
    say_label(session, paint.id, Label(recoat=240), version=1, now=now)
    assert labels_of(session, [paint.id, bare.id]) == {paint.id: Label(recoat=240)}
    assert labels_of(session, []) == {}
    assert label_row(session, paint.id).version == 2


def test_a_late_label_is_shown_what_is_said_now(session: Session, now: datetime) -> None:
    paint = a_material(session)
    a_label(session, paint.id, product=Product.MINERAL_PAINT)
    with pytest.raises(StaleEdit) as stale:
        say_label(session, paint.id, NO_LABEL, version=0, now=now)
    assert stale.value.version == 1
    assert stale.value.now_values["Sort of product"] == "Chalky or mineral paint"
    assert stale.value.now_values["Next coat from"] == "4 h"
    with pytest.raises(NotFound):
        say_label(session, 99, NO_LABEL, version=0, now=now)
    with pytest.raises(RuleError):
        say_label(session, paint.id, Label(recoat=-1), version=1, now=now)


def test_a_label_is_typed_from_the_can(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        paint_id = a_material(session).id
    assert f'href="/shelf/{paint_id}/label"' in client.get(f"/shelf/{paint_id}").text
    path = f"/shelf/{paint_id}/label"
    page = client.get(path).text
    assert page.index("Chalky or mineral paint") < page.index("Stripper")
    told = {**TYPED, "product": "mineral_paint", "recoat": "4 h", "cure": "21 days", "spread": "100"}
    assert client.post_form(path, told).location == f"/shelf/{paint_id}"
    with ledger.reading() as session:
        assert label_of(session, paint_id) == Label(
            Product.MINERAL_PAINT, recoat=240, cure=21 * DAY, spread_hundredths=982
        )
    page = client.get(path).text
    for value in ('value="4 h"', 'value="21 days"', 'value="100"', 'selected value="mineral_paint"'):
        assert value in page


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"recoat": "4"}, "Say what it is behind the number"),
        ({"cure": "-3 days"}, "never below zero"),
        ({"dwell": "400 days"}, "at most 365 days"),
        ({"recoat": "2 days", "recoat_by": "1 day"}, "cannot end before it begins"),
        ({"spread": "0"}, "cover more than nothing"),
        ({"spread": "5000"}, "No coat goes that far"),
    ],
)
def test_what_no_label_says_is_refused_at_its_field_and_stays_typed(
    client: ExaminingClient, ledger: Ledger, fields: dict[str, str], words: str
) -> None:
    with ledger.writing() as session:
        paint_id = a_material(session).id
    answer = client.post_form(f"/shelf/{paint_id}/label", {**TYPED, **fields})
    assert answer.status_code == 422
    assert words in answer.text
    assert all(f'value="{typed}"' in answer.text for typed in fields.values())
    with ledger.reading() as session:
        assert session.scalars(select(MaterialLabel)).all() == []


def test_how_far_it_goes_is_not_asked_of_what_is_counted(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        sheets = a_material(session, "Sheets", klass=MaterialClass.ABRASIVE, unit=Unit.SHEET).id
    assert 'name="spread"' not in client.get(f"/shelf/{sheets}/label").text
    told = {name: typed for name, typed in TYPED.items() if name != "spread"}
    assert client.post_form(f"/shelf/{sheets}/label", told).status_code == 303
    client.get("/shelf/99/label", status=404)
