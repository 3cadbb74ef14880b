"""Rules of captures: numbers and references, strict reading, and what is told when it is refused."""

import json
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.costs.rules import CostKind
from app.pieces.rules import Form
from app.pocket.formats import NoJson, read_json
from app.pocket.rules import (
    MEMBERS,
    SYMBOLS,
    CannotBeEntered,
    CaptureKind,
    FoundPiece,
    NoCaptureId,
    SpentMoney,
    WorkedTime,
    do_clocks_differ,
    find_meant,
    fingerprint,
    is_reference_of,
    notes_of,
    read_capture,
    reference_of,
)
from app.timelog.rules import Activity
from tests.builders.captures import AN_ID, a_cost_sent, a_find, a_time_sent, named

json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)


def troubles(data: object, *, places: int = 2) -> dict[str, str]:
    with pytest.raises(CannotBeEntered) as refusal:
        read_capture(data, AN_ID, places=places)
    return {trouble.field: trouble.detail for trouble in refusal.value.troubles}


# --- references


def test_a_reference_is_drawn_from_the_first_twenty_bits_of_the_number() -> None:
    # 0f8c1 is 00000 11111 00011 00000 1...: the first twenty bits are symbols 0x01, 0x1e, 0x06, 0x01.
    assert [int("0f8c1", 16) >> shift & 31 for shift in (15, 10, 5, 0)] == [1, 30, 6, 1]
    assert reference_of(AN_ID, CaptureKind.FIND) == "F-" + "".join(SYMBOLS[n] for n in (1, 30, 6, 1)) == "F-3Y83"
    assert reference_of(AN_ID, CaptureKind.COST) == "C-3Y83"
    assert reference_of(AN_ID, CaptureKind.TIME) == "T-3Y83"


def test_a_clash_makes_the_reference_longer_by_five_bits() -> None:
    longer = reference_of(AN_ID, CaptureKind.FIND, {"F-3Y83"}.__contains__)
    assert longer == "F-3Y83" + SYMBOLS[int("a52", 16) >> 7]
    assert is_reference_of("F-3Y83", AN_ID, CaptureKind.FIND)
    assert is_reference_of(longer, AN_ID, CaptureKind.FIND)
    for other in ("F-3Y8", "F-3Y84", "C-3Y83", "", "F-", "3Y83", longer + "000000"):
        assert not is_reference_of(other, AN_ID, CaptureKind.FIND), other


@given(st.uuids(version=4))
def test_no_reference_holds_a_symbol_that_looks_like_another(number: Any) -> None:
    reference = reference_of(str(number), CaptureKind.FIND, lambda _one: True)
    assert not set(reference[2:]) & set("01OI")
    assert find_meant(reference) == reference


def test_ten_thousand_references_of_one_phone_are_all_different() -> None:
    taken: set[str] = set()
    for number in range(10_000):
        capture_id = f"{number * 429_497 % 2**32:08x}-{number:04x}-4{number % 4096:03x}-8000-000000000000"
        reference = reference_of(capture_id, CaptureKind.FIND, taken.__contains__)
        assert reference not in taken
        taken.add(reference)


@pytest.mark.parametrize(
    ("words", "meant"),
    [("F-7K3Q", "F-7K3Q"), (" f-7k3q ", "F-7K3Q"), ("f 7k3q", "F-7K3Q"), ("F7K3QA", "F-7K3QA")]
    + [(words, None) for words in ("7K3", "F7K", "C-7K3Q", "F-7K30", "F-7K3O", "", "F-")],
)
def test_a_reference_is_known_however_it_is_typed(words: str, meant: str | None) -> None:
    assert find_meant(words) == meant


@pytest.mark.parametrize(
    "capture_id",
    [
        "",
        "1",
        AN_ID.upper(),
        AN_ID.replace("-", ""),
        AN_ID[:14] + "1" + AN_ID[15:],
        AN_ID[:19] + "c" + AN_ID[20:],
        "../../etc/passwd",
        AN_ID + "\n",
    ],
)
def test_a_number_no_phone_makes_is_refused(capture_id: str) -> None:
    with pytest.raises(NoCaptureId):
        read_capture(a_find(), capture_id, places=2)


# --- what is read


def test_a_find_is_read() -> None:
    new = read_capture(a_find(photos=[b"one", b"two"], where=" Estate  sale ", note="top loose"), AN_ID, places=2)
    assert new.content == FoundPiece("oak chest, three drawers", Form.CHEST, 4550, "Estate sale", "top loose")
    assert (new.on_date, new.captured_at) == (date(2026, 11, 25), datetime(2026, 11, 25, 15, 15, tzinfo=UTC))
    assert [photo.bytes for photo in new.photos] == [3, 3]


def test_a_cost_and_time_are_read() -> None:
    assert read_capture(a_cost_sent(tag="7k3"), AN_ID, places=2).content == SpentMoney("7k3", 1200, CostKind.TOOLS, "")
    assert read_capture(a_time_sent(minutes="1:20"), AN_ID, places=2).content == WorkedTime(
        "", 80, Activity.CLEANING, ""
    )


def test_what_is_left_out_counts_as_empty_and_order_counts_for_nothing() -> None:
    whole = dict.fromkeys(MEMBERS, "") | {"photos": []} | a_time_sent()
    backwards = dict(reversed(a_time_sent().items()))
    assert fingerprint(whole) == fingerprint(a_time_sent()) == fingerprint(backwards)
    assert fingerprint(a_time_sent(minutes="41")) != fingerprint(a_time_sent())
    assert read_capture(backwards, AN_ID, places=2).said == read_capture(whole, AN_ID, places=2).said


def test_a_reference_left_out_is_worked_out() -> None:
    assert read_capture(a_find(reference=""), AN_ID, places=2).reference == "F-3Y83"


def test_a_find_without_price_or_outline_is_one() -> None:
    content = read_capture(a_find(paid="", form=""), AN_ID, places=2).content
    assert isinstance(content, FoundPiece)
    assert (content.paid_cents, content.form) == (None, Form.OTHER)


def test_amounts_follow_the_places_of_the_shop() -> None:
    assert read_capture(a_find(paid="4500"), AN_ID, places=0).content.paid_cents == 4500  # type: ignore[union-attr]
    assert "paid" in troubles(a_find(paid="45.50"), places=0)


def test_a_photo_named_twice_is_one_photo() -> None:
    twice = read_capture(a_find(photos=[b"one", b"one"]), AN_ID, places=2)
    assert len(twice.photos) == 1


# --- what is refused


def test_everything_that_is_wrong_is_told_at_once() -> None:
    wrong = a_cost_sent(amount="", cost_kind="paint", on_date="25 Nov 2026", captured_at="today", colour="red")
    assert set(troubles(wrong)) == {"amount", "cost_kind", "on_date", "captured_at", "colour"}


@pytest.mark.parametrize(
    ("data", "field"),
    [
        (a_find(what=""), "what"),
        (a_find(what="x" * 121), "what"),
        (a_find(note="x" * 3801), "note"),
        (a_find(where="x" * 81), "where"),
        (a_find(paid="45,50"), "paid"),
        (a_find(paid="-1"), "paid"),
        (a_find(paid=45.5), "paid"),
        (a_find(paid=None), "paid"),
        (a_find(form="sofa"), "form"),
        (a_find(kind="sale"), "kind"),
        (a_find(kind=["find"]), "kind"),
        (a_find(reference="F-2222"), "reference"),
        (a_find(on_date=""), "on_date"),
        (a_find(on_date="2026-02-30"), "on_date"),
        (a_find(on_date="2026-11-25T00:00:00Z"), "on_date"),
        (a_find(captured_at="2026-11-25T08:15:00"), "captured_at"),
        (a_find(captured_at="2026-11-25"), "captured_at"),
        (a_find(captured_at="2026-11-25T25:15:00Z"), "captured_at"),
        (a_find(captured_at="0001-01-01T00:00:00+23:59"), "captured_at"),
        (a_find(minutes="40"), "minutes"),
        (a_cost_sent(what="pulls"), "what"),
        (a_time_sent(minutes=""), "minutes"),
        (a_time_sent(minutes="soon"), "minutes"),
        (a_time_sent(activity=""), "activity"),
        (a_time_sent(photos=named(b"one")), "photos"),
        (a_cost_sent(photos=[b"one", b"two"]), "photos"),
        (a_find(photos=[bytes([n]) for n in range(41)]), "photos"),
        (a_find() | {"photos": "none"}, "photos"),
        (a_find() | {"photos": [{**named(b"one")[0], "sha256": "A" * 64}]}, "photos"),
        (a_find() | {"photos": [{**named(b"one")[0], "bytes": 26_214_401}]}, "photos"),
        (a_find() | {"photos": [{**named(b"one")[0], "bytes": True}]}, "photos"),
        (a_find() | {"photos": [{**named(b"one")[0], "place": "here"}]}, "photos"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(data: dict[str, Any], field: str) -> None:
    assert field in troubles(data)


@pytest.mark.parametrize("data", [None, [], "find", 4, True])
def test_what_is_no_object_is_refused(data: object) -> None:
    assert set(troubles(data)) == {""}


@given(st.dictionaries(st.sampled_from(MEMBERS) | st.text(max_size=8), json_values))
def test_nothing_that_json_can_hold_breaks_the_reading(data: dict[str, Any]) -> None:
    try:
        read_capture(json.loads(json.dumps(data)), AN_ID, places=2)
    except CannotBeEntered as refusal:
        assert refusal.troubles  # noqa: PT017 - any other error fails the test by itself


@pytest.mark.parametrize(
    "body", [b"", b"{", b"NaN", b'{"a": Infinity}', b"\xff", b'{"a": 1, "a": 2}', b"[" * 100_000, b"{'a': 1}"]
)
def test_what_is_no_json_is_refused(body: bytes) -> None:
    with pytest.raises(NoJson):
        read_json(body)


# --- what becomes of it


def test_the_notes_of_a_find_keep_its_reference_and_a_place_without_a_source() -> None:
    found = FoundPiece("chest", Form.CHEST, None, "Barn on the hill", "top loose")
    assert notes_of(found, "F-3Y83", is_place_known=False).split("\n") == [
        "top loose",
        "Found at: Barn on the hill",
        "Written down on the phone as F-3Y83.",
    ]
    assert notes_of(found, "F-3Y83", is_place_known=True).count("\n") == 1


def test_clocks_more_than_a_day_apart_are_told() -> None:
    moment = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
    assert not do_clocks_differ(moment, moment + timedelta(days=1))
    assert do_clocks_differ(moment, moment + timedelta(days=1, seconds=1))
    assert do_clocks_differ(moment + timedelta(days=2), moment)
