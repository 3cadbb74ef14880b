"""What the desk's forms take, keep and refuse."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import date
from io import BytesIO
from typing import Any

import pytest
from flask import Flask, g
from werkzeug.datastructures import FileStorage

from app.basics.errors import RuleError
from app.desk.forms.find import FindForm
from app.desk.forms.haul import HaulForm
from app.desk.forms.own import OwnForm
from app.desk.forms.rows import MOST_ROWS, rows_from_request
from app.desk.forms.split import SplitForm
from app.photos.rules import MOST_AT_ONCE, StoredPhoto
from app.pieces.rules import FORM_WORDS, Age, Form, SplitMethod, Stage
from app.web.frame import Frame

TODAY = date(2026, 11, 25)
KERB, AUCTION = "2", "1"


Page = Callable[[dict[str, Any]], None]


@pytest.fixture
def page(app: Flask) -> Iterator[Page]:
    """Posts fields: what is read next from the request is these."""
    with ExitStack() as opened:

        def post(fields: dict[str, Any]) -> None:
            opened.enter_context(app.test_request_context(method="POST", data=fields))
            g.frame = Frame(today=TODAY)

        post({})
        yield post


def find_form(page: Page, **fields: Any) -> FindForm:
    """The posted form of a find."""
    page({"form": "chest", "bought_on": "2026-11-25", **fields})
    form = FindForm.from_request().offer("source", [(AUCTION, "auction"), (KERB, "kerb (free)")])
    form.free_sources = {KERB}
    form.keep_photo = keep
    return form


def keep(upload: FileStorage) -> StoredPhoto:
    """Stands for the photo folder: takes what is called a JPEG."""
    if not (upload.filename or "").endswith(".jpg"):
        raise RuleError("This is not a readable photo.")
    return StoredPhoto("0" * 64, "jpeg", 4, 3, 10, upload.filename or "", None)


def test_every_form_of_furniture_can_be_tapped(page: Page) -> None:  # noqa: ARG001
    offered = [value for value, *_ in FindForm().form.iter_choices()]
    assert offered == [form.value for form in FORM_WORDS]
    assert len(offered) == 17


def test_a_find_needs_only_its_form_and_what_was_paid(page: Page) -> None:
    form = find_form(page, paid="45")
    assert form.validate(), form.errors
    find = form.new_find()
    assert (find.price_cents, find.source_id, find.bought_on) == (4500, None, TODAY)
    assert (find.facts.form, find.facts.count, find.facts.age) == (Form.CHEST, 1, Age.UNKNOWN)


def test_what_was_paid_may_stay_empty_where_finds_cost_nothing(page: Page) -> None:
    form = find_form(page, paid="", source=KERB)
    assert form.validate(), form.errors
    assert form.new_find().price_cents == 0


@pytest.mark.parametrize("source", [AUCTION, ""])
def test_what_was_paid_is_asked_for_everywhere_else(page: Page, source: str) -> None:
    form = find_form(page, paid="", source=source)
    assert not form.validate()
    assert form.errors == {"paid": ["Type what you paid; 0 if it cost nothing."]}


def test_nothing_tapped_is_asked_about(page: Page) -> None:
    form = find_form(page, form="", paid="3")
    assert not form.validate()
    assert form.errors["form"] == ["Tap what it is."]


def test_a_source_nobody_offered_is_refused(page: Page) -> None:
    form = find_form(page, paid="3", source="99")
    assert not form.validate()
    assert list(form.errors) == ["source"]


def test_each_photo_that_fails_is_named(page: Page) -> None:
    photos = [(BytesIO(b"x"), name) for name in ("a.jpg", "note.txt", "b.heic")]
    form = find_form(page, paid="3", photos=photos)
    assert not form.validate()
    [message] = form.errors["photos"]
    assert "note.txt: " in message
    assert "b.heic: " in message
    assert "a.jpg" not in message


def test_photos_are_kept_though_something_else_is_wrong(page: Page) -> None:
    form = find_form(page, paid="", photos=[(BytesIO(b"x"), "a.jpg")])
    assert not form.validate()
    assert [photo.given_name for photo in form.kept_photos] == ["a.jpg"]
    form = find_form(page, paid="3", photos=[(BytesIO(b"x"), "a.jpg")])
    assert form.validate(), form.errors
    assert [photo.given_name for photo in form.kept_photos] == ["a.jpg"]


def test_more_photos_than_fit_in_one_go_are_refused(page: Page) -> None:
    many = [(BytesIO(b"x"), f"{number}.jpg") for number in range(MOST_AT_ONCE + 1)]
    form = find_form(page, paid="3", photos=many)
    assert not form.validate()
    assert f"Only {MOST_AT_ONCE} photos" in form.errors["photos"][0]


def haul_form(page: Page, **fields: Any) -> HaulForm:
    """The posted form of a haul of two rows."""
    usual = {"paid": "100", "bought_on": "2026-11-25", "split": "guess", "row_count": "3"}
    usual |= {f"piece_{number}_form": "" for number in (1, 2, 3)}
    page(usual | fields)
    form = rows_from_request(HaulForm)
    return form.offer("source", [(AUCTION, "auction")])


def test_empty_rows_of_a_haul_are_passed_over(page: Page) -> None:
    rows = {"piece_1_form": "chest", "piece_1_guess": "200", "piece_3_form": "mirror", "piece_3_guess": "50"}
    form = haul_form(page, **rows)
    assert form.validate(), form.errors
    haul = form.new_haul()
    assert [part.facts.form for part in haul.parts] == [Form.CHEST, Form.MIRROR]
    assert [part.guess_cents for part in haul.parts] == [20_000, 5_000]
    assert (haul.price_cents, haul.split) == (10_000, SplitMethod.GUESS)


def test_a_row_with_words_but_no_form_is_asked_about_by_its_number(page: Page) -> None:
    form = haul_form(page, piece_2_title="Red chair")
    assert not form.validate()
    assert form.errors["piece_2_form"] == ["Piece 2: choose what it is."]


def test_a_wrong_amount_names_its_row(page: Page) -> None:
    form = haul_form(page, piece_2_form="chair", piece_2_guess="twelve")
    assert not form.validate()
    assert form.errors["piece_2_guess"][0].startswith("Piece 2: Type the amount")


def test_a_haul_without_any_row_is_asked_about(page: Page) -> None:
    form = haul_form(page)
    assert not form.validate()
    assert form.form_errors == ["Fill in at least one piece."]


def test_more_rows_keep_what_was_typed_and_have_an_end(page: Page) -> None:
    form = haul_form(page, piece_3_title="Red chair", more_rows="1")
    assert (form.rows_shown, form.at(3, "title").data) == (9, "Red chair")
    assert haul_form(page, row_count="100000").rows_shown == MOST_ROWS
    assert haul_form(page, row_count="no number").rows_shown == HaulForm.starts_with


def own_form(page: Page, **fields: Any) -> OwnForm:
    """The posted form of what is owned: one full row."""
    usual = {
        "row_count": "2",
        "piece_1_form": "table",
        "piece_1_stage": "prepped",
        "piece_1_sourced_on": "2024-05-01",
        "piece_1_cost": "12",
        "piece_2_form": "",
        "piece_2_stage": "sourced",
    }
    page(usual | fields)
    return rows_from_request(OwnForm).offer("channels", [("1", "stall")])


def test_an_owned_row_says_what_it_is_how_far_it_came_and_its_cost(page: Page) -> None:
    form = own_form(page)
    assert form.validate(), form.errors
    [one] = form.owned()
    assert (one.row, one.piece.stage, one.piece.cost_cents, one.asking_cents) == (1, Stage.PREPPED, 1200, None)


def test_a_listed_row_needs_a_price_and_a_channel(page: Page) -> None:
    form = own_form(page, piece_1_stage="listed")
    assert not form.validate()
    assert set(form.errors) == {"piece_1_asking", "channels"}


def test_a_listed_row_is_entered_as_finished_and_offered_at_its_price(page: Page) -> None:
    form = own_form(page, piece_1_stage="listed", piece_1_asking="90", channels="1")
    assert form.validate(), form.errors
    [one] = form.owned()
    assert (one.piece.stage, one.asking_cents, form.channel_ids) == (Stage.FINISHED, 9000, (1,))


def test_an_owned_row_needs_its_day(page: Page) -> None:
    form = own_form(page, piece_1_sourced_on="")
    assert not form.validate()
    assert list(form.errors) == ["piece_1_sourced_on"]


def test_a_part_of_a_set_says_how_many_are_in_it(page: Page) -> None:
    page({"row_count": "2", "split_by": "each", "on_date": "2026-11-25", "part_1_title": "Two", "version": "1"})
    form = rows_from_request(SplitForm)
    assert not form.validate()
    assert form.errors["part_1_count"] == ["Part 1: say how many are in it."]


@pytest.mark.parametrize("told", ["", "x", "-1", "\u0664", "9" * 5000])
def test_a_number_of_rows_that_is_none_gives_the_usual_number(page: Page, told: str) -> None:
    page({"row_count": told})
    assert rows_from_request(SplitForm).rows_shown == SplitForm.starts_with
