"""Lists, reports and dates to take away: CSV, spreadsheet, paper, calendar."""

from collections.abc import Iterable, Sequence

from flask import Response, request

from app.basics import paper
from app.basics.csv_out import Cell, write_rows
from app.basics.money import format_plain_amount
from app.basics.paper import Block, PaperSize
from app.basics.quantities import Units
from app.basics.sheet_out import write_sheet
from app.web.frame import frame

SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
HAND_OVER_NOTE = "Figures to hand over, not tax advice; local law and a licensed preparer decide."
"""Stands on every page of money that leaves the shop."""


def csv_answer(file_name: str, header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Response:
    """A list to take away under `file_name`, which ends in .csv.

    `?as=xlsx` makes it a spreadsheet under the same name with its own ending; `?bom=1` puts a mark in front of the
    CSV that some spreadsheets want.
    """
    if request.args.get("as") == "xlsx":
        name = file_name.removesuffix(".csv")
        return file_answer(f"{name}.xlsx", SHEET_TYPE, write_sheet(name, header, rows))
    text = write_rows(header, rows, bom=request.args.get("bom") == "1")
    return file_answer(file_name, "text/csv; charset=utf-8; header=present", text)


def calendar_answer(file_name: str, body: bytes) -> Response:
    """Dates for a calendar, under a name that ends in .ics."""
    return file_answer(file_name, "text/calendar; charset=utf-8", body)


def pdf_answer(file_name: str, title: str, period: str, blocks: Iterable[Block]) -> Response:
    """A report on paper: Letter for a shop that measures in inches, else A4.

    `period` says which days it is about; in which currency its amounts are is added.
    """
    body = paper.document(
        title,
        f"{period}. Amounts in {frame().currency}.",
        blocks,
        shop_name=frame().shop_name,
        size=PaperSize.LETTER if frame().units is Units.IMPERIAL else PaperSize.A4,
        foot=HAND_OVER_NOTE,
    )
    return file_answer(file_name, "application/pdf", body)


def paper_money(cents: int) -> str:
    """An amount as it stands on paper, without the currency's sign: that is said once, under the title."""
    return format_plain_amount(cents, frame().places, frame().locale)


def file_answer(file_name: str, content_type: str, body: bytes | Iterable[str]) -> Response:
    """Any other file to take away under its name; nothing of it is kept on the way."""
    return Response(
        body,
        content_type=content_type,
        headers={"Content-Disposition": f'attachment; filename="{file_name}"', "Cache-Control": "no-store"},
    )
