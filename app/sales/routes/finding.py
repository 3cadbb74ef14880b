"""What the pages of a sale begin with."""

from app.sales import queries
from app.sales.queries import SaleSheet
from app.web.frame import ledger


def sheet_of(sale_id: int) -> SaleSheet:
    """A sale with its piece; raises NotFound."""
    with ledger().reading() as session:
        return queries.sale_sheet(session, sale_id)
