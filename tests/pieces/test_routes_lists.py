"""The room's lists: pieces, hauls, sources; each with its twin to take away."""

import csv
from datetime import date
from io import StringIO

import pytest

from app.database.unit_of_work import Ledger
from app.pieces.actions import correct_facts, correct_source, move_piece, split_off
from app.pieces.models import Piece
from app.pieces.queries import haul_sheet, sources
from app.pieces.rules import Age, Condition, SplitMethod, SplitPart, Stage, StepKind
from tests.builders.pieces import NOW, a_haul, a_piece, a_source, some_facts
from tests.examining_client import ExaminingClient


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text)))


def test_an_empty_shop_is_led_to_its_first_find(client: ExaminingClient) -> None:
    assert "No piece yet" in client.get("/pieces").text
    assert "No haul yet" in client.get("/hauls").text
    assert "No source yet" in client.get("/settings/sources").text


def test_pieces_are_searched_and_narrowed_by_the_address(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        source = a_source(session)
        a_piece(session, title="Pine trunk", source_id=source.id)
        a_piece(session, title="Oak desk", stage=Stage.FINISHED)
    for query, found in (
        ("q=PINE", "Pine trunk"),
        ("stage=finished", "Oak desk"),
        (f"source={source.id}", "Pine trunk"),
        ("left=on_hand&stage=sourced", "Pine trunk"),
    ):
        page = client.get(f"/pieces?{query}").text
        other = {"Pine trunk": "Oak desk", "Oak desk": "Pine trunk"}[found]
        assert found in page
        assert other not in page
    assert "No piece fits that" in client.get("/pieces?q=walnut").text


@pytest.mark.parametrize(
    "query",
    [
        "stage=lost&form=x&source=y&left=z&sort=w",
        "page=0",
        "page=-3",
        "page=x",
        "page=999999999999",
        "source=99999999999999999999",
        "q=%25_%5C",
        "q=" + "a" * 500,
    ],
)
def test_an_address_that_asks_for_nonsense_gets_the_list_all_the_same(
    client: ExaminingClient, ledger: Ledger, query: str
) -> None:
    with ledger.writing() as session:
        a_piece(session)
    client.get(f"/pieces?{query}")


def test_the_list_asks_no_more_queries_for_more_pieces(client: ExaminingClient, ledger: Ledger) -> None:
    asked = []
    for many in (1, 23):
        with ledger.writing() as session:
            for number in range(many):
                a_piece(session, title=f"Piece {number}", source_id=a_source(session, f"place {many}{number}").id)
        client.get("/pieces")
        asked.append(client.queries)
    assert asked[0] == asked[1]
    assert asked[1] <= 9


def test_a_long_list_is_turned_page_by_page_and_keeps_what_was_asked(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        for number in range(25):
            a_piece(session, title=f"Stool {number:02}")
    first = client.get("/pieces?q=stool&sort=name").text
    assert "1 to 24 of 25" in first
    assert "Stool 24" not in first
    assert "q=stool&amp;sort=name&amp;page=2" in first
    last = client.get("/pieces?q=stool&sort=name&page=2").text
    assert "25 to 25 of 25" in last
    assert "Stool 24" in last
    assert client.get("/pieces?q=stool&sort=name&page=99").text.count("25 to 25 of 25") == 1


def test_the_list_to_take_away_holds_what_the_list_shows(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        source = a_source(session)
        piece = a_piece(
            session,
            title="=1+1",
            source_id=source.id,
            price_cents=4_000,
            premium_cents=600,
            width_mm=800,
            condition=Condition.B,
            age=Age.BEFORE_1978,
        )
        a_piece(session, title="Other", price_cents=1)
    (row,) = rows_of(client.get("/pieces.csv?q=1%2B1").text)
    assert (row["Tag"], row["Name"], row["What it is"]) == (piece.tag, "'=1+1", "Chest of drawers")
    assert (row["Price"], row["Buyer's premium"], row["Width (in)"], row["Depth (in)"]) == ("40.00", "6.00", "31.5", "")
    assert (row["Where from"], row["Found on"], row["Came"]) == ("estate sale", "2026-10-01", "bought")
    assert len(rows_of(client.get("/pieces.csv").text)) == 2


def test_a_haul_shows_each_share_and_adds_them_up(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        haul = a_haul(session, price_cents=10_000, premium_cents=1_500, tax_cents=333)
    page = client.get(f"/hauls/{haul.id}").text
    for words in ("$57.14", "$28.57", "$14.29", "$118.33", "3 pieces"):
        assert words in page
    rows = rows_of(client.get(f"/hauls/{haul.id}.csv").text)
    assert [row["Price"] for row in rows] == ["57.14", "28.57", "14.29"]
    assert "$118.33" in client.get("/hauls").text
    (row,) = rows_of(client.get("/hauls.csv").text)
    assert (row["Pieces"], row["All of it"]) == ("3", "118.33")
    client.get("/hauls/99", status=404)


def haul_fields(ledger: Ledger, haul_id: int, **said: str) -> dict[str, str]:
    with ledger.reading() as session:
        ids = [share.piece.id for share in haul_sheet(session, haul_id).shares]
    fields = {"source": "", "bought_on": "2026-10-01", "paid": "90", "premium": "", "tax": "", "note": ""}
    boxes = {f"{box}_{piece_id}": "" for piece_id in ids for box in ("guess", "by_hand")}
    return {**fields, **boxes, "split": "equal", "reason": "forgot the tax", **said}


def test_a_haul_is_put_right_as_a_whole(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        haul = a_haul(session)
    answer = client.post_form(f"/hauls/{haul.id}/correct", haul_fields(ledger, haul.id, tax="0.10"))
    assert answer.status_code == 303
    with ledger.reading() as session:
        sheet = haul_sheet(session, haul.id)
    assert [share.purchase.total_cents for share in sheet.shares] == [3_004, 3_003, 3_003]
    page = client.get(f"/hauls/{haul.id}").text
    assert "Split 2 counts" in page
    assert "Split 1: $100.00, by my guess" in page
    assert "forgot the tax" in page


def test_shares_by_hand_that_do_not_add_up_are_refused_with_the_difference(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        haul = a_haul(session, split=SplitMethod.BY_HAND, price_cents=600, amounts=(100, 200, 300))
    path = f"/hauls/{haul.id}/correct"
    assert 'value="3.00"' in client.get(path).text
    fields = haul_fields(ledger, haul.id, split="by_hand", paid="6")
    hand = [name for name in fields if name.startswith("by_hand")]
    answer = client.post_form(path, {**fields, **dict(zip(hand, ("1", "2", "2.50"), strict=True))})
    assert answer.status_code == 422
    assert "0.50 is still missing" in answer.text
    assert 'value="2.50"' in answer.text


def test_a_haul_of_which_a_piece_is_sold_names_it_and_offers_no_form(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        haul = a_haul(session)
        piece = session.get_one(Piece, haul_sheet(session, haul.id).shares[0].piece.id)
        move_piece(session, piece, Stage.SOLD, StepKind.SALE, on_date=date(2026, 11, 1), reason="", now=NOW)
    assert "Put the haul right" not in client.get(f"/hauls/{haul.id}").text
    page = client.get(f"/hauls/{haul.id}/correct").text
    assert f"Part 1 ({piece.tag}) is sold" in page
    assert "strike its sale out first" in page


def test_a_haul_of_which_a_piece_was_split_offers_no_form(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        haul = a_haul(session)
        piece = session.get_one(Piece, haul_sheet(session, haul.id).shares[0].piece.id)
        correct_facts(session, piece.id, some_facts(count=2), version=None, now=NOW)
        parts = [SplitPart("A", 1, 1), SplitPart("B", 1, 1)]
        split_off(session, piece.id, parts, cents=0, minutes=0, on_date=date(2026, 11, 1), version=None, now=NOW)
    for path in (f"/hauls/{haul.id}", f"/hauls/{haul.id}/correct"):
        page = client.get(path).text
        assert f"({piece.tag}) was split" in page
        assert "Put the haul right" not in page.replace("Put the haul of", "")


def test_sources_are_added_renamed_and_put_away(client: ExaminingClient, ledger: Ledger) -> None:
    added = client.post_form("/settings/sources", {"name": "barn sale", "is_free": "y"})
    assert added.status_code == 303
    twice = client.post_form("/settings/sources", {"name": "Barn Sale"})
    assert twice.status_code == 422
    assert "There is a place called barn sale already" in twice.text
    with ledger.reading() as session:
        (row,) = sources(session)
    assert row.is_free
    path = f"/settings/sources/{row.id}"
    assert client.post_form(path, {"name": "barn clearance", "is_put_away": "y"}).status_code == 303
    with ledger.reading() as session:
        assert sources(session) == []
        (row,) = sources(session, include_put_away=True)
    assert (row.name, row.is_free, row.is_put_away) == ("barn clearance", False, True)
    assert rows_of(client.get("/settings/sources.csv").text) == [
        {"Name": "barn clearance", "Free": "no", "Put away": "yes", "Pieces": "0"}
    ]
    client.get("/settings/sources/99", status=404)


def test_a_source_put_away_stays_a_choice_only_where_it_is_chosen(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        source = a_source(session, "barn sale")
        old = a_piece(session, source_id=source.id)
        other = a_piece(session)
        correct_source(session, source.id, name="barn sale", is_free=False, is_put_away=True, version=None)
    assert "barn sale" in client.get(f"/pieces/{old.tag}/paid").text
    assert "barn sale" not in client.get(f"/pieces/{other.tag}/paid").text


def test_searching_a_tag_opens_its_piece(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
    answer = client.get(f"/pieces?q=+{piece.tag[:2].lower()}-{piece.tag[2:]}", status=302)
    assert answer.location == f"/pieces/{piece.tag}"
