"""Every page there is, with real arguments taken from a ledger, so that no page escapes the tests of all pages."""

from dataclasses import dataclass

from flask import Flask
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.all_models import ROOMS_WITH_TABLES
from app.costs.models import CostLine
from app.floor.models import Channel, ChannelFee
from app.photos.models import Photo
from app.pieces.models import Haul, Piece, Source
from app.pieces.rules import Stage
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn, TaxPlace, TaxRate
from app.timelog.models import TimeEntry

assert ROOMS_WITH_TABLES

# Addresses that answer with a file, not a page.
FILES = frozenset({"assets.serve", "photos.show", "safekeeping.download"})


@dataclass(frozen=True)
class Examples:
    """Arguments for the pages' addresses, by argument name; several tags, one at each stage."""

    arguments: dict[str, list[object]]

    def paths(self, app: Flask) -> dict[str, list[str]]:
        """For each GET endpoint the addresses to try; an endpoint without an example has none."""
        found: dict[str, list[str]] = {}
        adapter = app.create_url_adapter(None) or app.url_map.bind("localhost")
        for rule in app.url_map.iter_rules():
            if "GET" not in (rule.methods or set()) or rule.endpoint in FILES:
                continue
            found.setdefault(rule.endpoint, [])
            names = sorted(rule.arguments)
            choices = [self.arguments.get(name, []) for name in names]
            if not names:
                found[rule.endpoint].append(str(rule.rule))
            elif len(names) == 1:
                found[rule.endpoint] += [adapter.build(rule.endpoint, {names[0]: one}) for one in choices[0]]
        return found


def examples(session: Session) -> Examples:
    """Arguments from what stands in the ledger."""
    tags: list[object] = []
    for stage in Stage:
        tags += session.scalars(select(Piece.tag).where(Piece.stage == stage, Piece.left_as.is_(None)).limit(1))
    tags += session.scalars(select(Piece.tag).where(Piece.left_as.is_not(None)).limit(1))
    tags += session.scalars(select(Piece.tag).where(Piece.count > 1, Piece.stage != Stage.SOLD).limit(1))
    one = {
        "haul_id": Haul.id,
        "source_id": Source.id,
        "channel_id": Channel.id,
        "line_id": CostLine.id,
        "entry_id": TimeEntry.id,
        "sale_id": Sale.id,
        "return_id": SaleReturn.id,
        "photo_id": Photo.id,
        "fee_id": ChannelFee.id,
        "tax_place_id": TaxPlace.id,
        "tax_rate_id": TaxRate.id,
        "refund_id": SaleRefund.id,
        "deposit_id": Deposit.id,
        "end_id": DepositEnd.id,
    }
    arguments: dict[str, list[object]] = {
        name: list(session.scalars(select(column).order_by(column.desc()).limit(2))) for name, column in one.items()
    }
    months = sorted({f"{day:%Y-%m}" for day in session.scalars(select(Sale.sold_on))})
    return Examples({**arguments, "tag": tags, "month": [*months[-2:], "2026-11"]})
