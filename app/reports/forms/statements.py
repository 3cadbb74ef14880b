"""The form for a channel's own yearly statement."""

from app.basics.words import LINE_LIMIT
from app.web.forms import LineField, MoneyField, VersionedForm, required


class StatementForm(VersionedForm):
    """What the statement says in all, and a word about it."""

    gross = MoneyField("Total before fees on the statement", [required("Type the total of the statement.")])
    note = LineField("Note", limit=LINE_LIMIT)
