"""Reports on paper: a page kit that turns headings, ladders and tables of words into a PDF.

    body = document(
        "November 2026",
        "1 to 30 November 2026. Amounts in USD.",
        [
            Heading("Profit"),
            Ladder([Rung("Sale prices", "1,240.00"), Rung("Profit", "410.50", RungKind.TOTAL)]),
            Heading("Sold"),
            Table([Column("Piece"), Column("Profit", is_number=True)], [("Chest", "9.50")], foot=("All 1", "9.50")),
            Note("Figures to hand over, not tax advice."),
        ],
        shop_name="Bent Nail Workshop",
        size=PaperSize.LETTER,
    )

All amounts and days come as words already: the kit knows no currency and no calendar. The same blocks always make
the same bytes. Tables break over pages with their header repeated; every page says which of how many it is. Pages
answer with it through `web.takeaway.pdf_answer`, which fills in the shop's name and paper.
"""

from app.basics.paper.blocks import (
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
)
from app.basics.paper.document import document

__all__ = [
    "Block",
    "Column",
    "Heading",
    "Ladder",
    "NewPage",
    "Note",
    "PaperSize",
    "Rung",
    "RungKind",
    "Table",
    "document",
]
