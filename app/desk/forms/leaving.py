"""Forms for a piece that steps back, and for one that leaves without a sale."""

from datetime import date
from typing import TypedDict

from wtforms import RadioField

from app.basics.words import REASON_LIMIT
from app.pieces.rules import Leaving, Stage
from app.web.forms import DayField, LineField, VersionedForm, required


def leaving_choices() -> list[tuple[str, str]]:
    """The ways to leave without a sale."""
    return [
        (Leaving.KEPT.value, "Kept for myself"),
        (Leaving.GIVEN_AWAY.value, "Given away"),
        (Leaving.SCRAPPED.value, "Scrapped"),
    ]


class BackStep(TypedDict):
    """What a step back is called with."""

    to_stage: Stage
    on_date: date
    reason: str
    version: int


class LeavingSaid(TypedDict):
    """What a leaving is called with."""

    how: Leaving
    on_date: date
    reason: str
    version: int


class StepBackForm(VersionedForm):
    """Which stage it goes back to, when and why."""

    to_stage = RadioField("Back to", [required("Choose the stage it goes back to.")], choices=[])
    reason = LineField(
        "Why",
        [required("Say why it steps back; a few words will do.")],
        limit=REASON_LIMIT,
        description="A few words, like: buyer wants another colour.",
    )
    on_date = DayField("On", [required("Give the day it stepped back.")])

    def step(self) -> BackStep:
        """The step as filled in."""
        return BackStep(
            to_stage=Stage(self.to_stage.data),
            on_date=self.on_date.data,
            reason=self.reason.data,
            version=self.version_number,
        )


class StrikeFindForm(VersionedForm):
    """Why a find is struck out."""

    reason = LineField(
        "What was wrong",
        [required("Say what was wrong; a few words will do.")],
        limit=REASON_LIMIT,
        description="A few words, like: logged twice.",
    )


class LeaveForm(VersionedForm):
    """How it left, when and why."""

    how = RadioField("How it leaves", [required("Choose how it leaves.")], choices=leaving_choices)
    reason = LineField("Why", limit=REASON_LIMIT)
    on_date = DayField("On", [required("Give the day it left.")])

    def leaving(self) -> LeavingSaid:
        """The leaving as filled in."""
        return LeavingSaid(
            how=Leaving(self.how.data),
            on_date=self.on_date.data,
            reason=self.reason.data,
            version=self.version_number,
        )
