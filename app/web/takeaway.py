"""Lists to take away as CSV."""

from collections.abc import Iterable, Sequence

from flask import Response, request

from app.basics.csv_out import Cell, write_rows


def csv_answer(file_name: str, header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Response:
    """A CSV file as an answer; `?bom=1` puts the mark in front that some spreadsheets want."""
    text = write_rows(header, rows, bom=request.args.get("bom") == "1")
    return Response(
        text,
        content_type="text/csv; charset=utf-8; header=present",
        headers={"Content-Disposition": f'attachment; filename="{file_name}"', "Cache-Control": "no-store"},
    )
