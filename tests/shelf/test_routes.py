"""Pages of the shelf: a material, buying, using by the part, counting, striking out, and checks before saving."""

import csv
from collections.abc import Mapping
from io import BytesIO, StringIO
from typing import Any

import pytest
from sqlalchemy import select

from app.basics.dates import Month
from app.database.unit_of_work import Ledger
from app.shelf.actions import strike_use
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.rules import MaterialClass, Unit
from app.shop.actions import keep_closed
from app.shop.rules import MonthFigures
from tests.builders.photos import photo_bytes
from tests.builders.pieces import NOW, a_piece
from tests.builders.shelf import a_count, a_material, a_purchase, a_stocked_material, a_use
from tests.examining_client import ExaminingClient, Page

BUY = {"quantity": "1", "measure": "quart", "price": "20.00", "tax": "1.60", "on_date": "2026-11-20", "note": "n"}
USE = {"quantity": "8", "measure": "fl_oz", "part": "", "piece": "", "on_date": "2026-11-21", "note": ""}


@pytest.fixture
def tag(ledger: Ledger, client: ExaminingClient) -> str:  # noqa: ARG001
    with ledger.writing() as session:
        return a_piece(session, title="Oak chest").tag


@pytest.fixture
def paint(ledger: Ledger, client: ExaminingClient) -> int:  # noqa: ARG001
    with ledger.writing() as session:
        return a_stocked_material(session).id


def stored(ledger: Ledger, table: Any) -> list[Any]:
    with ledger.reading() as session:
        found = list(session.scalars(select(table).order_by(table.id)))
        session.expunge_all()
        return found


def cents(ledger: Ledger) -> list[int]:
    return [charge.cents for charge in stored(ledger, ShelfCharge)]


def sent(client: ExaminingClient, path: str, fields: Mapping[str, Any], *, status: int = 422) -> str:
    """What the page says to a post that is not sent on."""
    answer = client.post_form(path, fields)
    assert answer.status_code == status, answer.text[:500]
    return answer.text


def test_an_empty_shelf_leads_to_the_first_material(client: ExaminingClient, ledger: Ledger) -> None:
    assert "Start with the can you open most often" in client.get("/shelf").text
    fields = {
        "name": "Sage green",
        "klass": "paint",
        "unit": "ml",
        "colour": "#7a8f6a",
        "has_no_colour": "y",
        "sheen": "matt",
        "solids": "38",
        "reorder": "8 fl oz",
        "note": "",
    }
    answer = client.post_form("/shelf/new", fields)
    assert answer.location == "/shelf/1"
    page = client.get(answer.location).text
    assert "Nothing was bought of it yet" in page
    assert 'fill="#7a8f6a"' in page
    (material,) = stored(ledger, Material)
    assert (material.colour, material.reorder_milli, material.volume_solids_hundredths) == ("#7a8f6a", 236_588, 3_800)


def test_a_material_without_its_answers_is_asked_for_them_and_keeps_what_was_typed(client: ExaminingClient) -> None:
    page = sent(client, "/shelf/new", {"name": "", "reorder": "8 sheets", "unit": "ml", "note": "kept"})
    assert "Give it the name you call it by." in page
    assert "Tap what it is." in page
    assert "measured in fl oz, pt, qt, gal" in page
    assert "kept" in page


def test_a_material_is_put_right_and_a_late_edit_shows_what_it_says_now(client: ExaminingClient, paint: int) -> None:
    path = f"/shelf/{paint}/correct"
    form = next(form for form in Page(client.get(path).text).forms if form["method"] == "post")
    told = {**form["filled"], **form["fields"], "klass": "paint", "unit": "ml", "has_no_colour": "y"}
    assert client.post(path, {**told, "name": "Moss paint", "reorder": "1 qt"}).location == f"/shelf/{paint}"
    late = client.post(path, {**told, "name": "Fern paint", "submit_token": "another"})
    assert late.status_code == 409
    assert "Moss paint" in late.text
    assert "Fern paint" in late.text
    assert "1 qt" in client.get(path).text


def test_what_was_bought_goes_on_the_shelf_with_its_receipt(
    client: ExaminingClient, paint: int, ledger: Ledger
) -> None:
    receipt = (BytesIO(photo_bytes()), "receipt.jpg")
    answer = client.post_form(f"/shelf/{paint}/buy", {**BUY, "bought_at": "paint store", "receipt": receipt})
    assert answer.location == f"/shelf/{paint}"
    *_, bought = stored(ledger, ShelfPurchase)
    assert (bought.quantity_milli, bought.price_cents, bought.tax_cents) == (946_353, 2_000, 160)
    page = client.get(answer.location).text
    assert "paint store" in page
    assert f"/photos/{bought.receipt_photo_id}/large" in page
    assert "$21.60" in page
    assert '<option value="paint store">' in client.get(f"/shelf/{paint}/buy").text


def test_a_use_costs_the_piece_that_was_chosen(client: ExaminingClient, paint: int, tag: str, ledger: Ledger) -> None:
    page = client.get(f"/shelf/{paint}/use").text
    assert f"Oak chest · {tag}" in page
    answer = client.post_form(f"/shelf/{paint}/use", {**USE, "piece": tag.lower()})
    assert answer.location == f"/shelf/{paint}"
    assert cents(ledger) == [473]
    assert f'Used on <a href="/pieces/{tag}">Oak chest, {tag}</a>' in client.get(answer.location).text
    assert "Choose the piece out of the list." in sent(client, f"/shelf/{paint}/use", {**USE, "piece": "ZZZ"})


def test_about_a_third_of_the_can_is_a_third_of_what_was_bought_last(
    client: ExaminingClient, paint: int, tag: str, ledger: Ledger
) -> None:
    assert "One can is what you bought last" in client.get(f"/shelf/{paint}/use").text
    client.post_form(f"/shelf/{paint}/use", {**USE, "quantity": "", "part": "third", "piece": tag})
    client.post_form(f"/shelf/{paint}/use", {**USE, "quantity": "", "part": "rest", "piece": tag})
    assert [use.quantity_milli for use in stored(ledger, ShelfUse)] == [333_333, 666_667]
    assert sum(cents(ledger)) == 2_000
    assert "nothing was left on that day" in sent(
        client, f"/shelf/{paint}/use", {**USE, "quantity": "", "part": "rest"}
    )
    assert "not both" in sent(client, f"/shelf/{paint}/use", {**USE, "part": "half"})


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"quantity": ""}, "Type how much."),
        ({"quantity": "0"}, "A quantity of nothing is none."),
        ({"quantity": "-1"}, "never below zero"),
        ({"quantity": "2 sheets"}, "This material is measured in"),
        ({"on_date": "2026-11-26"}, "has not come yet"),
        ({"on_date": "2026-11-01"}, "Nothing of it was bought by 1 November 2026"),
        ({"on_date": "2023-01-01"}, "the day your books begin"),
    ],
)
def test_what_cannot_be_used_is_refused_and_stays_typed(
    client: ExaminingClient, paint: int, ledger: Ledger, fields: dict[str, str], words: str
) -> None:
    page = sent(client, f"/shelf/{paint}/use", {**USE, "note": "stays typed", **fields})
    assert words in page
    assert "stays typed" in page
    assert stored(ledger, ShelfUse) == []


def test_a_material_never_bought_is_refused_at_the_quantity(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        material_id = a_material(session).id
    page = sent(client, f"/shelf/{material_id}/use", USE)
    assert 'id="quantity-error"' in page
    assert "Nothing of it was bought by" in page


def test_a_use_beyond_what_is_left_is_flagged_and_then_settled(
    client: ExaminingClient, paint: int, tag: str, ledger: Ledger
) -> None:
    client.post_form(f"/shelf/{paint}/use", {**USE, "quantity": "1200", "measure": "ml", "piece": tag})
    page = client.get(f"/shelf/{paint}").text
    assert "beyond what the books say was left; settled with the next purchase" in page
    assert "More was used than the books say was there" in page
    assert "settled with the next purchase" in client.get(f"/pieces/{tag}/materials").text
    client.post_form(f"/shelf/{paint}/buy", {**BUY, "on_date": "2026-11-22"})
    assert "settled later with" in client.get(f"/shelf/{paint}").text
    assert len(cents(ledger)) == 2


def test_a_backdated_purchase_shows_what_it_changes_and_saves_when_told_to(
    client: ExaminingClient, paint: int, tag: str, ledger: Ledger
) -> None:
    client.post_form(f"/shelf/{paint}/use", {**USE, "piece": tag})
    path = f"/shelf/{paint}/buy"
    receipt = (BytesIO(photo_bytes()), "receipt.jpg")
    page = sent(client, path, {**BUY, "price": "60", "on_date": "2026-11-05", "receipt": receipt}, status=200)
    assert "Nothing is saved yet" in page
    assert f"Oak chest, {tag}" in page
    assert "was $4.73" in page
    assert "Choose the photo again" in page
    assert len(stored(ledger, ShelfPurchase)) == 1
    form = next(form for form in Page(page).forms if form["method"] == "post")
    with ledger.writing() as session:
        a_use(session, session.get_one(Material, paint), milli=10_000)
    changed = client.post(path, form["fields"])
    assert changed.status_code == 200
    assert "Nothing is saved yet" in changed.text
    form = next(form for form in Page(changed.text).forms if form["method"] == "post")
    assert client.post(path, form["fields"]).location == f"/shelf/{paint}"
    assert len(stored(ledger, ShelfPurchase)) == 2
    again = client.post(path, form["fields"])
    assert again.location == f"/shelf/{paint}"
    assert len(stored(ledger, ShelfPurchase)) == 2


def test_going_back_from_the_check_fills_the_form_in_again(client: ExaminingClient, paint: int) -> None:
    page = client.get(
        f"/shelf/{paint}/buy?quantity=1&measure=quart&price=60&on_date=2026-11-05&tax=&note=&bought_at="
    ).text
    filled = Page(page).forms[-1]["filled"]
    assert (filled["quantity"], filled["price"], filled["on_date"]) == ("1", "60", "2026-11-05")


def test_a_count_makes_the_difference_a_cost_of_the_shop(client: ExaminingClient, paint: int, ledger: Ledger) -> None:
    told = {"quantity": "900", "measure": "ml", "on_date": "2026-11-20", "note": ""}
    assert client.post_form(f"/shelf/{paint}/count", told).location == f"/shelf/{paint}"
    assert "3.38 fl oz missing" in client.get(f"/shelf/{paint}").text
    client.post_form(f"/shelf/{paint}/count", {**told, "quantity": "0", "on_date": "2026-11-21"})
    assert cents(ledger) == [200, 1_800]
    assert "0 if it is used up" in sent(client, f"/shelf/{paint}/count", {**told, "quantity": ""})


def test_striking_out_shows_what_else_changes(client: ExaminingClient, paint: int, tag: str, ledger: Ledger) -> None:
    with ledger.writing() as session:
        material = session.get_one(Material, paint)
        first = a_use(session, material, milli=900_000).id
        a_purchase(session, material, cents=4_000, on_date=NOW.date().replace(day=12))
        a_use(session, material, 1, on_date=NOW.date().replace(day=15))
    path = f"/shelf/uses/{first}/strike"
    page = client.get(path).text
    assert f"Oak chest, {tag}" in page
    assert "Say why it is struck out" in sent(client, path, {"reason": " "})
    assert client.post_form(path, {"reason": "wrong piece"}).location == f"/shelf/{paint}"
    page = client.get(f"/shelf/{paint}").text
    assert "Struck out: wrong piece" in page
    assert "was struck out on" in client.get(path).text


def test_a_strike_from_a_page_that_shows_something_else_is_asked_about_again(
    client: ExaminingClient, paint: int, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        first = a_use(session, session.get_one(Material, paint), milli=300_000).id
    path = f"/shelf/uses/{first}/strike"
    form = next(form for form in Page(client.get(path).text).forms if form["method"] == "post")
    with ledger.writing() as session:
        material = session.get_one(Material, paint)
        a_purchase(session, material, 1_000_000, 9_000, on_date=NOW.date().replace(day=12))
        a_use(session, material, on_date=NOW.date().replace(day=13))
    answer = client.post(path, {**form["fields"], "reason": "wrong"})
    assert answer.status_code == 422
    assert "more of them than were shown" in answer.text
    assert "The shop" in answer.text
    assert stored(ledger, ShelfUse)[0].struck_at is None


def test_two_browsers_strike_the_same_row_and_one_is_told(client: ExaminingClient, paint: int, ledger: Ledger) -> None:
    with ledger.writing() as session:
        use_id = a_use(session, session.get_one(Material, paint)).id
    path = f"/shelf/uses/{use_id}/strike"
    form = next(form for form in Page(client.get(path).text).forms if form["method"] == "post")
    with ledger.writing() as session:
        strike_use(session, use_id, reason="entered twice", now=NOW)
    answer = client.post(path, {**form["fields"], "reason": "again"})
    assert answer.status_code == 422
    assert "struck out already: entered twice" in answer.text


def test_a_purchase_on_which_a_use_rests_has_no_form_to_strike_it(
    client: ExaminingClient, paint: int, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        a_use(session, session.get_one(Material, paint))
    page = client.get("/shelf/purchases/1/strike").text
    assert "would be left with nothing bought before it" in page
    assert "<form" not in page.partition("<main")[2]


def test_a_row_in_a_closed_month_leads_to_a_correction(client: ExaminingClient, ledger: Ledger) -> None:
    october = NOW.date().replace(month=10, day=5)
    with ledger.writing() as session:
        material = a_material(session)
        a_purchase(session, material, on_date=october)
        a_count(session, material, 900_000, on_date=october)
        keep_closed(session, Month(2026, 10), MonthFigures(0, 0, 0, 0, 0), first=Month(2026, 10), now=NOW)
    for path, row in (("/shelf/purchases/1/strike", "shelf_purchase/1"), ("/shelf/counts/1/strike", "shelf_count/1")):
        page = client.get(path).text
        assert f'href="/corrections/{row}"' in page
        assert "<form" not in page.partition("<main")[2]
    closed = sent(client, "/shelf/1/buy", {**BUY, "on_date": "2026-10-06"})
    assert "October 2026 is closed" in closed
    assert len(stored(ledger, ShelfCount)) == 1


def test_a_piece_shows_its_materials_and_takes_one_by_a_tap(
    client: ExaminingClient, paint: int, tag: str, ledger: Ledger
) -> None:
    assert "Nothing from the shelf was used on it yet." in client.get(f"/pieces/{tag}/materials").text
    choose = client.get(f"/pieces/{tag}/materials/new").text
    assert f"/pieces/{tag}/materials/new?material={paint}" in choose
    path = f"/pieces/{tag}/materials/new?material={paint}"
    page = client.get(path).text
    assert f"On Oak chest, tag {tag}" in page
    answer = client.post_form(path, {"quantity": "250 ml", "measure": "fl_oz", "on_date": "2026-11-21"})
    assert answer.location == f"/pieces/{tag}/materials"
    assert "$5.00" in client.get(answer.location).text
    assert stored(ledger, ShelfUse)[0].piece_id == 1
    assert client.get(f"/pieces/{tag}/materials/new?material=x").status_code == 200
    client.get(f"/pieces/{tag}/materials/new?material=99", status=404)


def test_a_shop_without_anything_bought_is_led_to_the_shelf(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_material(session)
    assert "Put the material there first" in client.get(f"/pieces/{tag}/materials/new").text


def test_lists_are_taken_away_in_the_materials_own_unit(
    client: ExaminingClient, paint: int, tag: str, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        a_use(session, session.get_one(Material, paint), 1, note="=1+1")
    header, row = csv.reader(StringIO(client.get("/shelf.csv").text))
    assert dict(zip(header, row, strict=True))["Left"] == "750"
    header, used, bought = csv.reader(StringIO(client.get(f"/shelf/{paint}.csv").text))
    told = dict(zip(header, used, strict=True))
    assert (told["Quantity"], told["Charged"], told["Left after it"], told["Note"]) == ("-250", "5.00", "750", "'=1+1")
    assert dict(zip(header, bought, strict=True))["Paid"] == "20.00"
    header, used = csv.reader(StringIO(client.get(f"/pieces/{tag}/materials.csv").text))
    assert dict(zip(header, used, strict=True))["Material"] == "Sage paint"


def test_low_ones_stand_first_and_today_names_them(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_piece(session)
        a_stocked_material(session, "Alder paint")
        low = a_material(session, "Zinc primer", klass=MaterialClass.PRIMER, unit=Unit.ML, reorder_milli=2_000_000)
        a_purchase(session, low)
    page = client.get("/shelf").text
    assert page.index("Zinc primer") < page.index("Alder paint")
    assert "1 material runs low" in client.get("/").text
    assert "Time to buy more" in client.get(f"/shelf/{low.id}").text


def test_a_long_history_comes_in_pages(client: ExaminingClient, paint: int, ledger: Ledger) -> None:
    client.get(f"/shelf/{paint}")
    before = client.queries
    with ledger.writing() as session:
        for _ in range(45):
            a_use(session, session.get_one(Material, paint), milli=1_000)
    page = client.get(f"/shelf/{paint}").text
    assert client.queries == before
    assert "1 to 40 of 46" in page
    assert "Bought" in client.get(f"/shelf/{paint}?page=2").text


def test_what_is_not_there_is_not_found(client: ExaminingClient) -> None:
    for path in (
        "/shelf/99",
        "/shelf/99.csv",
        "/shelf/99/buy",
        "/shelf/99/use",
        "/shelf/99/count",
        "/shelf/99/correct",
        "/shelf/purchases/99/strike",
        "/shelf/uses/99/strike",
        "/shelf/counts/99/strike",
        "/pieces/ZZZ/materials",
        "/pieces/ZZZ/materials/new",
    ):
        client.get(path, status=404)


def test_paint_is_bought_by_the_quart_and_more_than_was_left_is_said(client: ExaminingClient, paint: int) -> None:
    page = client.get(f"/shelf/{paint}/buy").text
    assert '<option selected value="quart">' in page

    client.post_form(f"/shelf/{paint}/use", {**USE, "quantity": "40"})

    assert "more than the books had left" in client.get(f"/shelf/{paint}").text
