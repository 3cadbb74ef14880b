"""Read the shop's facts."""

from sqlalchemy.orm import Session

from app.shop.models import Shop
from app.shop.rules import ShopFacts


def shop_facts(session: Session) -> ShopFacts | None:
    """The shop's facts, or None before the first start."""
    row = session.get(Shop, 1)
    if row is None:
        return None
    return ShopFacts(
        name=row.name,
        currency=row.currency,
        time_zone=row.time_zone,
        units=row.units,
        started_on=row.started_on,
        sits_too_long_days=row.sits_too_long_days,
        version=row.version,
    )
