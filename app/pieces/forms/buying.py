"""Forms for what was paid, for a whole haul, and for the places where pieces are found."""

from collections.abc import Iterable, Mapping
from typing import Any

from wtforms import BooleanField, RadioField

from app.basics.words import NAME_LIMIT, REASON_LIMIT
from app.pieces.rules import SPLIT_WORDS, HaulCorrection, SplitMethod
from app.web.forms import BlockField, DayField, Form, LineField, MoneyField, VersionedForm, required, words_of

REASON_HINT = "A few words, like: misread the receipt. It stays beside the old amounts."


class PaidForm(VersionedForm):
    """Where a piece is from and what was paid for it."""

    source = RadioField("Where from", choices=[])
    paid = MoneyField("Paid")
    premium = MoneyField("Buyer's premium")
    tax = MoneyField("Sales tax paid")
    reason = LineField(
        "What was wrong",
        [required("Say what was wrong; a few words will do.")],
        limit=REASON_LIMIT,
        description=REASON_HINT,
    )

    @property
    def source_id(self) -> int | None:
        """The place as chosen."""
        return int(self.source.data) if self.source.data else None


class OpeningForm(VersionedForm):
    """What a piece had cost when the books began."""

    paid = MoneyField("Cost so far", [required("Type what it had cost; 0 if nothing.")])
    reason = PaidForm.reason


def split_choices() -> list[tuple[str, str]]:
    """The ways to share one price over several pieces."""
    return words_of(SPLIT_WORDS, lambda method: SPLIT_WORDS[method])


class HaulForm(VersionedForm):
    """A haul entered again; `haul_form` adds two boxes for each of its pieces."""

    source = RadioField("Where from", choices=[])
    bought_on = DayField("Bought on", [required("Give the day you bought them.")], starts_today=False)
    paid = MoneyField("Price for all of it", [required("Type the price for all of it; 0 if it cost nothing.")])
    premium = MoneyField("Buyer's premium")
    tax = MoneyField("Sales tax paid")
    split = RadioField("Share the price", choices=split_choices)
    note = BlockField("Note")
    reason = PaidForm.reason
    piece_ids: tuple[int, ...] = ()

    def correction(self) -> HaulCorrection:
        """The haul as filled in, in cents."""
        return HaulCorrection(
            source_id=int(self.source.data) if self.source.data else None,
            bought_on=self.bought_on.data,
            price_cents=self.paid.data,
            premium_cents=self.premium.data or 0,
            tax_cents=self.tax.data or 0,
            split=SplitMethod(self.split.data),
            reason=self.reason.data,
            amounts=self._amounts(),
            note=self.note.data,
        )

    def _amounts(self) -> Mapping[int, int | None]:
        box = "by_hand" if self.split.data == SplitMethod.BY_HAND else "guess"
        return {piece_id: self[f"{box}_{piece_id}"].data for piece_id in self.piece_ids}


def haul_form(piece_ids: Iterable[int]) -> type[HaulForm]:
    """A form with a guess and a share by hand for each piece."""
    fields: dict[str, Any] = {"piece_ids": tuple(piece_ids)}
    for piece_id in fields["piece_ids"]:
        fields[f"guess_{piece_id}"] = MoneyField("Will sell for, at a guess")
        fields[f"by_hand_{piece_id}"] = MoneyField("Its share, by hand")
    return type("HaulSharesForm", (HaulForm,), fields)


class SourceForm(Form):
    """A kind of place where pieces are found."""

    name = LineField("Name", [required("Give the place a name, like estate sale.")], limit=NAME_LIMIT)
    is_free = BooleanField("Pieces from there cost nothing")


class SourceChangeForm(VersionedForm):
    """A place renamed, free or not, put away or not."""

    name = SourceForm.name
    is_free = SourceForm.is_free
    is_put_away = BooleanField("Put away: no longer offered for new finds")
