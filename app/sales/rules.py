"""What a sale and a return may say, and when each may be taken back."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

from app.basics.dates import require_not_before, require_not_future
from app.basics.errors import RuleError
from app.basics.striking import reason_to_keep
from app.pieces.rules import LEAVING_WORDS, CannotMove, Leaving, Stage

RETURN_STAGES: Final = (Stage.SOURCED, Stage.PREPPED, Stage.FINISHED)
"""Where a piece that came back may stand; it goes on the floor again by being listed."""

WHAT_WAS_WRONG: Final = "Say what was wrong with it; a few words will do."
WHY_IT_CAME_BACK: Final = "Say why it came back; a few words will do."


class TaxBasis(StrEnum):
    """What sales tax is rounded on: each item of a sale by itself, or the sale as a whole."""

    ITEM = "item"
    INVOICE = "invoice"


class DepositEnding(StrEnum):
    """What became of a deposit."""

    APPLIED = "applied"
    REFUNDED = "refunded"
    KEPT = "kept"


@dataclass(frozen=True)
class NewSale:
    """A sale as it is told: amounts in cents, the price and the delivery charged without the sales tax."""

    piece_id: int
    sold_on: date
    channel_id: int | None
    price_cents: int
    delivery_charged_cents: int = 0
    delivery_paid_cents: int = 0
    fees_cents: int = 0
    tax_cents: int = 0
    buyer_name: str = ""
    note: str = ""

    @property
    def net_cents(self) -> int:
        """What remains of it after fees and delivery."""
        return net_of_sale(self.price_cents, self.delivery_charged_cents, self.delivery_paid_cents, self.fees_cents)


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
class SaleMoney:
    """The amounts of a sale that stands, in cents, and its day: what a return is measured against."""

    sold_on: date
    price_cents: int
    delivery_charged_cents: int
    delivery_paid_cents: int
    fees_cents: int
    tax_cents: int


class AlreadySold(CannotMove):
    """The piece was sold before; nothing can be sold twice."""


def net_of_sale(price_cents: int, delivery_charged_cents: int, delivery_paid_cents: int, fees_cents: int) -> int:
    """What remains of a sale in cents after fees and delivery; sales tax passes through and is not in it."""
    return price_cents + delivery_charged_cents - fees_cents - delivery_paid_cents


def require_sellable(stage: Stage, left_as: Leaving | None) -> None:
    """Refuse to sell what is sold (AlreadySold) or has left (CannotMove); every other stage may be sold from."""
    if left_as is not None:
        raise CannotMove(f"It has left ({LEAVING_WORDS[left_as]}). Bring it back before you sell it.")
    if stage is Stage.SOLD:
        raise AlreadySold("It is sold already. Nothing of this was saved.")


def require_sound_sale(new: NewSale, *, sourced_on: date, last_step_on: date, today: date) -> None:
    """Refuse a sale whose day or amounts cannot be (RuleError, at the field).

    Its day lies between the piece's last step and today; fees take no more than price and delivery charged
    bring; sales tax is at most as much as those.
    """
    require_not_future(new.sold_on, today, "sold_on")
    require_not_before(new.sold_on, sourced_on, "sold_on", "the day the piece was found")
    require_not_before(new.sold_on, last_step_on, "sold_on", "the day of its last step")
    _require_no_minus(
        price=new.price_cents,
        delivery_charged=new.delivery_charged_cents,
        delivery_paid=new.delivery_paid_cents,
        fees=new.fees_cents,
        tax=new.tax_cents,
    )
    if new.price_cents == 0:
        raise RuleError("Type what it sold for. A piece you gave away leaves as given away.", "price")
    taken_in = new.price_cents + new.delivery_charged_cents
    if new.fees_cents > taken_in:
        raise RuleError("The fees are more than the price and the delivery charged. Look at both.", "fees")
    if new.tax_cents > taken_in:
        raise RuleError("The sales tax is more than the price and the delivery charged. Look at both.", "tax")


def require_sound_return(new: NewReturn, sale: SaleMoney, today: date) -> None:
    """Refuse a return that gives back more than the sale brought, is dated wrong, or says no reason."""
    require_not_future(new.returned_on, today, "returned_on")
    require_not_before(new.returned_on, sale.sold_on, "returned_on", "the day of the sale")
    _require_no_minus(
        refund=new.refund_cents,
        tax_refunded=new.tax_refunded_cents,
        fees_back=new.fees_back_cents,
        delivery_back=new.delivery_back_cents,
    )
    if new.refund_cents > sale.price_cents + sale.delivery_charged_cents:
        raise RuleError("The refund is more than the price and the delivery charged.", "refund")
    if new.tax_refunded_cents > sale.tax_cents:
        raise RuleError("The tax given back is more than the tax collected.", "tax_refunded")
    if new.fees_back_cents > sale.fees_cents:
        raise RuleError("The fees given back are more than the fees of the sale.", "fees_back")
    if new.delivery_back_cents > sale.delivery_paid_cents:
        raise RuleError("The delivery recovered is more than was paid for it.", "delivery_back")
    reason_to_keep(new.reason, WHY_IT_CAME_BACK)
    if new.to_stage not in RETURN_STAGES:
        raise RuleError("Choose where the piece stands now: sourced, prepped or finished.", "to_stage")


def require_standing_sale(*, is_struck: bool, is_returned: bool) -> None:
    """Refuse to strike out a sale that was struck out before, or one whose piece came back (RuleError)."""
    if is_struck:
        raise RuleError("This sale is struck out already.")
    if is_returned:
        raise RuleError("The piece came back from this sale. Strike out the return first if that was a mistake.")


def require_returnable(*, is_struck: bool, is_returned: bool) -> None:
    """Refuse a return of a sale that is struck out or came back before (RuleError)."""
    if is_struck:
        raise RuleError("This sale is struck out, so nothing can come back from it.")
    if is_returned:
        raise RuleError("The piece came back from this sale already.")


def _require_no_minus(**amounts: int) -> None:
    for field, cents in amounts.items():
        if cents < 0:
            raise RuleError("An amount here is never below zero.", field)
