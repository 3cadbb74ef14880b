"""The form for the day a piece went on the floor."""

from app.web.forms import DayField, VersionedForm, required


class ListedOnForm(VersionedForm):
    """The day a piece went on the floor, as it should have been entered."""

    listed_on = DayField("On the floor since", [required("Give the day it went on the floor.")], starts_today=False)
