"""A piece's standing, facts and history put into the words and shapes of a page."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from flask import url_for

from app.basics.quantities import format_dimensions, format_minutes
from app.desk.queries import HistoryLine, PieceSheet
from app.desk.queries.history import Happening
from app.web.filters import day, money, short_day
from app.web.frame import frame
from app.web.joint_rail import JointRail, StageMark


@dataclass(frozen=True)
class HistoryItem:
    """One line of the history as the page writes it."""

    date_text: str
    text: str
    note: str
    href: str | None
    struck_reason: str


def joint_rail_of(sheet: PieceSheet) -> JointRail:
    """The piece's stages as the joint rail draws them."""
    marks = tuple(
        StageMark(
            key=stop.stage.value,
            label=stop.stage.value.capitalize(),
            state=stop.state,
            date_text=short_day(stop.entered_on) or None,
            stepped_back=stop.was_stepped_back,
        )
        for stop in sheet.stops
    )
    is_gone = sheet.piece.is_struck or sheet.piece.left_as is not None
    return JointRail(marks, left_text=sheet.piece.stands_as if is_gone else None)


def facts_of(sheet: PieceSheet) -> list[tuple[str, str]]:
    """What is known of the piece, as label and words; what nobody said is left away."""
    piece = sheet.piece
    size = format_dimensions(piece.width_mm, piece.depth_mm, piece.height_mm, frame().units)
    pairs = [
        ("Form", piece.form_words if piece.title else ""),
        ("How many", f"a set of {piece.count}" if sheet.is_set else ""),
        ("Size", size),
        ("Condition", f"{piece.condition}: {piece.condition_words}" if piece.condition else ""),
        ("Made of", piece.materials),
        ("Made", f"{piece.age_words}, {piece.year}" if piece.year else piece.age_words),
        ("Finish", piece.finish_words),
        ("From", piece.source_name),
        ("Split off", piece.split_from_tag or ""),
        ("Notes", piece.notes),
    ]
    return [(label, words) for label, words in pairs if words]


def history_items(lines: Iterable[HistoryLine]) -> list[HistoryItem]:
    """The history in words."""
    return [
        HistoryItem(
            date_text=day(line.on),
            text=_WORDS[line.what](line),
            note="" if line.what is Happening.SAID else line.note,
            href=_href(line),
            struck_reason=line.struck_reason or "",
        )
        for line in lines
    ]


def _href(line: HistoryLine) -> str | None:
    if line.sale_id is not None:
        return url_for("sales.sale", sale_id=line.sale_id)
    if line.deposit_id is not None:
        return url_for("sales.deposit", deposit_id=line.deposit_id)
    if line.material_id is not None:
        return url_for("shelf.material", material_id=line.material_id)
    if line.finish_id is not None:
        return url_for("recipes.finish", finish_id=line.finish_id)
    return url_for("desk.sheet", tag=line.tag) if line.tag else None


def _paid(line: HistoryLine) -> str:
    if line.words == "free":
        return "Cost nothing"
    return f"{'Cost when the books began' if line.words else 'Paid'}: {money(line.cents)}"


def _asked(line: HistoryLine) -> str:
    way = "lowered" if (line.cents or 0) < (line.was_cents or 0) else "raised"
    return f"Price {way} from {money(line.was_cents)} to {money(line.cents)}"


def _split(line: HistoryLine) -> str:
    cents, minutes = line.cents or 0, line.minutes or 0
    way = "from" if cents > 0 or minutes > 0 else "to"
    moved = [money(abs(cents))] if cents else []
    moved += [format_minutes(abs(minutes))] if minutes else []
    return f"Set split: {' and '.join(moved) or 'nothing'} {way} {line.tag}"


_ENDED = {"applied": "applied to the sale", "refunded": "given back", "kept": "kept"}

_WORDS: dict[Happening, Callable[[HistoryLine], str]] = {
    Happening.FOUND: lambda line: "Found" if line.words == "sourced" else f"In the books as {line.words}",
    Happening.MOVED: lambda line: line.words.capitalize(),
    Happening.BACK: lambda line: f"Stepped back to {line.words}",
    Happening.LEFT: lambda line: f"Left: {line.words}",
    Happening.IN_AGAIN: lambda line: f"Came back, as {line.words}",
    Happening.PAID: _paid,
    Happening.LISTED: lambda line: f"Listed at {money(line.cents)}" + (f", {line.words}" if line.words else ""),
    Happening.ASKED: _asked,
    Happening.HELD: lambda line: f"Held for {line.words} until {short_day(line.until)}",
    Happening.LIFTED: lambda line: f"Hold for {line.words} ended",
    Happening.SOLD: lambda line: f"Sold for {money(line.cents)}" + (f", {line.words}" if line.words else ""),
    Happening.RETURNED: lambda line: f"Came back from its buyer; {money(line.cents)} refunded",
    Happening.CORRECTED: lambda line: f"{line.words} put right",
    Happening.SAID: lambda line: f"{line.words}: {line.note}",
    Happening.SPLIT: _split,
    Happening.PARTS_OFF: lambda line: f"{line.words} taken off, to the shelf at {money(line.cents)}",
    Happening.DEPOSIT: lambda line: f"Deposit of {money(line.cents)} from {line.words}",
    Happening.DEPOSIT_ENDED: lambda line: f"Deposit: {money(line.cents)} {_ENDED[line.words]}",
    Happening.FINISH_BEGUN: lambda line: f"Finish begun: {line.words}",
    Happening.FINISH_ENDED: lambda line: f"Finish {line.words}",
    Happening.REFUNDED: lambda line: f"{money(line.cents)} refunded to its buyer",
}
