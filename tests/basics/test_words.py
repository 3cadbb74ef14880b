"""Cleaning words before they are kept and folding them before they are searched."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.words import NOTE_LIMIT, TITLE_LIMIT, clean_line, clean_text, fold

ANY_TEXT = st.text(st.characters(codec=None), max_size=60)
REORDERING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


def test_a_line_is_trimmed_and_its_blanks_become_one_space() -> None:
    assert clean_line("  Pine \t chest\r\nof  drawers\u00a0\u2028", TITLE_LIMIT) == "Pine chest of drawers"


def test_letters_and_their_accents_are_composed() -> None:
    assert clean_line("Co\u0301mmode", TITLE_LIMIT) == "C\u00f3mmode"


@pytest.mark.parametrize("text", ["👩🏽‍🔧 sander 🪑", "🏴󠁧󠁢󠁥󠁮󠁧󠁿 chest", "ארון עץ", "خزانة خشب", "می‌خواهم", "左の引き出し"])
def test_emoji_and_every_script_are_kept_whole(text: str) -> None:
    assert clean_line(text, TITLE_LIMIT) == unicodedata.normalize("NFC", text)
    assert clean_text(text, NOTE_LIMIT) == unicodedata.normalize("NFC", text)


@pytest.mark.parametrize("mark", [*REORDERING, "\x00", "\x1b", "\x7f", "\x9f", "\u200b", "\ufeff", "\ud800"])
def test_marks_that_reorder_hide_or_cannot_be_written_are_removed(mark: str) -> None:
    assert clean_line(f"oak{mark}en", TITLE_LIMIT) == "oaken"
    assert clean_text(f"oak{mark}en", NOTE_LIMIT) == "oaken"


@pytest.mark.parametrize("text", ["", "  ", "\u200b", "\u200d\u200d", "\n\n", "\u202e"])
def test_words_that_nobody_could_see_are_no_words(text: str) -> None:
    assert clean_line(text, TITLE_LIMIT) == ""
    assert clean_text(text, NOTE_LIMIT) == ""


def test_a_note_keeps_its_lines_however_they_were_ended() -> None:
    assert clean_text("one\r\ntwo\rthree\u2028four\n\n  five\tsix  \n", NOTE_LIMIT) == (
        "one\ntwo\nthree\nfour\n\n  five six"
    )


def test_a_text_at_the_limit_is_kept_and_one_more_is_refused_with_both_numbers() -> None:
    assert clean_line("x" * 120, 120) == "x" * 120

    with pytest.raises(RuleError, match=r"121 characters.* 120 at most"):
        clean_line("x" * 121, 120)
    with pytest.raises(RuleError, match=r"4,001 characters.* 4,000 at most"):
        clean_text("x" * 4001, 4000)


def test_what_cleaning_takes_away_does_not_count_towards_the_limit() -> None:
    assert clean_line(" " * 200 + "chest", 5) == "chest"


@given(ANY_TEXT)
def test_cleaning_twice_changes_nothing_more(text: str) -> None:
    line, note = clean_line(text, 1000), clean_text(text, 1000)

    assert clean_line(line, 1000) == line
    assert clean_text(note, 1000) == note


@given(ANY_TEXT)
def test_cleaned_words_can_be_written_and_hold_no_controls(text: str) -> None:
    line, note = clean_line(text, 1000), clean_text(text, 1000)

    assert line.encode("utf-8").decode("utf-8") == line
    assert note.encode("utf-8").decode("utf-8") == note
    for mark in line + note.replace("\n", ""):
        assert unicodedata.category(mark) not in {"Cc", "Cs", "Zl", "Zp"}
        assert mark not in REORDERING


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("commo", "Cómmode"),
        ("CÓM", "co\u0301mmode"),
        ("strasse", "Straße"),
        ("soborg", "Søborg"),
        ("lodz", "Łódź"),
        ("aegir", "ÆGIR"),
        ("izmir", "İzmir"),
        ("chest of", "Chest\u00a0 of drawers"),
        ("o'clock", "o’clock"),
        ('31"', "31” wide"),
    ],
)
def test_a_search_finds_words_without_case_accents_or_typographic_marks(typed: str, stored: str) -> None:
    assert fold(typed) in fold(stored)


def test_different_words_stay_different() -> None:
    assert fold("oak") != fold("ash")
    assert fold("ארון") != fold("שולחן")


@given(ANY_TEXT)
def test_folding_twice_changes_nothing_more(text: str) -> None:
    assert fold(fold(text)) == fold(text)


@given(st.text(max_size=40))
def test_composed_and_decomposed_words_fold_alike(text: str) -> None:
    assert fold(unicodedata.normalize("NFC", text)) == fold(unicodedata.normalize("NFD", text))
