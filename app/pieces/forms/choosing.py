"""The form above the list of pieces; it is sent by GET and forgives what it does not know."""

from enum import StrEnum
from typing import Any, TypeVar

from wtforms import Form, SelectField, StringField

from app.pieces.rules import FORM_WORDS, LEAVING_WORDS, Leaving, PieceChoice, PieceSort, Stage, Whereabouts
from app.pieces.rules import Form as PieceForm
from app.web.forms import words_of

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
    Whereabouts.STRUCK: "Struck out",
}


def _known(kind: type[Word], text: Any) -> Word | None:
    try:
        return kind(text)
    except ValueError:
        return None


def stage_choices() -> list[tuple[str, str]]:
    """Every stage, and any."""
    return [("", "Any stage"), *words_of(Stage, lambda stage: str(stage).capitalize())]


def form_choices() -> list[tuple[str, str]]:
    """Every form, and anything."""
    return [("", "Anything"), *words_of(FORM_WORDS, lambda form: FORM_WORDS[form])]


def whereabouts_choices() -> list[tuple[str, str]]:
    """On hand or left, how it left, and anywhere."""
    return [("", "Anywhere"), *words_of(WHEREABOUTS_WORDS, lambda where: WHEREABOUTS_WORDS[where])]


def sort_choices() -> list[tuple[str, str]]:
    """Every order."""
    return words_of(SORT_WORDS, lambda order: SORT_WORDS[order])


class ChoiceForm(Form):
    """What the list of pieces shows."""

    q = StringField("Search", render_kw={"type": "search", "maxlength": MOST_LETTERS, "autocomplete": "off"})
    stage = SelectField("Stage", choices=stage_choices)
    form = SelectField("What it is", choices=form_choices)
    source = SelectField("Where from", choices=[])
    left = SelectField("Where it is", choices=whereabouts_choices)
    sort = SelectField("Order", choices=sort_choices)

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
