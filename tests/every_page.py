"""Every page there is, with real arguments taken from a ledger, so that no page escapes the tests of all pages."""

from dataclasses import dataclass
from itertools import product

from flask import Flask
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.access.models import SignedInBrowser
from app.all_models import ROOMS_WITH_TABLES
from app.costs.models import Adjustment, CostLine
from app.floor.models import Channel, ChannelFee
from app.photos.models import Photo
from app.pieces.models import Haul, Piece, Purchase, Source
from app.pieces.rules import Stage
from app.pocket.models import Capture
from app.recipes.models import Finish, FinishStep, Recipe, RecipeStep
from app.reports.models import WriteDown
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn, TaxPlace, TaxRate
from app.shelf.models import Material, ShelfCount, ShelfPurchase, ShelfUse
from app.timelog.models import TimeEntry
from app.trips.models import MileageRate, Trip

assert ROOMS_WITH_TABLES

# Addresses that answer with a file, not a page.
FILES = frozenset(
    {
        "access.certificate_file",
        "assets.serve",
        "bench.feed",
        "bench.ready",
        "desk.pack_zip",
        "desk.tags_pdf",
        "photos.before_after",
        "photos.show",
        "pocket.held_photo",
        "pocket.home",
        "pocket.manifest",
        "pocket.worker",
        "safekeeping.download",
        "safekeeping.latest",
    }
)


@dataclass(frozen=True)
class Examples:
    """Arguments for the pages' addresses, by argument name; several tags, one at each stage."""

    arguments: dict[str, list[object]]
    rows: tuple[dict[str, object], ...] = ()

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
            elif names == ["row_id", "table"]:
                found[rule.endpoint] += [adapter.build(rule.endpoint, dict(one)) for one in self.rows]
            else:
                told = (dict(zip(names, chosen, strict=True)) for chosen in product(*choices))
                found[rule.endpoint] += [adapter.build(rule.endpoint, one) for one in told]
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
        "trip_id": Trip.id,
        "rate_id": MileageRate.id,
        "material_id": Material.id,
        "purchase_id": ShelfPurchase.id,
        "use_id": ShelfUse.id,
        "count_id": ShelfCount.id,
        "adjustment_id": Adjustment.id,
        "write_down_id": WriteDown.id,
        "fee_id": ChannelFee.id,
        "tax_place_id": TaxPlace.id,
        "tax_rate_id": TaxRate.id,
        "refund_id": SaleRefund.id,
        "deposit_id": Deposit.id,
        "end_id": DepositEnd.id,
        "recipe_id": Recipe.id,
        "finish_id": Finish.id,
        "browser_id": SignedInBrowser.id,
    }
    arguments: dict[str, list[object]] = {
        name: list(session.scalars(select(column).order_by(column.desc()).limit(2))) for name, column in one.items()
    }
    arguments["step_id"] = _steps(session)
    # One that stands on a piece and one that stands on none.
    arguments["photo_id"] = list(session.scalars(select(func.max(Photo.id)).group_by(Photo.piece_id.is_(None))))
    arguments["capture_id"] = list(session.scalars(select(func.max(Capture.id)).group_by(Capture.kind, Capture.state)))
    months = sorted({f"{day:%Y-%m}" for day in session.scalars(select(Sale.sold_on))})
    years: dict[str, list[object]] = {
        "year": [2026, 2025],
        "line": ["sales", "stock-bought", "shop", "closing-stock"],
        "number": ["1", "3", "35", "36", "41"],
        "rule": ["damp"],
        "code": ["ABCD"],
    }
    names: list[object] = [f"cost-{line_id}" for line_id in arguments["line_id"]]
    names += [f"shelf-{purchase_id}" for purchase_id in arguments["purchase_id"]]
    names += [f"trip-{trip_id}" for trip_id in arguments["trip_id"]]
    arguments["name"] = names
    rows = [
        {"table": model.__tablename__, "row_id": row_id}
        for model in (Purchase, CostLine, Sale)
        for row_id in session.scalars(select(model.id).order_by(model.id).limit(1))
    ]
    return Examples({**arguments, **years, "tag": tags, "month": [*months[-2:], "2026-11"]}, tuple(rows))


def _steps(session: Session) -> list[object]:
    """Steps of recipes, and of finishes one in each state: both are known to their pages by the same name."""
    of_recipes = session.scalars(select(RecipeStep.id).order_by(RecipeStep.id.desc()).limit(2))
    of_finishes = session.scalars(select(func.max(FinishStep.id)).group_by(FinishStep.state))
    return list(dict.fromkeys([*of_recipes, *of_finishes]))
