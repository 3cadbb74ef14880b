"""What a sale may say, and when it may be struck out."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from app.basics.dates import require_not_before, require_not_future
from app.basics.errors import RuleError
from app.basics.quantities import RATE_WHOLE
from app.pieces.rules import LEAVING_WORDS, CannotMove, Leaving, Stage
from app.sales.rules.tax import TaxBasis

WHAT_WAS_WRONG: Final = "Say what was wrong with it; a few words will do."


@dataclass(frozen=True)
class NewSale:
    """A sale as it is told: amounts in cents, the price and the delivery charged without the sales tax.

    `tax_cents` is what the shop collects, `channel_tax_cents` what the channel does; the deposits of
    `deposit_ids` are applied to it.
    """

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
    tax_place_id: int | None = None
    tax_rate_ppm: int | None = None
    tax_basis: TaxBasis | None = None
    channel_tax_cents: int = 0
    untaxed_reason: str = ""
    deposit_ids: tuple[int, ...] = ()

    @property
    def due_cents(self) -> int:
        """What the buyer owes the shop for it: price, delivery and the tax the shop collects."""
        return self.price_cents + self.delivery_charged_cents + self.tax_cents

    @property
    def net_cents(self) -> int:
        """What remains of it after fees and delivery."""
        return net_of_sale(self.price_cents, self.delivery_charged_cents, self.delivery_paid_cents, self.fees_cents)


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
    require_no_minus(
        price=new.price_cents,
        delivery_charged=new.delivery_charged_cents,
        delivery_paid=new.delivery_paid_cents,
        fees=new.fees_cents,
        tax=min(new.tax_cents, new.channel_tax_cents),
    )
    if new.price_cents == 0:
        raise RuleError("Type what it sold for. A piece you gave away leaves as given away.", "price")
    taken_in = new.price_cents + new.delivery_charged_cents
    if new.fees_cents > taken_in:
        raise RuleError("The fees are more than the price and the delivery charged. Look at both.", "fees")
    if new.tax_cents + new.channel_tax_cents > taken_in:
        raise RuleError("The sales tax is more than the price and the delivery charged. Look at both.", "tax")
    _require_sound_tax(new)


def _require_sound_tax(new: NewSale) -> None:
    if new.tax_cents and new.channel_tax_cents:
        raise RuleError("Either the shop collects the sales tax or the channel does.", "tax_by")
    if new.channel_tax_cents and new.channel_id is None:
        raise RuleError("Choose the channel that collects the tax.", "channel")
    if new.tax_rate_ppm is not None and not 0 <= new.tax_rate_ppm <= RATE_WHOLE:
        raise RuleError("A rate of sales tax lies between 0 and 100 percent.", "tax_place")
    if new.tax_place_id is None and (new.tax_rate_ppm is not None or new.tax_basis is not None):
        raise RuleError("A rate of sales tax belongs to a place.", "tax_place")


def require_standing_sale(*, is_struck: bool, is_returned: bool, is_refunded: bool) -> None:
    """Refuse to strike out a sale struck out before, one that came back, or one with a refund (RuleError)."""
    if is_struck:
        raise RuleError("This sale is struck out already.")
    if is_returned:
        raise RuleError("The piece came back from this sale. Strike out the return first if that was a mistake.")
    if is_refunded:
        raise RuleError("Money was given back on this sale. Strike out that refund first.")


def require_no_minus(**amounts: int) -> None:
    """Refuse, at its field, an amount below zero (RuleError)."""
    for field, cents in amounts.items():
        if cents < 0:
            raise RuleError("An amount here is never below zero.", field)
