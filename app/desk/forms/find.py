"""The form for one find: what it is and what was paid; everything else may wait."""

from collections.abc import Collection
from typing import Any

from werkzeug.datastructures import FileStorage
from wtforms import HiddenField, MultipleFileField, RadioField
from wtforms.validators import ValidationError

from app.desk.forms.pile import numbers_told, told_numbers
from app.desk.forms.source import source_field, source_id_of
from app.photos.forms import ACCEPTED, PhotoKeeper, files_chosen, keep_each
from app.photos.rules import MOST_AT_ONCE, StoredPhoto
from app.pieces.forms.facts import FactsForm, facts_filled_in
from app.pieces.forms.fields import NumberField
from app.pieces.rules import AGE_WORDS, CONDITION_WORDS, LEAD, Age, Condition, Facts, NewFind
from app.pieces.rules import Form as PieceForm
from app.web.forms import DayField, Form, MoneyField, required, words_of

AGE_HINT = f"{LEAD.title}. Not known counts as old."


def condition_choices() -> list[tuple[str, str]]:
    """How worn a piece may be, beginning with nobody having said."""
    return [("", "Not said"), *((grade.value, f"{grade}: {CONDITION_WORDS[grade]}") for grade in Condition)]


def age_choices() -> list[tuple[str, str]]:
    """When a piece was made, as far as anybody knows."""
    return words_of(AGE_WORDS, lambda age: AGE_WORDS[age])


FOLDED = (
    "title",
    "count",
    "width_mm",
    "depth_mm",
    "height_mm",
    "condition",
    "materials",
    "age",
    "year",
    "bought_on",
    "premium",
    "tax",
    "notes",
)
"""The fields under the fold: it must stand open when one of them has something wrong."""


class FindForm(Form):
    """One find. `free_sources` are the choices of places that cost nothing; `keep_photo` checks and keeps one.

    `piled` are photos that lie on the pile and go along; those sent with a form that comes back join them.
    """

    free_sources: Collection[str] = ()
    keep_photo: PhotoKeeper
    kept_photos: tuple[StoredPhoto, ...] = ()

    form = FactsForm.form
    source = source_field()
    paid = MoneyField("Paid")
    photos = MultipleFileField("Add photos", render_kw={"accept": ACCEPTED})
    piled = HiddenField()
    title = FactsForm.title
    count = NumberField("A set of", description="Leave empty for one piece.")
    width_mm = FactsForm.width_mm
    depth_mm = FactsForm.depth_mm
    height_mm = FactsForm.height_mm
    condition = RadioField("Condition", choices=condition_choices, default="")
    materials = FactsForm.materials
    age = RadioField("Made", choices=age_choices, default=Age.UNKNOWN.value, description=AGE_HINT)
    year = FactsForm.year
    bought_on = DayField("Found on", [required("Give the day you found it.")])
    premium = MoneyField("Buyer's premium")
    tax = MoneyField("Sales tax paid")
    notes = FactsForm.notes

    @property
    def photos_chosen(self) -> list[FileStorage]:
        """The files that came with the form; a file box left empty sends a nameless one."""
        return files_chosen(self.photos)

    @property
    def piled_numbers(self) -> list[int]:
        """The photos of the pile that go along."""
        return numbers_told(str(self.piled.data or ""))

    def carry(self, numbers: Collection[int]) -> None:
        """Carry these photos of the pile along, and send no other again."""
        self.piled.data, self.kept_photos = told_numbers(numbers), ()

    def validate_paid(self, field: MoneyField) -> None:
        """What was paid may stay empty only where finds cost nothing."""
        if field.data is None and self.source.data not in self.free_sources:
            raise ValidationError("Type what you paid; 0 if it cost nothing.")

    def new_find(self) -> NewFind:
        """The find as filled in, in cents."""
        return NewFind(
            facts=facts_filled_in(self, Facts(form=PieceForm(self.form.data))),
            source_id=source_id_of(self.source),
            bought_on=self.bought_on.data,
            price_cents=self.paid.data or 0,
            premium_cents=self.premium.data or 0,
            tax_cents=self.tax.data or 0,
        )

    def validate(self, extra_validators: Any = None) -> bool:
        """Also: every photo can be read. Those that can are kept: a form that fails need not ask for them again."""
        is_sound = bool(super().validate(extra_validators))
        return self._photos_are_readable() and is_sound

    def _photos_are_readable(self) -> bool:
        chosen = self.photos_chosen
        kept, refused = keep_each(chosen[:MOST_AT_ONCE], self.keep_photo)
        if chosen[MOST_AT_ONCE:]:
            refused.append(f"Only {MOST_AT_ONCE} photos fit in one go. Add the others on the piece's own page.")
        self.photos.errors = [" ".join(refused)] if refused else []
        self.kept_photos = tuple(kept)
        return not refused
