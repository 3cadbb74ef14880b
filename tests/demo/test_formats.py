"""Files are read by the types of their columns, and every error names its file, line and column."""

import shutil
from pathlib import Path

import pytest

from app.database.resources import shipped_folder
from app.demo.formats import columns_of, read_file, read_story
from app.demo.rules import (
    CannotLoad,
    ChannelRecord,
    CostRecord,
    FinishStepRecord,
    LabelRecord,
    ListingRecord,
    PieceRecord,
    ShopRecord,
    SourceRecord,
)

COST = "piece,day,kind,amount,bought_at,note,struck_day,struck_reason\n"
LISTING = "piece,day,asking,channels\n"


def test_cells_become_what_their_column_is(tmp_path: Path) -> None:
    written(tmp_path, "costs", COST + "oak-chest,30,materials,12.50,paint counter,,,\n,-4,rent,85,,,3,Twice\n")
    first, second = read_file(tmp_path, "costs", CostRecord)
    assert (first.line, first.piece, first.day, first.kind, first.amount) == (2, "oak-chest", 30, "materials", 1250)
    assert (first.struck_day, first.note) == (None, "")
    assert (second.line, second.piece, second.day, second.amount, second.struck_day) == (3, "", -4, 8500, 3)


def test_channels_are_parted_by_semicolons(tmp_path: Path) -> None:
    written(tmp_path, "listings", LISTING + "a,3,80.00,Market; Garage door\nb,2,70.00,\n")
    first, second = read_file(tmp_path, "listings", ListingRecord)
    assert first.channels == ("Market", "Garage door")
    assert second.channels == ()


def test_yes_no_and_percent_are_read(tmp_path: Path) -> None:
    written(tmp_path, "sources", "source,is_free\nkerb,yes\nauction,no\n")
    assert [source.is_free for source in read_file(tmp_path, "sources", SourceRecord)] == [True, False]
    written(tmp_path, "channels", "channel,percent,fixed_fee\nMarket,9.5,0.50\n")
    assert [(one.percent, one.fixed_fee) for one in read_file(tmp_path, "channels", ChannelRecord)] == [(950, 50)]


def test_waits_clocks_and_hundredths_are_read(tmp_path: Path) -> None:
    columns = ",".join(columns_of(LabelRecord))
    written(tmp_path, "labels", f"{columns}\noil,30,oil_finish,20 h,,2 days,,15 min,14.5\n")
    (label,) = read_file(tmp_path, "labels", LabelRecord)
    assert (label.product, label.recoat, label.handle, label.dwell, label.spread) == (
        "oil_finish",
        1200,
        2880,
        15,
        1450,
    )
    assert label.recoat_by is label.cure is None
    columns = ",".join(columns_of(FinishStepRecord))
    written(tmp_path, "finish_steps", f"{columns}\na,2,5,,done,9:30,40,,,,1:6,62.5,18,47,,thin\n")
    (step,) = read_file(tmp_path, "finish_steps", FinishStepRecord)
    assert (step.at, step.used, step.degrees, step.ratio, step.aim) == (9 * 60 + 30, 62_500, 18, "1:6", None)


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ("oil,30,oil_finish,20,,,,,", "recoat"),
        ("oil,30,oil_finish,,,,,,14.555", "spread"),
        ("oil,30,treacle,,,,,,", "product"),
    ],
)
def test_a_label_that_cannot_be_read_says_where(tmp_path: Path, cells: str, column: str) -> None:
    written(tmp_path, "labels", ",".join(columns_of(LabelRecord)) + f"\n{cells}\n")
    with pytest.raises(CannotLoad, match=rf"^labels\.csv, line 2, column {column}: "):
        read_file(tmp_path, "labels", LabelRecord)


def test_a_quoted_cell_may_hold_a_comma_and_a_line_end(tmp_path: Path) -> None:
    written(tmp_path, "costs", COST + 'a,3,repair,4.00,,"new glass,\nold putty",,\nb,2,repair,5.00,,,,\n')
    first, second = read_file(tmp_path, "costs", CostRecord)
    assert first.note == "new glass,\nold putty"
    assert second.piece == "b"


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("a,3,materials,12.505,,,,", "costs.csv, line 2, column amount: Type at most 2 digits"),
        ("a,3,materials,-4,,,,", "costs.csv, line 2, column amount: Amounts here are never below zero"),
        ("a,x,materials,4,,,,", "costs.csv, line 2, column day: 'x' is no whole number"),
        ("a,,materials,4,,,,", "costs.csv, line 2, column day: '' is no whole number"),
        ("a,99999999,materials,4,,,,", "costs.csv, line 2, column day: 99999999 days lie too far off"),
        ("a,3,gold,4,,,,", "costs.csv, line 2, column kind: 'gold' is none of materials, hardware"),
        ("a,3,materials,4", "costs.csv, line 2: 4 cells where 8 columns are"),
        ('a,3,materials,4,,"open', "costs.csv, line 2: unexpected end of data"),
    ],
)
def test_an_unreadable_row_says_where_and_why(tmp_path: Path, row: str, message: str) -> None:
    written(tmp_path, "costs", COST + row)
    with pytest.raises(CannotLoad) as refusal:
        read_file(tmp_path, "costs", CostRecord)
    assert refusal.value.message.startswith(message)


def test_yes_and_no_are_the_only_answers(tmp_path: Path) -> None:
    written(tmp_path, "sources", "source,is_free\nkerb,perhaps\n")
    with pytest.raises(CannotLoad, match=r"^sources\.csv, line 2, column is_free: 'perhaps' is neither yes nor no"):
        read_file(tmp_path, "sources", SourceRecord)


@pytest.mark.parametrize("header", ["", "piece,day,asking\n", "day,piece,asking,channels\n"])
def test_other_columns_are_refused(tmp_path: Path, header: str) -> None:
    written(tmp_path, "listings", header)
    with pytest.raises(CannotLoad, match=r"^listings\.csv, line 1: the columns must be piece,day,asking,channels$"):
        read_file(tmp_path, "listings", ListingRecord)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(CannotLoad, match=r"^shop\.csv cannot be read"):
        read_file(tmp_path, "shop", ShopRecord)


def test_a_file_that_is_not_utf8_is_named(tmp_path: Path) -> None:
    (tmp_path / "sources.csv").write_bytes(b"source,is_free\nd\xe9p\xf4t,no\n")
    with pytest.raises(CannotLoad, match=r"^sources\.csv cannot be read"):
        read_file(tmp_path, "sources", SourceRecord)


def test_a_whole_story_is_checked_when_it_is_read(tmp_path: Path) -> None:
    folder = shutil.copytree(shipped_folder("demo_data"), tmp_path / "copy")
    lines = (folder / "pieces.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    written(folder, "pieces", "".join([*lines, lines[-1]]))
    with pytest.raises(CannotLoad, match=rf"^pieces\.csv, line {len(lines) + 1}: "):
        read_story(folder)


def test_columns_are_the_fields_but_for_the_line() -> None:
    assert columns_of(ListingRecord) == ("piece", "day", "asking", "channels")
    assert "line" not in columns_of(PieceRecord)


def written(folder: Path, name: str, text: str) -> None:
    (folder / f"{name}.csv").write_text(text, encoding="utf-8", newline="")
