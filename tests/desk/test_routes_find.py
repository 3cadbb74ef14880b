"""Log a find and a haul, as a browser does."""

import re
from datetime import date
from io import BytesIO
from typing import Any

import pytest
from flask import Flask

from app.database.unit_of_work import Ledger, LedgerFull
from app.photos.actions import lay_on_pile, put_on_piece
from app.photos.queries import count_pile, photos_of
from app.photos.rules import Shows
from app.photos.store import keep
from app.pieces.queries import PieceRow, piece_rows, purchases_of, sources
from app.pieces.rules import PurchaseKind, Stage
from tests.builders.photos import NOW, photo_bytes
from tests.builders.pieces import a_piece, a_source
from tests.examining_client import ExaminingClient, Page


def pieces(ledger: Ledger) -> list[PieceRow]:
    with ledger.reading() as session:
        return piece_rows(session)


def source_ids(ledger: Ledger) -> dict[str, str]:
    """An auction and the kerb, which costs nothing, by name."""
    with ledger.writing() as session:
        a_source(session, "auction")
        a_source(session, "kerb", is_free=True)
    with ledger.reading() as session:
        return {row.name: str(row.id) for row in sources(session)}


def form_of(client: ExaminingClient, path: str) -> dict[str, str]:
    """The hidden fields of the page's own form."""
    [form] = (form for form in Page(client.get(path).text).forms if form["action"] == path)
    return dict(form["fields"])


def find(client: ExaminingClient, **fields: Any) -> Any:
    """Tap a chest found today and save it."""
    usual = {"form": "chest", "bought_on": "2026-11-25"}
    return client.post_form("/find", usual | fields)


def test_a_find_is_saved_with_two_answers_and_shows_its_tag(client: ExaminingClient, ledger: Ledger) -> None:
    answer = find(client, paid="45.50")
    [piece] = pieces(ledger)
    assert answer.status_code == 303
    assert answer.location == f"/pieces/{piece.tag}?new=1"
    page = client.get(answer.location).text
    assert f"Write <strong>{piece.tag}</strong> on tape" in page
    assert (piece.stage, piece.sourced_on) == (Stage.SOURCED, date(2026, 11, 25))
    with ledger.reading() as session:
        assert [row.total_cents for row in purchases_of(session, piece.id)] == [4550]


def test_all_seventeen_forms_can_be_tapped_on_the_page(client: ExaminingClient) -> None:
    assert len(re.findall(r'name="form"', client.get("/find").text)) == 17


def test_a_kerb_find_costs_nothing_without_a_price(client: ExaminingClient, ledger: Ledger) -> None:
    find(client, paid="", source=source_ids(ledger)["kerb"])
    [piece] = pieces(ledger)
    with ledger.reading() as session:
        [purchase] = purchases_of(session, piece.id)
    assert (purchase.kind, purchase.total_cents) == (PurchaseKind.FREE, 0)


def test_a_missing_price_is_asked_for_and_keeps_what_was_typed(client: ExaminingClient, ledger: Ledger) -> None:
    answer = find(client, paid="", source=source_ids(ledger)["auction"], title="Grandmother's chest")
    assert answer.status_code == 422
    assert "Type what you paid; 0 if it cost nothing." in answer.text
    assert "Grandmother&#39;s chest" in answer.text
    assert pieces(ledger) == []


def test_a_price_for_a_free_place_is_asked_about_at_its_box(client: ExaminingClient, ledger: Ledger) -> None:
    answer = find(client, paid="5", source=source_ids(ledger)["kerb"])
    assert answer.status_code == 422
    assert '<a href="#paid">Pieces from this place cost nothing.' in answer.text


def test_the_same_find_sent_twice_makes_one_piece(client: ExaminingClient, ledger: Ledger) -> None:
    hidden = re.search(r'name="submit_token"[^>]*value="([^"]+)"', client.get("/find").text)
    assert hidden
    fields = {"form": "chest", "paid": "9", "submit_token": hidden[1]}
    answers = [find(client, **fields) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert answers[0].location == answers[1].location
    assert len(pieces(ledger)) == 1


@pytest.mark.parametrize("token", [None, "", "x" * 99])
def test_a_find_that_lost_its_number_is_refused_in_words(
    client: ExaminingClient, ledger: Ledger, token: str | None
) -> None:
    fields = dict(form_of(client, "/find"), form="chest", paid="4", bought_on="2026-11-25")
    if token is None:
        del fields["submit_token"]
    else:
        fields["submit_token"] = token
    answer = client.post("/find", fields)
    assert (answer.status_code, pieces(ledger)) == (422, [])
    assert "This form has lost its number" in answer.text


def test_photos_come_with_the_find(client: ExaminingClient, ledger: Ledger) -> None:
    find(client, paid="1", photos=[(BytesIO(photo_bytes()), "front.jpg"), (BytesIO(photo_bytes(30, 30)), "back.jpg")])
    [piece] = pieces(ledger)
    with ledger.reading() as session:
        assert len(photos_of(session, piece.id)) == 2


def test_a_photo_that_cannot_be_read_is_named_and_the_find_waits(client: ExaminingClient, ledger: Ledger) -> None:
    photos = [(BytesIO(photo_bytes()), "front.jpg"), (BytesIO(b"no picture"), "notes.txt")]
    answer = find(client, paid="12", title="Red chest", photos=photos)
    assert answer.status_code == 422
    assert "notes.txt: " in answer.text
    assert 'value="Red chest"' in answer.text
    assert pieces(ledger) == []


def test_photos_of_a_find_that_comes_back_need_not_be_chosen_again(client: ExaminingClient, ledger: Ledger) -> None:
    photos = [(BytesIO(photo_bytes()), "front.jpg"), (BytesIO(b"no picture"), "notes.txt")]
    answer = find(client, paid="twelve", photos=photos)
    assert answer.status_code == 422
    assert "1 photo goes with this find." in answer.text
    fields = form_of_page(answer.text)
    more = {"form": "chest", "bought_on": "2026-11-25", "photos": (BytesIO(photo_bytes(30, 30)), "back.jpg")}
    again = client.post("/find", {**fields, **more, "paid": "still not"})
    assert "2 photos go with this find." in again.text
    fields = form_of_page(again.text)
    saved = client.post("/find", {**fields, **more, "photos": (BytesIO(b""), ""), "paid": "12"})
    assert saved.status_code == 303
    [piece] = pieces(ledger)
    with ledger.reading() as session:
        assert (len(photos_of(session, piece.id)), count_pile(session)) == (2, 0)


def test_photos_of_the_pile_go_with_a_find_and_tell_its_day(
    client: ExaminingClient, ledger: Ledger, app: Flask
) -> None:
    numbers = laid_down(app, ledger, "2026:11:22 10:00:00", "2026:11:22 10:01:00")
    address = f"/find?photos={numbers[1]},{numbers[0]},99"
    page = client.get(address).text
    assert "2 photos go with this find. Found on 22 Nov 2026" in page
    assert "1 photo is not on the pile any more and left out." in page
    answer = client.post_form("/find", {"form": "chest", "paid": "5", "bought_on": "2026-11-22"}, from_page=address)
    assert answer.status_code == 303
    [piece] = pieces(ledger)
    with ledger.reading() as session:
        assert [photo.id for photo in photos_of(session, piece.id)] == numbers


def test_photos_put_elsewhere_meanwhile_are_left_out_of_a_find(
    client: ExaminingClient, ledger: Ledger, app: Flask
) -> None:
    numbers = laid_down(app, ledger, "2026:11:22 10:00:00", "2026:11:22 10:01:00")
    address = f"/find?photos={numbers[0]},{numbers[1]}"
    fields = form_of_page(client.get(address).text)
    with ledger.writing() as session:
        put_on_piece(session, numbers[:1], piece_id=a_piece(session).id, shows=Shows.FOUND, now=NOW)
    said = {"form": "chest", "bought_on": "2026-11-25"}
    assert "1 photo is not on the pile any more" in client.post("/find", {**fields, **said, "paid": "x"}).text
    client.post("/find", {**fields, **said, "paid": "5"})
    with ledger.reading() as session:
        assert [photo.id for photo in photos_of(session, 2)] == numbers[1:]


def test_a_full_disk_keeps_what_was_typed_beside_the_photos(
    client: ExaminingClient, ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_said: object) -> None:
        raise LedgerFull("The disk is full, so the photo was not saved. Make room and send it again.")

    monkeypatch.setattr("app.photos.store._write", full)
    answer = find(client, paid="12", title="Red chest", photos=(BytesIO(photo_bytes()), "front.jpg"))
    assert (answer.status_code, 'value="Red chest"' in answer.text, pieces(ledger)) == (422, True, [])
    assert "front.jpg: The disk is full" in answer.text


def form_of_page(page: str) -> dict[str, str]:
    """The hidden fields of the find's form on a page."""
    return dict(next(one for one in Page(page).forms if one["action"] == "/find")["fields"])


def laid_down(app: Flask, ledger: Ledger, *taken: str) -> list[int]:
    """Photos on the pile, taken at these times."""
    photo_dir = app.extensions["tackcloth_settings"].photo_dir
    bodies = [photo_bytes(8, 8, colour=(number, 9, 9), taken=time) for number, time in enumerate(taken)]
    stored = [keep(photo_dir, BytesIO(body), "x.jpg") for body in bodies]
    with ledger.writing() as session:
        return [photo.id for photo in lay_on_pile(session, stored, now=NOW)]


def test_everything_under_the_fold_is_kept(client: ExaminingClient, ledger: Ledger) -> None:
    find(
        client,
        paid="10",
        premium="2",
        tax="1",
        title="Six chairs",
        count="6",
        width_mm="18 1/2",
        condition="C",
        materials="beech",
        age="before_1978",
        year="1950",
        notes="One seat torn",
        bought_on="2026-11-20",
    )
    [piece] = pieces(ledger)
    facts = piece.facts
    assert (facts.title, facts.count, facts.width_mm, facts.materials) == ("Six chairs", 6, 470, "beech")
    assert (facts.year, facts.notes, piece.sourced_on) == (1950, "One seat torn", date(2026, 11, 20))
    with ledger.reading() as session:
        [purchase] = purchases_of(session, piece.id)
    assert (purchase.price_cents, purchase.premium_cents, purchase.tax_cents) == (1000, 200, 100)


def test_a_wrong_fact_opens_the_fold(client: ExaminingClient) -> None:
    answer = find(client, paid="1", year="2190")
    assert answer.status_code == 422
    assert '<details class="more-facts" open>' in answer.text


def test_a_day_to_come_is_refused_at_its_box(client: ExaminingClient, ledger: Ledger) -> None:
    answer = find(client, paid="1", bought_on="2026-11-26")
    assert answer.status_code == 422
    assert '<a href="#bought_on">26 November 2026 has not come yet.' in answer.text
    assert pieces(ledger) == []


def test_a_day_before_the_books_is_sent_to_what_was_owned_already(client: ExaminingClient, ledger: Ledger) -> None:
    answer = find(client, paid="1", bought_on="1999-01-01")
    assert answer.status_code == 422
    assert '<a href="#bought_on">Your books began on 1 January 2024.' in answer.text
    assert "What you own already" in answer.text
    assert pieces(ledger) == []


def test_the_find_page_asks_where_from_then_what_was_paid_then_photos_outside_the_fold(
    client: ExaminingClient, ledger: Ledger
) -> None:
    source_ids(ledger)
    page = client.get("/find").text
    order = [page.index(mark) for mark in ('name="form"', 'name="source"', 'name="paid"', 'name="photos"', "<details")]
    assert order == sorted(order)


def haul(client: ExaminingClient, **fields: Any) -> Any:
    """Fill in and send a haul of two pieces for 100."""
    page = client.get("/find/haul").text
    rows = dict.fromkeys(re.findall(r'name="(piece_\d+_\w+)"', page), "")
    usual = {"paid": "100", "split": "guess", "bought_on": "2026-11-25"}
    filled = {"piece_1_form": "chest", "piece_1_guess": "200", "piece_2_form": "mirror", "piece_2_guess": "100"}
    return client.post_form("/find/haul", rows | usual | filled | fields)


def test_a_haul_is_shared_to_the_cent(client: ExaminingClient, ledger: Ledger) -> None:
    answer = haul(client, premium="10")
    assert answer.status_code == 303
    with ledger.reading() as session:
        rows = [purchases_of(session, piece.id)[0] for piece in piece_rows(session)]
    assert [(row.price_cents, row.premium_cents) for row in rows] == [(6667, 667), (3333, 333)]
    assert "$110.00" in client.get(answer.location).text


def test_a_haul_may_hold_a_set_and_shows_its_tags_big(client: ExaminingClient, ledger: Ledger) -> None:
    answer = haul(client, piece_1_count="2")
    rows = pieces(ledger)
    assert [row.count for row in rows] == [2, 1]
    page = client.get(answer.location).text
    assert all(f'<span class="haul-tag">{row.tag}</span>' in page for row in rows)
    refused = haul(client, piece_1_count="0")
    assert refused.status_code == 422
    assert "Piece 1: " in refused.text


def test_shares_by_hand_must_make_the_price(client: ExaminingClient, ledger: Ledger) -> None:
    answer = haul(client, split="by_hand", piece_1_by_hand="60", piece_2_by_hand="30")
    assert answer.status_code == 422
    assert "10.00 is still missing" in answer.text
    assert pieces(ledger) == []


def test_a_haul_of_one_piece_is_sent_to_the_find_page(client: ExaminingClient) -> None:
    answer = haul(client, piece_2_form="", piece_2_guess="")
    assert answer.status_code == 422
    assert "Log a single one as a find" in answer.text


def test_more_rows_come_without_saving_and_keep_what_was_typed(client: ExaminingClient, ledger: Ledger) -> None:
    answer = haul(client, more_rows="1", piece_1_title="Red chest")
    assert answer.status_code == 200
    assert "piece_12_form" in answer.text
    assert 'value="Red chest"' in answer.text
    assert pieces(ledger) == []
