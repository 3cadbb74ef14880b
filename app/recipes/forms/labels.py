"""The form for what the label of a material says."""

from typing import Any, Self

from wtforms import SelectField

from app.recipes.rules import PRODUCTS, TASK_CLASSES, Label, Product, parse_spread, products_for, spread_plain
from app.shelf.rules import MaterialClass, Unit
from app.web.forms import ReadField, VersionedForm, WaitField, words_of
from app.web.frame import frame

NOT_SAID = ("", "Not said")


class SpreadField(ReadField):
    """How far one coat goes, in the shop's units; data is hundredths of m2 to the litre."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        kwargs.setdefault("render_kw", {"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> int:
        """Hundredths of m2 to the litre."""
        return parse_spread(text, frame().units)

    def plain(self, value: int) -> str:
        """In the shop's units."""
        return spread_plain(value, frame().units)


class LabelForm(VersionedForm):
    """What stands on the can; a box left empty is not on it, or was not looked up."""

    product = SelectField("Sort of product")
    recoat = WaitField("Next coat from", description="Like 4 h. Counted from when the coat is on.")
    recoat_by = WaitField("Next coat until", description="Where the label gives a window: later it must be scuffed.")
    handle = WaitField("Dry enough to carry or use lightly")
    cure = WaitField("Hard through", description="Labels say cured, like 21 days.")
    dwell = WaitField("Left to work", description="For cleaners, strippers, stains: how long before it is wiped.")
    spread = SpreadField("How far it goes")

    @classmethod
    def given(cls, label: Label, version: int, klass: MaterialClass, unit: Unit) -> Self:
        """The form as posted, or a new one holding what the label says; the sorts that fit the material come first.

        How far it goes is asked only of what is measured by volume.
        """
        form = cls.from_request(
            product=label.product.value if label.product else "",
            recoat=label.recoat,
            recoat_by=label.recoat_by,
            handle=label.handle,
            cure=label.cure,
            dwell=label.dwell,
            spread=label.spread_hundredths,
            version=str(version),
        )
        form.offer("product", [NOT_SAID, *words_of(_products(klass), lambda product: PRODUCTS[product].words)])
        if unit is not Unit.ML:
            del form["spread"]
        return form

    def label(self) -> Label:
        """The label as filled in."""
        return Label(
            product=Product(self.product.data) if self.product.data else None,
            recoat=self.recoat.data,
            recoat_by=self.recoat_by.data,
            handle=self.handle.data,
            cure=self.cure.data,
            dwell=self.dwell.data,
            spread_hundredths=self.spread.data if "spread" in self else None,
        )


def _products(klass: MaterialClass) -> list[Product]:
    tasks = [task for task, classes in TASK_CLASSES.items() if klass in classes]
    fitting = [product for task in tasks for product in products_for(task)]
    return list(dict.fromkeys([*fitting, *PRODUCTS]))
