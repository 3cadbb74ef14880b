"""The form of thinning paint, diluting a concentrate and filling a jar with a mix."""

from app.basics.errors import RuleError
from app.recipes.forms.reading import SumForm, VolumeField
from app.recipes.rules import require_share
from app.recipes.rules.sums import Diluted, Scaled, ThinAnswer, ThinnedPaint, diluted, scaled, thinned_paint
from app.web.forms import PercentField
from app.web.frame import frame

NOTHING_ASKED = "Type what you thin, dilute or fill a jar with."
PART_WORDS = ("First part", "Second part", "Third part")
FEWEST_PARTS = 2


class ThinForm(SumForm):
    """Thins by a share of the paint, dilutes from one strength to another, and fills a jar with a mix."""

    thin = PercentField("Thinned by")
    paint = VolumeField("Paint you have")
    total = VolumeField("Or how much to make")
    solids = PercentField("Solids by volume")
    stock = VolumeField("Concentrate you have")
    strong = PercentField("Its strength")
    weak = PercentField("Bring it to")
    first = VolumeField(PART_WORDS[0])
    second = VolumeField(PART_WORDS[1])
    third = VolumeField(PART_WORDS[2])
    jar = VolumeField("The jar holds")

    def answer(self) -> ThinAnswer:
        """All that was asked; refuses when nothing was, and what is missing for a sum that was begun (RuleError)."""
        found = ThinAnswer(self._thinned(), self._diluted(), self._scaled())
        if found == ThinAnswer(None, None, None):
            raise RuleError(NOTHING_ASKED, "thin")
        return found

    def _thinned(self) -> ThinnedPaint | None:
        if not self._says("thin", "paint", "total", "solids"):
            return None
        if self.thin.data is None:
            raise RuleError("Type by how much it is thinned, like 10.", "thin")
        if (self.paint.data is None) == (self.total.data is None):
            raise RuleError("Type one of the two: the paint you have, or how much to make.", "paint")
        solids = None if self.solids.data is None else require_share(self.solids.data)
        return thinned_paint(self.paint.data, self.total.data, self.thin.data, solids, frame().units)

    def _diluted(self) -> Diluted | None:
        if not self._says("stock", "strong", "weak"):
            return None
        self._require("stock", "Type how much of the concentrate you have.")
        self._require("strong", "Type how strong it is.")
        self._require("weak", "Type what strength it is brought to.")
        return diluted(self.stock.data, self.strong.data, self.weak.data, frame().units)

    def _scaled(self) -> Scaled | None:
        if not self._says("first", "second", "third", "jar"):
            return None
        boxes = zip(PART_WORDS, (self.first, self.second, self.third), strict=True)
        amounts = {words: box.data for words, box in boxes if box.data is not None}
        if len(amounts) < FEWEST_PARTS:
            raise RuleError("Type at least two parts of the mix.", "first")
        self._require("jar", "Type how much the jar holds.")
        return scaled(amounts, self.jar.data, frame().units)

    def _says(self, *names: str) -> bool:
        return any(self[name].data is not None for name in names)

    def _require(self, name: str, words: str) -> None:
        if self[name].data is None:
            raise RuleError(words, name)
