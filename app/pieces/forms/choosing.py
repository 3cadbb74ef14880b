"""The form above the list of pieces; it is sent by GET and forgives what it does not know."""

from enum import StrEnum
from typing import Any, TypeVar

from wtforms import Form, SelectField, StringField

from app.pieces.rules import FORM_WORDS, LEAVING_WORDS, Leaving, PieceChoice, PieceSort, Stage, Whereabouts
from app.pieces.rules import Form as PieceForm

Word = TypeVar("Word", bound=StrEnum)

MOST_LETTERS = 200
LONGEST_ID = 9
SORT_WORDS = {
    PieceSort.NEWEST: "Newest first",
    PieceSort.OLDEST: "Oldest first",
    PieceSort.NAME: "By name",
    PieceSort.STAGE_SINCE: "Longest at its stage",
}
WHEREABOUTS_WORDS = {
    Whereabouts.ON_HAND: "On hand",
    Whereabouts.LEFT: "Left without a sale",
    **{Whereabouts(way.value): LEAVING_WORDS[way].capitalize() for way in Leaving},
}


def _known(kind: type[Word], text: Any) -> Word | None:
    try:
        return kind(text)
    except ValueError:
        return None


class ChoiceForm(Form):
    """What the list of pieces shows."""

    q = StringField("Search", render_kw={"type": "search", "maxlength": MOST_LETTERS, "autocomplete": "off"})
    stage = SelectField("Stage", choices=[("", "Any stage"), *((s.value, s.capitalize()) for s in Stage)])
    form = SelectField("What it is", choices=[("", "Anything"), *((f.value, w) for f, w in FORM_WORDS.items())])
    source = SelectField("Where from", choices=[])
    left = SelectField("Where it is", choices=[("", "Anywhere"), *((k.value, w) for k, w in WHEREABOUTS_WORDS.items())])
    sort = SelectField("Order", choices=[(k.value, w) for k, w in SORT_WORDS.items()])

    def choice(self) -> PieceChoice:
        """The choice as filled in; words no box offers count as nothing chosen."""
        source = str(self.source.data or "")
        return PieceChoice(
            words=(self.q.data or "")[:MOST_LETTERS],
            stage=_known(Stage, self.stage.data),
            form=_known(PieceForm, self.form.data),
            source_id=int(source) if source.isascii() and source.isdigit() and len(source) <= LONGEST_ID else None,
            whereabouts=_known(Whereabouts, self.left.data),
            sort=_known(PieceSort, self.sort.data) or PieceSort.NEWEST,
        )
