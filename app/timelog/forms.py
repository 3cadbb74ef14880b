"""Forms for starting the clock, writing work down and striking an entry out."""

from wtforms import HiddenField, RadioField, SelectField
from wtforms.validators import DataRequired

from app.basics.words import LINE_LIMIT
from app.timelog.rules import ACTIVITY_WORDS, Activity, NewTime
from app.web.forms import DayField, Form, LineField, MinutesField, required, words_of

ACTIVITIES = words_of(Activity, lambda activity: ACTIVITY_WORDS[activity])
NO_PIECE = ("", "No piece: work for the shop")


def _as_tag(typed: str | None) -> str:
    return (typed or "").strip().upper()


class WorkForm(Form):
    """What is worked on, and what is done; the base of the forms here."""

    activity = RadioField("What are you doing?", [required("Choose what you do.")])
    # A tag that is no piece of this shop is refused by the ledger, in its own words.
    piece = SelectField("On which piece?", filters=[_as_tag], validate_choice=False)

    def offer_work(self, pieces: list[tuple[str, str]]) -> None:
        """Offer every activity, and the pieces given as tag and name."""
        self.activity.choices = ACTIVITIES
        self.piece.choices = [NO_PIECE, *((tag, f"{name} · {tag}") for tag, name in pieces)]

    @property
    def chosen_activity(self) -> Activity:
        """The activity, once the form was found valid."""
        return Activity(self.activity.data)


class StartForm(WorkForm):
    next = HiddenField()


class TimeForm(WorkForm):
    minutes = MinutesField("How long?", [DataRequired("Type how long it took.")])
    activity = RadioField("What did you do?", [required("Choose what you did.")])
    on_date = DayField("Date", [DataRequired("Say on which day it was.")])
    note = LineField("Note", limit=LINE_LIMIT)

    def new_time(self, piece_id: int | None) -> NewTime:
        """The work as it was typed."""
        return NewTime(
            piece_id=piece_id,
            activity=self.chosen_activity,
            on_date=self.on_date.data,
            minutes=self.minutes.data,
            note=self.note.data,
        )


class RanLongForm(Form):
    minutes = MinutesField("How long did you work?", [DataRequired("Type how long you really worked.")])
