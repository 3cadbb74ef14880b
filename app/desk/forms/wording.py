"""Asks for the owner's own words: those a piece is offered with, and how it is looked after."""

from app.floor.rules import CARE_LIMIT, LISTING_LIMIT
from app.web.forms import BlockField, VersionedForm


class ListingWordsForm(VersionedForm):
    """The words a piece is offered with."""

    words = BlockField(
        "Your words",
        limit=LISTING_LIMIT,
        description="Emptied, they are worked out from the facts again.",
        render_kw={"rows": 14},
    )


class CareWordsForm(VersionedForm):
    """How a piece is looked after."""

    words = BlockField(
        "Your words",
        limit=CARE_LIMIT,
        description="At most 600 letters, to fit on a tag. Emptied, they are worked out from the finish again.",
        render_kw={"rows": 8},
    )
