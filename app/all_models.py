"""Every room's tables, gathered for migrations and tests."""

from app.access import models as _access
from app.bench import models as _bench
from app.costs import models as _costs
from app.database import once as _once
from app.database.base import Base
from app.floor import models as _floor
from app.photos import models as _photos
from app.pieces import models as _pieces
from app.pocket import models as _pocket
from app.recipes import models as _recipes
from app.reports import models as _reports
from app.sales import models as _sales
from app.shelf import models as _shelf
from app.shop import models as _shop
from app.timelog import models as _timelog
from app.trips import models as _trips

ROOMS_WITH_TABLES = (
    _access,
    _bench,
    _costs,
    _floor,
    _once,
    _photos,
    _pieces,
    _pocket,
    _recipes,
    _reports,
    _sales,
    _shelf,
    _shop,
    _timelog,
    _trips,
)

__all__ = ["ROOMS_WITH_TABLES", "Base"]
