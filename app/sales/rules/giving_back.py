"""What may be given back on a sale: when it comes back, or in part while it stands."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Final

from app.basics.dates import require_not_before, require_not_future
from app.basics.errors import RuleError
from app.basics.money import half_up
from app.basics.striking import reason_to_keep
from app.pieces.rules import Stage
from app.sales.rules.selling import require_no_minus

RETURN_STAGES: Final = (Stage.SOURCED, Stage.PREPPED, Stage.FINISHED)
"""Where a piece that came back may stand; it goes on the floor again by being listed."""

WHY_IT_CAME_BACK: Final = "Say why it came back; a few words will do."
WHY_REFUNDED: Final = "Say why it was given back; a few words will do."


@dataclass(frozen=True)
class NewReturn:
    """A sale that came back as it is told: amounts in cents, the refund without the sales tax given back."""

    sale_id: int
    returned_on: date
    refund_cents: int
    tax_refunded_cents: int
    fees_back_cents: int
    delivery_back_cents: int
    reason: str
    to_stage: Stage = Stage.FINISHED


@dataclass(frozen=True)
class NewRefund:
    """Money given back on a sale that stands: amounts in cents, the refund without the sales tax given back."""

    sale_id: int
    on_date: date
    refund_cents: int
    tax_refunded_cents: int
    fees_back_cents: int
    reason: str


@dataclass(frozen=True)
class SaleMoney:
    """The amounts of a sale that stands, in cents, its day, and what was given back on it in part before."""

    sold_on: date
    price_cents: int
    delivery_charged_cents: int
    delivery_paid_cents: int
    fees_cents: int
    tax_cents: int
    refunded_cents: int = 0
    tax_refunded_cents: int = 0
    fees_back_cents: int = 0

    @property
    def refund_left_cents(self) -> int:
        """What of the price and the delivery charged was not given back yet."""
        return self.price_cents + self.delivery_charged_cents - self.refunded_cents

    @property
    def tax_left_cents(self) -> int:
        """What of the sales tax was not given back yet."""
        return self.tax_cents - self.tax_refunded_cents

    @property
    def fees_left_cents(self) -> int:
        """What of the fees did not come back yet."""
        return self.fees_cents - self.fees_back_cents


def require_sound_return(new: NewReturn, sale: SaleMoney, today: date) -> None:
    """Refuse a return that gives back more than the sale brought, is dated wrong, or says no reason."""
    require_not_future(new.returned_on, today, "returned_on")
    require_not_before(new.returned_on, sale.sold_on, "returned_on", "the day of the sale")
    require_no_minus(
        refund=new.refund_cents,
        tax_refunded=new.tax_refunded_cents,
        fees_back=new.fees_back_cents,
        delivery_back=new.delivery_back_cents,
    )
    _require_within(new, sale)
    if new.delivery_back_cents > sale.delivery_paid_cents:
        raise RuleError("The delivery recovered is more than was paid for it.", "delivery_back")
    reason_to_keep(new.reason, WHY_IT_CAME_BACK)
    if new.to_stage not in RETURN_STAGES:
        raise RuleError("Choose where the piece stands now: sourced, prepped or finished.", "to_stage")


def require_sound_refund(new: NewRefund, sale: SaleMoney, today: date) -> None:
    """Refuse a refund of nothing, one of more than is left of the sale, one dated wrong, or without a reason."""
    require_not_future(new.on_date, today, "on_date")
    require_not_before(new.on_date, sale.sold_on, "on_date", "the day of the sale")
    require_no_minus(refund=new.refund_cents, tax_refunded=new.tax_refunded_cents, fees_back=new.fees_back_cents)
    if new.refund_cents == 0:
        raise RuleError("Type how much of the price was given back.", "refund")
    _require_within(new, sale)
    reason_to_keep(new.reason, WHY_REFUNDED)


def _require_within(new: NewReturn | NewRefund, sale: SaleMoney) -> None:
    """Refuse, at its field, what exceeds the sale less what was given back on it before."""
    before = ", less what was given back before" if sale.refunded_cents else ""
    if new.refund_cents > sale.refund_left_cents:
        raise RuleError(f"The refund is more than the price and the delivery charged{before}.", "refund")
    if new.tax_refunded_cents > sale.tax_left_cents:
        raise RuleError(f"The tax given back is more than the tax collected{before}.", "tax_refunded")
    if new.fees_back_cents > sale.fees_left_cents:
        raise RuleError(f"The fees given back are more than the fees of the sale{before}.", "fees_back")


def require_returnable(*, is_struck: bool, is_returned: bool) -> None:
    """Refuse a return of a sale that is struck out or came back before (RuleError)."""
    if is_struck:
        raise RuleError("This sale is struck out, so nothing can come back from it.")
    if is_returned:
        raise RuleError("The piece came back from this sale already.")


def require_refundable(*, is_struck: bool, is_returned: bool) -> None:
    """Refuse a refund in part on a sale that is struck out or came back (RuleError)."""
    if is_struck:
        raise RuleError("This sale is struck out, so nothing can be given back on it.")
    if is_returned:
        raise RuleError("The piece came back from this sale; what was given back is in its return.")


def tax_with_refund(refund_cents: int, sale: SaleMoney) -> int:
    """The sales tax that goes with a refund in part, in cents: its share, at most what is left of the tax."""
    brought = sale.price_cents + sale.delivery_charged_cents
    share = half_up(Fraction(refund_cents * sale.tax_cents, brought)) if brought else 0
    return min(share, sale.tax_left_cents)
