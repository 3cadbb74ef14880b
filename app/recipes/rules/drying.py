"""When the next coat may go on: from the step's own times, the material's label, or what holds as a rule."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from app.recipes.rules.products import PRODUCTS, Product
from app.recipes.rules.steps import StepFacts


class TimeFrom(StrEnum):
    """Where a drying time comes from."""

    STEP = "step"
    LABEL = "label"
    RULE = "rule"
    NONE = "none"


@dataclass(frozen=True)
class Label:
    """What the label of a material says; minutes, None where it does not say or nobody typed it.

    `spread_hundredths` is the area a coat covers, in hundredths of m2 per litre.
    """

    product: Product | None = None
    recoat: int | None = None
    recoat_by: int | None = None
    handle: int | None = None
    cure: int | None = None
    dwell: int | None = None
    spread_hundredths: int | None = None


NO_LABEL = Label()


@dataclass(frozen=True)
class Drying:
    """The four clocks of one coat, in minutes after it is on: next coat from and by, light handling, hard through.

    Nothing dries after work that leaves no coat: all are 0 then.
    """

    recoat: int
    recoat_by: int | None
    handle: int
    cure: int
    source: TimeFrom

    def ready_at(self, done_at: datetime) -> datetime:
        """The instant from which the next coat may go on."""
        return done_at + timedelta(minutes=self.recoat)

    def closes_at(self, done_at: datetime) -> datetime | None:
        """The instant after which it must be scuffed first, where the window has an end."""
        return None if self.recoat_by is None else done_at + timedelta(minutes=self.recoat_by)


def drying_of(step: StepFacts, label: Label = NO_LABEL) -> Drying:
    """How long what a step leaves must dry: by the step, else the label, else the rule for its sort of product."""
    product = step.product or label.product
    rule = PRODUCTS[product] if product is not None else None
    source = TimeFrom.NONE
    if step.recoat is not None:
        source = TimeFrom.STEP
    elif label.recoat is not None:
        source = TimeFrom.LABEL
    elif rule is not None:
        source = TimeFrom.RULE
    recoat = _first(step.recoat, label.recoat, rule.recoat if rule else None)
    recoat_by = step.recoat_by or label.recoat_by or (rule.recoat_by if rule else None)
    return Drying(
        recoat=recoat,
        recoat_by=None if recoat_by is None or recoat_by < recoat else recoat_by,
        handle=max(_first(label.handle, rule.handle if rule else None), recoat),
        cure=max(_first(step.cure, label.cure, rule.cure if rule else None), recoat),
        source=source,
    )


def _first(*minutes: int | None) -> int:
    return next((each for each in minutes if each is not None), 0)
