"""Forms of the shelf: a material, what was bought, used and counted of it, and striking out."""

from collections.abc import Iterable
from typing import Any, Self

from wtforms import BooleanField, FileField, RadioField, SelectField
from wtforms.validators import DataRequired

from app.basics.errors import RuleError
from app.basics.quantities import Units
from app.basics.words import LINE_LIMIT, NAME_LIMIT
from app.photos.forms import ACCEPTED
from app.pieces.forms.fields import ColourField
from app.shelf.rules import (
    CLASS_WORDS,
    PART_WORDS,
    UNIT_WORDS,
    CanPart,
    MaterialClass,
    MaterialFacts,
    Measure,
    NewCount,
    NewPurchase,
    Unit,
    measure_words,
    measures_for,
    parse_quantity,
    quantity_plain,
)
from app.web.answers import AnswersForm
from app.web.checking import AgreedForm
from app.web.forms import (
    BlockField,
    DayField,
    Form,
    LineField,
    MoneyField,
    PercentField,
    StrikeForm,
    VersionedForm,
    required,
    words_of,
)
from app.web.frame import frame

PLACES_LIST = "places-bought-at"
START_COLOUR = "#b98a4e"
"""What the colour box shows before a colour is chosen: the box cannot be empty."""

AS_TYPED = ("", "As typed")
FOR_THE_SHOP = ("", "No piece: for the shop")
_PARTS_OF_A_CAN = (CanPart.QUARTER, CanPart.THIRD, CanPart.HALF, CanPart.WHOLE)


def class_choices() -> list[tuple[str, str]]:
    """Every class by its words."""
    return words_of(CLASS_WORDS, lambda klass: CLASS_WORDS[klass])


def unit_choices() -> list[tuple[str, str]]:
    """Every way to measure a material."""
    return words_of(UNIT_WORDS, lambda unit: UNIT_WORDS[unit])


class MaterialForm(Form):
    """What is known of a material."""

    name = LineField("Name", [required("Give it the name you call it by.")], limit=NAME_LIMIT)
    klass = RadioField("What it is", [required("Tap what it is.")], choices=class_choices)
    unit = RadioField("Measured", [required("Tap how you measure it.")], choices=unit_choices)
    colour = ColourField("Colour")
    has_no_colour = BooleanField("No colour")
    sheen = LineField("Sheen", limit=40, description="Like matt, satin or gloss.")
    solids = PercentField("Volume solids", description="From the maker's data sheet, in percent.")
    reorder = LineField("Buy more when this much is left", limit=40)
    note = BlockField("Note")
    put_away = BooleanField("Put away: do not offer it any more")

    reorder_milli: int | None = None

    @classmethod
    def given(cls, facts: MaterialFacts | None, units: Units, **more: Any) -> Self:
        """The form as posted, or a new one holding what is known of a material."""
        known = facts or MaterialFacts("", MaterialClass.PAINT, Unit.ML)
        level = "" if known.reorder_milli is None else quantity_plain(known.reorder_milli, known.unit, units)
        return cls.from_request(
            name=known.name,
            klass=known.klass.value if facts else None,
            unit=known.unit.value,
            colour=known.colour or START_COLOUR,
            has_no_colour=known.colour is None,
            sheen=known.sheen,
            solids=known.volume_solids_hundredths,
            reorder=level,
            note=known.note,
            put_away=known.is_put_away,
            **more,
        )

    def validate(self, extra_validators: Any = None) -> bool:
        """Also: the level to buy more at is a quantity in the unit chosen."""
        is_sound: bool = super().validate(extra_validators)
        if self.reorder.data and not self.unit.errors and not self.reorder.errors:
            unit = Unit(self.unit.data)
            try:
                self.reorder_milli = parse_quantity(self.reorder.data, unit, measures_for(unit, frame().units)[0])
            except RuleError as refusal:
                self.reorder.errors = [refusal.message]
                return False
        return is_sound

    def facts(self) -> MaterialFacts:
        """The facts as filled in; a colour chosen counts, tick or no tick."""
        chosen: str | None = self.colour.data or None
        return MaterialFacts(
            name=self.name.data,
            klass=MaterialClass(self.klass.data),
            unit=Unit(self.unit.data),
            colour=None if self.has_no_colour.data and chosen in {None, START_COLOUR} else chosen,
            sheen=self.sheen.data,
            volume_solids_hundredths=self.solids.data,
            reorder_milli=self.reorder_milli,
            note=self.note.data,
            is_put_away=bool(self.put_away.data),
        )


class CorrectMaterialForm(MaterialForm, VersionedForm):
    """Puts right what is known of a material."""


class QuantityForm(AnswersForm, AgreedForm):
    """A quantity of one material on a day."""

    quantity = LineField("How much", limit=40, render_kw={"inputmode": "decimal", "autocomplete": "off"})
    measure = SelectField("Measured in", validate_choice=False)
    on_date = DayField("Date", [DataRequired("Say on which day it was.")])
    note = LineField("Note", limit=LINE_LIMIT)

    unit = Unit.EACH
    milli: int | None = None

    def measured_in(self, unit: Unit, usual: Measure | None = None) -> Self:
        """Ask for a quantity of that unit, in the measures of the shop: the usual one first."""
        measures = measures_for(unit, frame().units)
        self.unit = unit
        self.measure.choices = words_of(measures, measure_words)
        if self.measure.data not in set(measures):
            self.measure.data = (usual or measures[0]).value
        return self

    def answer_fields(self) -> list[Any]:
        """The fields somebody fills in; a file cannot be carried on."""
        return [field for field in super().answer_fields() if not isinstance(field, FileField)]

    @property
    def has_quantity(self) -> bool:
        """Whether anything was typed into the box of the quantity."""
        return bool(self.quantity.data)

    def validate(self, extra_validators: Any = None) -> bool:
        """Also: the quantity can be read."""
        is_sound: bool = super().validate(extra_validators)
        if self.quantity.errors:
            return False
        try:
            self.milli = self.read_quantity()
        except RuleError as refusal:
            self.quantity.errors = [refusal.message]
            return False
        return is_sound

    def read_quantity(self) -> int | None:
        """The quantity in thousandths of the unit, or RuleError with the words to show."""
        if not self.has_quantity:
            raise RuleError("Type how much.")
        milli = parse_quantity(self.quantity.data, self.unit, Measure(self.measure.data))
        if not milli:
            raise RuleError("A quantity of nothing is none. Type more than 0.")
        return milli


class BuyForm(QuantityForm):
    price = MoneyField("Price of all of it", [DataRequired("Type what it cost; 0 if it was free.")])
    tax = MoneyField("Sales tax on top")
    bought_at = LineField("Bought at", limit=NAME_LIMIT, render_kw={"list": PLACES_LIST, "autocomplete": "off"})
    receipt = FileField("Photo of the receipt", render_kw={"accept": ACCEPTED})

    @property
    def has_receipt(self) -> bool:
        """Whether a file was chosen; it must be chosen again when the page comes back."""
        return bool(self.receipt.data and self.receipt.data.filename)

    def new_purchase(self, material_id: int) -> NewPurchase:
        """The purchase as it was typed, without its receipt."""
        return NewPurchase(
            material_id=material_id,
            milli=self.milli or 0,
            price_cents=self.price.data,
            on_date=self.on_date.data,
            tax_cents=self.tax.data or 0,
            bought_at=self.bought_at.data,
            note=self.note.data,
        )


class UseForm(QuantityForm):
    part = RadioField("Or a part of the can", default="", validate_choice=False)
    # A tag that is no piece of this shop is refused by the ledger, in its own words.
    piece = SelectField("For which piece?", validate_choice=False)

    def offer(self, field_name: str, choices: list[tuple[str, str]]) -> Self:
        """Give a choice field its choices; the pieces come with the shop before them."""
        return super().offer(field_name, [FOR_THE_SHOP, *choices] if field_name == "piece" else choices)

    def offer_parts(self, *, has_can: bool) -> Self:
        """Offer parts of what was bought last, where something was, and all that is left."""
        parts: Iterable[CanPart] = (*(_PARTS_OF_A_CAN if has_can else ()), CanPart.REST)
        self.part.choices = [AS_TYPED, *words_of(parts, lambda part: PART_WORDS[part])]
        return self

    @property
    def chosen_part(self) -> CanPart | None:
        """The part of the can that was tapped, if one was."""
        known = {part.value for part in CanPart}
        return CanPart(self.part.data) if self.part.data in known else None

    def read_quantity(self) -> int | None:
        """As the base, or None where a part of the can says how much; refuses both at once."""
        if self.chosen_part is None:
            return super().read_quantity()
        if self.has_quantity:
            raise RuleError("Type how much, or tap a part of the can: not both.")
        return None


class CountForm(QuantityForm):
    quantity = LineField("How much is there", limit=40, render_kw={"inputmode": "decimal", "autocomplete": "off"})

    def read_quantity(self) -> int | None:
        """As the base, and nothing is a count too."""
        if not self.has_quantity:
            raise RuleError("Type how much is there; 0 if it is used up.")
        return parse_quantity(self.quantity.data, self.unit, Measure(self.measure.data))

    def new_count(self, material_id: int) -> NewCount:
        """The count as it was typed."""
        return NewCount(material_id, self.milli or 0, self.on_date.data, self.note.data)


class StrikeRowForm(StrikeForm, AgreedForm):
    """Asks why a row of the shelf is struck out, with what else that changes in sight."""
