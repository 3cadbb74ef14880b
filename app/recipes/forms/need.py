"""The form of how much to mix: a piece by its tag or its size, or an area; what goes on it, how, and what is lost."""

from collections.abc import Collection
from fractions import Fraction
from types import MappingProxyType
from typing import Final, Self

from wtforms import BooleanField, RadioField, SelectField, SelectMultipleField, StringField

from app.basics.errors import RuleError
from app.basics.words import NAME_LIMIT
from app.pieces.rules import FORM_WORDS, MOST_IN_A_SET, Form
from app.recipes.forms.reading import AmountField, AreaField, CountField, RatioField, SumForm
from app.recipes.rules import (
    MOST_COATS,
    MOST_SHELVES,
    PRODUCTS,
    RELIEF_FACTORS,
    RELIEF_WORDS,
    SPREADS,
    UNMIXED,
    USUAL_COATS,
    USUAL_RESIDUE_HUNDREDTHS,
    WAY_WORDS,
    Build,
    Face,
    Measures,
    Product,
    Ratio,
    Relief,
    Way,
    area_faces,
    is_small,
    paintable_area_cm2,
    ways_for,
)
from app.recipes.rules.sums import CoatingJob, NeedAnswer, Priced, area_shown, need_answer, spread_of_number
from app.web.forms import LengthField, LineField, PercentField, words_of
from app.web.frame import frame

TAGS_LIST: Final = "tags-on-hand"
WHAT_NEEDED: Final = "Say what it is: a tag number, a form with its size, or an area."
NO_COST: Final = ("", "None: leave the cost out")


def form_choices() -> list[tuple[str, str]]:
    """Every form, and that the piece or nobody says."""
    return [("", "As the piece is"), *words_of(FORM_WORDS, lambda form: FORM_WORDS[form])]


def relief_choices() -> list[tuple[str, str]]:
    """Shapes with what they add."""
    return words_of(RELIEF_WORDS, lambda relief: f"{RELIEF_WORDS[relief]}{_added(relief)}")


def _added(relief: Relief) -> str:
    added = int((RELIEF_FACTORS[relief] - 1) * 100)
    return f", {added} % more" if added else ""


def product_choices() -> list[tuple[str, str]]:
    """The sorts of product that are spread over a surface."""
    return words_of(SPREADS, lambda product: PRODUCTS[product].words)


class NeedForm(SumForm):
    """How much to mix for a piece or an area."""

    start = MappingProxyType(
        {
            "product": Product.WATERBORNE_PAINT.value,
            "coats": str(USUAL_COATS),
            "way": Way.BRUSH.value,
            "relief": Relief.FLAT.value,
            "residue": str(USUAL_RESIDUE_HUNDREDTHS // 100),
            "mixed_with": "water",
            "form": "",
            "material": "",
        }
    )

    tag = LineField("Tag number of the piece", limit=NAME_LIMIT, render_kw={"list": TAGS_LIST, "autocomplete": "off"})
    form = SelectField("What it is", choices=form_choices)
    width_mm = LengthField("Width")
    depth_mm = LengthField("Depth")
    height_mm = LengthField("Height")
    is_round = BooleanField("Its top is round")
    shelves = CountField("Shelves", word="shelves", most=MOST_SHELVES)
    count = CountField("How many alike", word="pieces", most=MOST_IN_A_SET)
    area = AreaField("Or just an area")
    faces = SelectMultipleField("What is coated", choices=[], validate_choice=False)
    faces_of = StringField()
    relief = SelectField("Its shape", choices=relief_choices)
    product = SelectField("What goes on", choices=product_choices)
    coats = CountField("Coats", word="coats", most=MOST_COATS)
    way = RadioField("Put on with")
    ratio = RatioField("Mixed in parts")
    mixed_with = LineField("With", limit=NAME_LIMIT)
    thin = PercentField("Thinned by")
    spread = AmountField("How far it goes by its label", word="rate", example="350")
    residue = PercentField("Left in can and tool")
    material = SelectField("Cost of", validate_choice=False)

    found: tuple[Face, ...] = ()
    refusal: RuleError | None = None

    @classmethod
    def from_address(cls) -> Self:
        """As every sum; offered are the ways that what goes on can be put on, and one it cannot becomes a brush."""
        form = super().from_address()
        product = Product(form.product.data) if form.product.data in set(Product) else None
        ways = ways_for(product)
        form.offer("way", words_of(ways, lambda way: WAY_WORDS[way]))
        if form.way.data in set(Way) - set(ways):
            form.way.data = Way.BRUSH.value
        return form

    def no_such_piece(self) -> None:
        """Say at the answer that no piece has the tag that was typed."""
        self.refusal = RuleError("No piece has that tag number. Look at the tape again.", "tag")

    def look_at(self, piece: Measures | None) -> None:
        """Lay the faces out that can be switched on and off; what is missing for that is kept for the answer."""
        measured = self.measured(piece)
        if measured is None or self.area.data is not None:
            return
        try:
            self.found = area_faces(*self._sized(measured))
        except RuleError as refusal:
            self.refusal = refusal
            return
        if self.faces_of.data != measured.form.value:
            self.faces.data = [face.key for face in self.found if face.is_usual]
            self.faces_of.data = measured.form.value
        self.faces.choices = [(face.key, self._face_words(face)) for face in self.found]

    def measured(self, piece: Measures | None) -> Measures | None:
        """The piece with what was typed in place of what is known of it; None where nobody said what it is."""
        form = self.form.data or (piece.form if piece else None)
        if form not in set(Form):
            return None
        known = piece or Measures(Form(form), None, None, None)
        return Measures(
            Form(form),
            self.width_mm.data or known.width_mm,
            self.depth_mm.data or known.depth_mm,
            self.height_mm.data or known.height_mm,
            self.count.data or known.count,
        )

    def answer(self, piece: Measures | None, priced: Collection[Priced]) -> NeedAnswer:
        """How much to mix; refuses what is missing and what cannot be (RuleError)."""
        product = Product(self.product.data)
        unit = SPREADS[product].unit
        typed = self.spread.data
        measured = self.measured(piece)
        job = CoatingJob(
            area_cm2=self._area(measured),
            product=product,
            coats=self.coats.data or USUAL_COATS,
            way=Way(self.way.data),
            residue_hundredths=USUAL_RESIDUE_HUNDREDTHS if self.residue.data is None else self.residue.data,
            ratio=self._ratio(),
            mixed_with=self.mixed_with.data,
            spread=None if typed is None else spread_of_number(typed, unit, frame().units),
            alike=self._alike(measured),
            is_small=self.area.data is None and measured is not None and is_small(measured.form),
            priced=next((one for one in priced if str(one.id) == self.material.data), None),
        )
        return need_answer(job, frame().units)

    def _area(self, measured: Measures | None) -> Fraction:
        if self.refusal is not None:
            raise self.refusal
        if self.area.data is not None:
            area: Fraction = self.area.data
            return area * self._alike(None)
        if measured is None:
            raise RuleError(WHAT_NEEDED, "tag")
        relief = RELIEF_FACTORS[Relief(self.relief.data)]
        one = paintable_area_cm2(*self._sized(measured), counted=self.faces.data or (), relief=relief)
        if not one:
            raise RuleError("Tick at least one face.", "faces")
        return one * self._alike(measured)

    def _sized(self, measured: Measures) -> tuple[Form, int | None, int | None, int | None, Build]:
        """What its faces are reckoned from."""
        build = Build(is_round=self.is_round.data, shelves=self.shelves.data)
        return measured.form, measured.width_mm, measured.depth_mm, measured.height_mm, build

    def _alike(self, measured: Measures | None) -> int:
        """How many there are: as typed for an area, else as known of the piece."""
        typed: int | None = self.count.data
        return typed or (1 if measured is None or self.area.data is not None else measured.count)

    def _ratio(self) -> Ratio:
        ratio: Ratio = self.ratio.data or UNMIXED
        if ratio.thin_hundredths and self.thin.data:
            raise RuleError("The thinner stands in the parts already. Leave one of the two empty.", "thin")
        return Ratio(ratio.parts, self.thin.data or ratio.thin_hundredths)

    def _face_words(self, face: Face) -> str:
        guess = ", a guess" if face.is_guess else ""
        return f"{face.words}, {area_shown(face.cm2, frame().units).own}{guess}"
