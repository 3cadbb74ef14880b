"""The form for what is owned already when the books begin."""

from collections.abc import Mapping
from typing import Any, ClassVar, TypedDict

from markupsafe import Markup
from wtforms import SelectField, SelectMultipleField

from app.basics.words import TITLE_LIMIT
from app.desk.forms.rows import FieldMaker, RowsForm, kind_choices, label
from app.desk.rules import STAGES_OWNED, OwnedNow
from app.pieces.rules import Facts, OwnedPiece, Stage
from app.pieces.rules import Form as PieceForm
from app.web.forms import DayField, LineField, MoneyField

SINCE = Markup(
    '<span class="off-floor">At this stage since</span><span class="on-floor">On the floor since</span>'
    ' <span class="optional">(or the day it was found)</span>'
)


class OwnedWhere(TypedDict):
    """What goes with every piece of one form."""

    channel_ids: tuple[int, ...]
    capture_id: str


class OwnForm(RowsForm):
    """Short rows, one for each piece owned already."""

    starts_with = 5
    adds = 5
    rows_once_entered: ClassVar[int] = 2
    row_fields: ClassVar[Mapping[str, FieldMaker]] = {
        "form": lambda lead: SelectField(label(lead, "What it is"), choices=kind_choices),
        "title": lambda lead: LineField(label(lead, "Name"), limit=TITLE_LIMIT),
        "stage": lambda lead: SelectField(label(lead, "Stage"), choices=stage_choices),
        "sourced_on": lambda lead: DayField(label(lead, "Found on"), starts_today=False),
        "since": lambda lead: DayField(lead + SINCE, starts_today=False),
        "cost": lambda lead: MoneyField(label(lead, "Cost so far")),
        "asking": lambda lead: MoneyField(label(lead, "Asking price")),
    }

    channels = SelectMultipleField(
        "Listed ones are offered on", choices=[], description="Only for pieces whose stage is Listed."
    )

    @property
    def channel_ids(self) -> tuple[int, ...]:
        """The channels chosen for the listed pieces."""
        return tuple(int(channel_id) for channel_id in self.channels.data or [])

    def where(self) -> OwnedWhere:
        """Where the listed ones are offered, and the number of this form."""
        return OwnedWhere(channel_ids=self.channel_ids, capture_id=self.submit_token.data or "")

    def is_blank(self, number: int) -> bool:
        """A stage is always chosen and a day may stand there from the start: neither makes a row."""
        return not any(self._was_filled(self.at(number, part)) for part in ("form", "title", "cost", "asking"))

    def owned(self) -> tuple[OwnedNow, ...]:
        """The pieces as filled in, empty rows left away."""
        return tuple(self._piece(number) for number in self.filled())

    def _piece(self, number: int) -> OwnedNow:
        stage = Stage(self.at(number, "stage").data)
        is_listed = stage is Stage.LISTED
        piece = OwnedPiece(
            facts=Facts(form=PieceForm(self.at(number, "form").data), title=self.at(number, "title").data),
            # It is entered as finished; listing it at its price puts it on the floor.
            stage=Stage.FINISHED if is_listed else stage,
            sourced_on=self.at(number, "sourced_on").data,
            cost_cents=self.at(number, "cost").data or 0,
            since=self.at(number, "since").data,
        )
        return OwnedNow(row=number, piece=piece, asking_cents=self.at(number, "asking").data if is_listed else None)

    def validate(self, extra_validators: Any = None) -> bool:
        """Also: every row that holds something says what it is, since when, and a listed one its price."""
        is_sound = super().validate(extra_validators)
        for number in self.filled():
            missing = {
                "form": "choose what it is." if not self.at(number, "form").data else "",
                "sourced_on": "give the day you found it; a rough one will do." if self._lacks_day(number) else "",
                "asking": "give the price it is listed at." if self._lacks_price(number) else "",
            }
            for part, words in missing.items():
                if words and not self.at(number, part).errors:
                    self.at(number, part).errors = [f"Piece {number}: {words}"]
                    is_sound = False
        if self._lists_some() and not self.channels.data:
            self.channels.errors = ["Choose where the listed ones are offered."]
            is_sound = False
        if not self.filled():
            self.form_errors.append("Fill in at least one piece, or choose Later.")
            is_sound = False
        return is_sound

    def _lists_some(self) -> bool:
        return any(self.at(number, "stage").data == Stage.LISTED for number in self.filled())

    def _lacks_day(self, number: int) -> bool:
        return self.at(number, "sourced_on").data is None

    def _lacks_price(self, number: int) -> bool:
        return self.at(number, "stage").data == Stage.LISTED and not self.at(number, "asking").data


def stage_choices() -> list[tuple[str, str]]:
    """The stages a piece owned at the start may have come to."""
    return [(stage.value, stage.value.capitalize()) for stage in STAGES_OWNED]
