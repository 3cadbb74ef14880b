"""The room's pages that change a piece: what they save, and what they say to bad input."""

from datetime import date
from typing import Any

import pytest
from sqlalchemy import func, select

from app.database.unit_of_work import Ledger
from app.pieces.actions import correct_facts, leave, move_piece, split_off
from app.pieces.models import Correction, Piece, Purchase, Step
from app.pieces.queries import PieceRow, corrections_of, leavings_of, piece_row, purchases_of, steps_of
from app.pieces.rules import Age, Form, Leaving, PurchaseKind, SplitPart, Stage, StepKind
from tests.builders.pieces import NOW, a_haul, a_piece, a_source, an_owned_piece, some_facts
from tests.examining_client import ExaminingClient, Page


def made(ledger: Ledger, **said: Any) -> PieceRow:
    with ledger.writing() as session:
        piece = a_piece(session, **said)
        return piece_row(session, piece.id)


def now_says(ledger: Ledger, piece: PieceRow) -> PieceRow:
    with ledger.reading() as session:
        return piece_row(session, piece.id)


def how_many(ledger: Ledger, table: type[Correction] | type[Step] | type[Purchase]) -> int:
    with ledger.reading() as session:
        return session.scalar(select(func.count()).select_from(table)) or 0


FACTS = {
    "form": "chest",
    "title": "Oak chest",
    "count": "1",
    "width_mm": "",
    "depth_mm": "",
    "height_mm": "",
    "condition": "",
    "materials": "",
    "age": "unknown",
    "year": "",
    "notes": "",
}


def test_facts_are_put_right_on_their_page(client: ExaminingClient, ledger: Ledger) -> None:
    piece = made(ledger)
    said = {"form": "trunk", "title": "", "width_mm": "31 1/2", "condition": "C", "age": "before_1978", "year": "1950"}
    answer = client.post_form(f"/pieces/{piece.tag}/correct", {**FACTS, **said})
    assert answer.status_code == 303
    assert answer.headers["Location"].endswith(f"/pieces/{piece.tag}")
    row = now_says(ledger, piece)
    assert (row.form, row.name, row.width_mm, row.age, row.year) == (Form.TRUNK, "Trunk", 800, Age.BEFORE_1978, 1950)
    assert row.condition is not None
    page = client.get(f"/pieces/{piece.tag}/correct").text
    assert "Put right before" in page
    assert "31 1/2 in" in page


def test_the_page_shows_what_is_known_ready_to_be_changed(client: ExaminingClient, ledger: Ledger) -> None:
    piece = made(ledger, width_mm=800, notes="line one\nline two", year=1950, age=Age.BEFORE_1978)
    page = client.get(f"/pieces/{piece.tag}/correct").text
    for words in ('value="Oak chest"', 'value="31.5"', 'value="1950"', "line one\nline two"):
        assert words in page
    assert 'value="before_1978" checked' in page


@pytest.mark.parametrize("age", [Age.BEFORE_1978, Age.UNKNOWN])
def test_old_paint_gets_its_caution_with_its_source(client: ExaminingClient, ledger: Ledger, age: Age) -> None:
    page = client.get(f"/pieces/{made(ledger, age=age).tag}/correct").text
    assert "may hold lead" in page
    assert "42 FR 41192" in page


def test_a_piece_known_to_be_younger_gets_no_lead_caution(client: ExaminingClient, ledger: Ledger) -> None:
    assert "may hold lead" not in client.get(f"/pieces/{made(ledger, age=Age.AFTER_1978).tag}/correct").text


def test_a_title_of_ten_thousand_letters_is_refused_and_kept_in_the_box(
    client: ExaminingClient, ledger: Ledger
) -> None:
    piece, long_title = made(ledger), "oak " * 2_500
    answer = client.post_form(f"/pieces/{piece.tag}/correct", {**FACTS, "title": long_title, "notes": "keep me"})
    assert answer.status_code == 422
    assert "Keep it to 120 at most" in answer.text
    assert long_title.strip() in answer.text
    assert "keep me" in answer.text
    assert now_says(ledger, piece).title == "Oak chest"


@pytest.mark.parametrize("title", ["🪑🖌️ chair", "خزانة من خشب البلوط", "ארון אלון", "<b>Oak</b> & 'co'"])
def test_any_script_and_any_sign_is_kept_as_typed(client: ExaminingClient, ledger: Ledger, title: str) -> None:
    piece = made(ledger)
    assert client.post_form(f"/pieces/{piece.tag}/correct", {**FACTS, "title": title}).status_code == 303
    assert now_says(ledger, piece).title == title
    assert "<b>Oak</b>" not in client.get("/pieces").text


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"count": "none"}, "Type a whole number"),
        ({"count": ""}, "Say how many"),
        ({"count": "0"}, "one thing, or a set"),
        ({"count": "9999999"}, "too large"),
        ({"width_mm": "wide"}, "Type the length in inches"),
        ({"year": "2031"}, "Give a year from 1500 to 2026"),
        ({"year": "1950", "age": "after_1978"}, "1950 is before 1978"),
        ({"form": "spaceship"}, "Not a valid choice"),
        ({"form": ""}, "Tap what it is"),
    ],
)
def test_facts_that_cannot_be_are_answered_in_plain_words(
    client: ExaminingClient, ledger: Ledger, said: dict[str, str], words: str
) -> None:
    piece = made(ledger)
    answer = client.post_form(f"/pieces/{piece.tag}/correct", {**FACTS, **said})
    assert answer.status_code == 422
    assert words in answer.text
    assert how_many(ledger, Correction) == 0


def test_a_form_sent_twice_is_saved_once(client: ExaminingClient, ledger: Ledger) -> None:
    piece = made(ledger)
    path = f"/pieces/{piece.tag}/correct"
    fields = {**Page(client.get(path).text).forms[0]["fields"], **FACTS, "title": "Twice"}
    assert client.post(path, fields).status_code == 303
    assert client.post(path, fields).status_code == 303
    assert how_many(ledger, Correction) == 1


def test_a_page_that_went_stale_shows_both_versions_and_saves_on_the_second_try(
    client: ExaminingClient, ledger: Ledger
) -> None:
    piece = made(ledger)
    path = f"/pieces/{piece.tag}/correct"
    hidden = Page(client.get(path).text).forms[0]["fields"]
    with ledger.writing() as session:
        correct_facts(session, piece.id, some_facts(title="From the phone"), version=None, now=NOW)
    answer = client.post(path, {**hidden, **FACTS, "title": "From the table"})
    assert answer.status_code == 409
    assert "From the phone" in answer.text
    assert 'value="From the table"' in answer.text
    assert now_says(ledger, piece).title == "From the phone"
    again = Page(answer.text).forms[0]["fields"]
    assert client.post(path, {**again, **FACTS, "title": "From the table"}).status_code == 303
    assert now_says(ledger, piece).title == "From the table"


def test_a_finish_colour_is_kept_and_painted(client: ExaminingClient, ledger: Ledger) -> None:
    piece = made(ledger)
    path = f"/pieces/{piece.tag}/finish"
    said = {"finish_colour": "#7a8f6a", "finish_words": "sage"}
    assert client.post_form(path, said).status_code == 303
    assert (now_says(ledger, piece).finish_colour, now_says(ledger, piece).finish_words) == ("#7a8f6a", "sage")
    assert 'fill="#7a8f6a"' in client.get(path).text
    assert client.post_form(path, {**said, "has_no_colour": "y"}).status_code == 303
    assert now_says(ledger, piece).finish_colour is None


def test_a_colour_chosen_beside_no_colour_yet_wins_over_the_tick(client: ExaminingClient, ledger: Ledger) -> None:
    piece = made(ledger)
    said = {"finish_colour": "#112233", "has_no_colour": "y", "finish_words": "blue"}
    assert client.post_form(f"/pieces/{piece.tag}/finish", said).status_code == 303
    assert now_says(ledger, piece).finish_colour == "#112233"


def test_words_alone_leave_a_piece_without_a_colour(client: ExaminingClient, ledger: Ledger) -> None:
    piece = made(ledger)
    page = Page(client.get(f"/pieces/{piece.tag}/finish").text)
    shown = next(box for box in page.controls if box.get("type") == "color")["value"]
    said = {"finish_colour": shown, "has_no_colour": "y", "finish_words": "oil"}
    assert client.post_form(f"/pieces/{piece.tag}/finish", said).status_code == 303
    assert (now_says(ledger, piece).finish_colour, now_says(ledger, piece).finish_words) == (None, "oil")


def test_a_colour_that_is_none_is_refused(client: ExaminingClient, ledger: Ledger) -> None:
    answer = client.post_form(f"/pieces/{made(ledger).tag}/finish", {"finish_colour": "red", "finish_words": ""})
    assert answer.status_code == 422
    assert "Choose the colour from the box" in answer.text


def test_what_to_do_next_is_noted_and_taken_off(client: ExaminingClient, ledger: Ledger) -> None:
    piece = made(ledger)
    path = f"/pieces/{piece.tag}/next"
    client.post_form(path, {"next_note": "glue the drawer"})
    assert now_says(ledger, piece).next_note == "glue the drawer"
    client.post_form(path, {"next_note": ""})
    assert now_says(ledger, piece).next_note == ""
    assert client.post_form(path, {"next_note": "x" * 201}).status_code == 422


def test_a_step_forward_is_preselected_by_the_link(client: ExaminingClient, ledger: Ledger) -> None:
    piece = made(ledger)
    page = client.get(f"/pieces/{piece.tag}/step?to=finished").text
    assert 'value="finished" checked' in page
    assert 'value="prepped" checked' in client.get(f"/pieces/{piece.tag}/step?to=sold").text
    answer = client.post_form(f"/pieces/{piece.tag}/step", {"to_stage": "finished", "on_date": "2026-11-20"})
    assert answer.status_code == 303
    row = now_says(ledger, piece)
    assert (row.stage, row.stage_since) == (Stage.FINISHED, date(2026, 11, 20))


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"to_stage": "sold"}, "Not a valid choice"),
        ({"on_date": "2026-02-31"}, "There is no 31 February"),
        ({"on_date": "2026-11-26"}, "26 November 2026 has not come yet"),
        ({"on_date": "2026-09-30"}, "cannot be dated before"),
        ({"on_date": ""}, "Give the day"),
        ({"on_date": "soon"}, "Type the day like"),
    ],
)
def test_a_step_that_cannot_be_is_answered_in_plain_words(
    client: ExaminingClient, ledger: Ledger, said: dict[str, str], words: str
) -> None:
    piece = made(ledger)
    answer = client.post_form(f"/pieces/{piece.tag}/step", {"to_stage": "prepped", "on_date": "2026-11-20", **said})
    assert answer.status_code == 422
    assert words in answer.text
    assert now_says(ledger, piece).stage is Stage.SOURCED


@pytest.mark.parametrize("where", ["finished", "listed", "sold", "left"])
def test_a_piece_with_no_step_by_hand_says_what_comes_next(client: ExaminingClient, ledger: Ledger, where: str) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, stage=Stage.FINISHED)
        if where == "left":
            leave(session, piece.id, Leaving.KEPT, on_date=date(2026, 11, 1), reason="", version=None, now=NOW)
        elif where != "finished":
            kind = StepKind.SALE if where == "sold" else StepKind.FORWARD
            move_piece(session, piece, Stage(where), kind, on_date=date(2026, 11, 1), reason="", now=NOW)
    page = client.get(f"/pieces/{piece.tag}/step")
    assert not [form for form in Page(page.text).forms if form["method"] == "post"]
    assert {"finished": "floor", "listed": "its sale", "sold": "It is sold", "left": "Bring it back"}[
        where
    ] in page.text


def test_a_piece_comes_back_with_its_reason(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
        leave(session, piece.id, Leaving.KEPT, on_date=date(2026, 11, 1), reason="", version=None, now=NOW)
    path = f"/pieces/{piece.tag}/bring-back"
    assert client.post_form(path, {"on_date": "2026-11-02", "reason": " "}).status_code == 422
    assert client.post_form(path, {"on_date": "2026-10-31", "reason": "no room"}).status_code == 422
    assert client.post_form(path, {"on_date": "2026-11-02", "reason": "no room"}).status_code == 303
    with ledger.reading() as session:
        assert piece_row(session, piece.id).left_as is None
        assert leavings_of(session, piece.id)[0].back_on == date(2026, 11, 2)
    assert "It has not left" in client.get(path).text


def test_dates_are_put_right_on_their_page(client: ExaminingClient, ledger: Ledger) -> None:
    piece = made(ledger, stage=Stage.PREPPED, stage_on=date(2026, 10, 4))
    path = f"/pieces/{piece.tag}/dates"
    with ledger.reading() as session:
        step = f"step_{steps_of(session, piece.id)[1].id}"
    assert "3 days" in client.get(path).text
    wrong = client.post_form(path, {"sourced_on": "2026-10-02", step: "2026-10-01"})
    assert wrong.status_code == 422
    assert "before the step it follows" in wrong.text
    assert client.post_form(path, {"sourced_on": "2026-09-30", step: "2026-10-02"}).status_code == 303
    row = now_says(ledger, piece)
    assert (row.sourced_on, row.stage_since) == (date(2026, 9, 30), date(2026, 10, 2))


def test_what_was_paid_is_put_right_and_both_rows_stay_in_sight(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        source = a_source(session)
        piece = a_piece(session, price_cents=4_000)
    path = f"/pieces/{piece.tag}/paid"
    said = {"source": str(source.id), "paid": "35", "premium": "1.50", "tax": "", "reason": "misread"}
    assert client.post_form(path, said).status_code == 303
    with ledger.reading() as session:
        assert [row.total_cents for row in purchases_of(session, piece.id)] == [4_000, 3_650]
        assert piece_row(session, piece.id).source_name == "estate sale"
    page = client.get(path).text
    assert "is-struck" in page
    assert "misread" in page
    assert "$36.50" in page
    assert 'value="1.50"' in page


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"reason": ""}, "Say what was wrong"),
        ({"paid": "12,50"}, "with a point"),
        ({"paid": "-5"}, "never below zero"),
        ({"source": "free"}, "cost nothing"),
    ],
)
def test_amounts_that_cannot_be_are_answered_in_plain_words(
    client: ExaminingClient, ledger: Ledger, said: dict[str, str], words: str
) -> None:
    with ledger.writing() as session:
        kerb = a_source(session, "kerb", is_free=True)
        piece = a_piece(session)
    fields = {"source": "", "paid": "35", "premium": "", "tax": "", "reason": "misread", **said}
    fields["source"] = str(kerb.id) if fields["source"] == "free" else ""
    answer = client.post_form(f"/pieces/{piece.tag}/paid", fields)
    assert answer.status_code == 422
    assert words in answer.text
    assert how_many(ledger, Purchase) == 1


def test_opening_stock_is_put_right_as_one_amount(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = an_owned_piece(session)
    assert client.post_form(f"/pieces/{piece.tag}/paid", {"paid": "9", "reason": "guessed"}).status_code == 303
    with ledger.reading() as session:
        last = purchases_of(session, piece.id)[-1]
    assert (last.kind, last.total_cents, last.on_date) == (PurchaseKind.OPENING, 900, date(2024, 1, 1))


def test_a_piece_of_a_haul_and_a_part_of_a_set_point_to_where_their_cost_is(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        haul = a_haul(session)
        piece = session.scalars(select(Piece).where(Piece.haul_id == haul.id)).first()
        whole = a_piece(session, count=2)
        parts = [SplitPart("", 1, 1), SplitPart("", 1, 1)]
        day = date(2026, 11, 1)
        _, part = split_off(session, whole.id, parts, cents=9, minutes=0, on_date=day, version=None, now=NOW)
    assert piece is not None
    assert f"/hauls/{haul.id}" in client.get(f"/pieces/{piece.tag}/paid").text
    assert f"/hauls/{haul.id}" in client.get(f"/pieces/{piece.tag}/dates").text
    assert f"when {whole.tag} was split" in client.get(f"/pieces/{part.tag}/paid").text


@pytest.mark.parametrize("page", ["correct", "paid", "dates", "step", "bring-back", "next", "finish"])
def test_a_tag_that_is_not_there_is_not_found(client: ExaminingClient, page: str) -> None:
    client.get(f"/pieces/0O1/{page}", status=404)


def test_looking_at_a_page_changes_nothing(client: ExaminingClient, ledger: Ledger) -> None:
    piece = made(ledger)
    for page in ("correct", "paid", "dates", "step", "bring-back", "next", "finish"):
        client.get(f"/pieces/{piece.tag.lower()}/{page}")
    assert now_says(ledger, piece) == piece
    with ledger.reading() as session:
        assert corrections_of(session, piece.id) == []
