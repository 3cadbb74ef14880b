"""Reports on paper, read back by another library: every word is there, pages are numbered, headers repeated."""

from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from app.basics.paper import (
    Block,
    Column,
    Heading,
    Ladder,
    NewPage,
    Note,
    PaperSize,
    Rung,
    RungKind,
    Table,
    document,
)
from app.basics.paper.columns import column_widths
from app.basics.paper.letters import Letters

LADDER = Ladder(
    [
        Rung("Sale prices", "1,240.00"),
        Rung("Refunds", "\u221212.00", note="two"),
        Rung("Profit", "1,228.00", RungKind.TOTAL),
    ]
)


def pages(*blocks: Block, size: PaperSize = PaperSize.A4) -> list[str]:
    """The words of each page."""
    body = document("November 2026", "1 to 30 November", blocks, shop_name="Bent Nail", size=size, foot="To hand over")
    return [page.extract_text() for page in PdfReader(BytesIO(body)).pages]


def a_table(count: int) -> Table:
    rows = [(f"Chest {number}", f"{number}.00") for number in range(count)]
    return Table([Column("Piece"), Column("Profit", is_number=True)], rows, foot=(f"All {count}", "999.99"))


def test_everything_that_was_handed_over_stands_on_the_page() -> None:
    (page,) = pages(Heading("The ladder"), LADDER, a_table(3), Note("Not tax advice."))

    for words in ("Bent Nail", "November 2026", "1 to 30 November", "The ladder", "Sale prices", "1,240.00", "two"):
        assert words in page
    for words in ("\u221212.00", "1,228.00", "Chest 2", "2.00", "All 3", "999.99", "Not tax advice.", "To hand over"):
        assert words in page
    assert "Page 1 of 1" in page


def test_a_long_table_breaks_over_pages_and_repeats_its_header() -> None:
    found = pages(a_table(150))

    assert len(found) > 2
    for number, page in enumerate(found, start=1):
        assert f"Page {number} of {len(found)}" in page
        assert page.count("Piece") == 1
    assert all(any(f"Chest {row}\n" in page for page in found) for row in range(150))
    assert sum("All 150" in page for page in found) == 1
    assert "Bent Nail \u00b7 November 2026" in found[-1]


def test_the_sums_never_stand_alone_on_the_last_page() -> None:
    for count in range(40, 60):
        last = pages(a_table(count))[-1]
        assert f"All {count}" in last
        assert f"Chest {count - 1}" in last


def test_a_new_page_begins_where_it_is_asked_for() -> None:
    first, second = pages(Note("one"), NewPage(), Note("two"))
    assert "one" in first
    assert "two" in second


@pytest.mark.parametrize(("size", "points"), [(PaperSize.A4, (595, 842)), (PaperSize.LETTER, (612, 792))])
def test_the_sheet_is_the_one_that_was_asked_for(size: PaperSize, points: tuple[int, int]) -> None:
    (page,) = PdfReader(BytesIO(document("T", "", [Note("x")], size=size))).pages
    assert (round(page.mediabox.width), round(page.mediabox.height)) == points


def test_the_same_words_make_the_same_bytes_and_no_moment_or_maker_is_told() -> None:
    body = document("T", "S", [LADDER, a_table(80)])
    assert body == document("T", "S", [LADDER, a_table(80)])
    told = PdfReader(BytesIO(body)).metadata
    assert told is not None
    assert (told.title, told.producer, told.author) == ("T", "Tackcloth", "")
    assert told.creation_date is not None
    assert told.creation_date.year == 2000


def test_accents_stand_and_what_the_font_does_not_hold_is_replaced_in_sight() -> None:
    (page,) = pages(Note("crème, Čapek, Łódź, ½ \u00d7 £5"), Note("mąka \u6905\u5b50 \U0001fa91"))

    assert "crème, Čapek, Łód\u017a".replace("\u017a", "z") in page
    assert "½ \u00d7 £5" in page
    assert "maka \u25ca\u25ca \u25ca" in page
    assert "Some letters are shown plainer here" in page


def test_nothing_is_said_of_letters_where_all_could_be_shown() -> None:
    (page,) = pages(Note("Café, naïve, \u2212\u20ac5.00"))
    assert "plainer" not in page


def test_text_is_never_taken_for_markup() -> None:
    (page,) = pages(Note("<b>bold</b> & <font size=90>"), Ladder([Rung("<i>x", "1", note="</font>")]))
    assert "<b>bold</b> & <font size=90>" in page
    assert "<i>x" in page
    assert "</font>" in page


def test_words_without_a_break_stay_inside_their_column_and_all_are_there() -> None:
    long = "W" * 400
    (page,) = pages(Table([Column("Piece"), Column("Cost", is_number=True)], [(long, "1,234.56"), ("x", "2.00")]))
    assert page.replace("\n", "").count("W") == 400
    assert "1,234.56" in page


def test_a_cell_longer_than_a_page_goes_on_on_the_next() -> None:
    found = pages(Table([Column("Reason"), Column("Cost", is_number=True)], [("reason " * 3000, "1.00")]))
    assert len(found) > 1
    assert sum(page.count("reason") for page in found) == 3000


def test_more_numbers_than_fit_are_set_smaller_and_none_is_lost() -> None:
    columns = [Column("What"), *(Column(f"Month {number}", is_number=True) for number in range(12))]
    amounts = [f"{number}1,234.56" for number in range(12)]
    (page,) = pages(Table(columns, [["Sale prices", *amounts]]))
    assert all(amount in page for amount in amounts)


def test_empty_blocks_make_a_page_all_the_same() -> None:
    (page,) = pages(Ladder([]), Table([Column("a")], []), Heading(""))
    assert "Page 1 of 1" in page


def test_a_row_of_another_length_than_the_header_is_refused() -> None:
    with pytest.raises(ValueError, match="A row has 1 cells where the table has 2 columns"):
        Table([Column("a"), Column("b")], [("1",)])
    with pytest.raises(ValueError, match="A row has 3 cells"):
        Table([Column("a"), Column("b")], [], foot=("1", "2", "3"))


@given(st.lists(st.tuples(st.floats(1, 900), st.booleans()), min_size=1, max_size=14), st.floats(200, 600))
def test_columns_always_fill_the_sheet_and_no_more(columns: list[tuple[float, bool]], room: float) -> None:
    widths = column_widths([wide for wide, _ in columns], [number for _, number in columns], room)
    assert sum(widths) == pytest.approx(room)
    assert min(widths) > 0


@given(st.text(max_size=40))
def test_every_text_can_be_written(text: str) -> None:
    letters = Letters()
    written = letters.write(text)
    assert "\n" not in written
    assert Letters().write(written) == written
