"""Read one row of money as its correction page shows it, with what earlier corrections made of it."""

from collections import defaultdict
from dataclasses import replace

from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.costs.queries import adjustments_of_row
from app.costs.rules import AdjustedPart
from app.desk.queries.correctable import READERS, RowSheet


def row_to_correct(session: Session, table: str, row_id: int) -> RowSheet:
    """One row of money with its amounts as they stand with the earlier corrections; raises NotFound."""
    read = READERS.get(table)
    if read is None:
        raise NotFound("row")
    sheet = read(session, row_id)
    earlier = adjustments_of_row(session, table, row_id)
    by_part: dict[AdjustedPart, int] = defaultdict(int)
    for row in earlier:
        if not row.is_struck:
            by_part[row.part] += row.cents
    amounts = (replace(amount, corrected=amount.sign * by_part[amount.part]) for amount in sheet.amounts)
    return replace(sheet, amounts=tuple(amounts), earlier=tuple(earlier))
