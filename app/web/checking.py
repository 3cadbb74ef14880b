"""Save an entry at once, or show first what else it changes and save what was agreed on."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from flask.typing import ResponseReturnValue
from wtforms import HiddenField

from app.basics.errors import RuleError
from app.database.unit_of_work import LedgerTrouble, Session
from app.web.forms import Form
from app.web.saving import UNPROCESSABLE, save

Changes: TypeAlias = tuple[Sequence[Any], str]
"""What else changes, and a mark by which it is known again; nothing and "" where nothing does."""


class AgreedForm(Form):
    """A form that carries the mark of the changes that were shown on its check page."""

    agreed = HiddenField()

    @property
    def agreed_mark(self) -> str:
        """The mark of what was shown; "" before anything was."""
        return str(self.agreed.data or "")

    def agree_on(self, mark: str) -> None:
        """Carry the mark of what is shown now."""
        self.agreed.data = mark
        self.agreed.raw_data = None


@dataclass(frozen=True)
class Entry:
    """One entry: its form, how it is saved with the file that was sent along, and its pages.

    `find_changes` is asked with a form that was found sound and may raise RuleError where the entry is refused;
    `ask` renders the form page, `check` the page that shows the changes; `onward` is where saving leads.
    """

    form: AgreedForm
    act: Callable[[Session, Any], Any]
    find_changes: Callable[[], Changes]
    ask: Callable[[], str]
    check: Callable[[Sequence[Any]], str]
    onward: str
    keep_file: Callable[[], Any] = lambda: None


def enter(entry: Entry, done: Callable[[Any], str] | str) -> ResponseReturnValue:
    """Save an entry where it changes nothing else, or just what was shown; otherwise show it, and ask first."""
    form = entry.form

    def again() -> str:
        has_wrong_fields = any(field.errors for field in form)
        changes, mark = ((), "") if has_wrong_fields else _changes(entry)
        return _check_page(entry, changes, mark) if changes else entry.ask()

    if form.validate():
        changes, mark = _changes(entry)
        if changes and mark != form.agreed_mark:
            return _check_page(entry, changes, mark)
        try:
            file = entry.keep_file()
        except (RuleError, LedgerTrouble) as refusal:
            form.refuse(RuleError(refusal.message, "receipt"))
            return entry.ask(), UNPROCESSABLE
        return save(
            form, lambda session: entry.act(session, file), to=lambda _row: entry.onward, again=again, done=done
        )
    return entry.ask(), UNPROCESSABLE


def _changes(entry: Entry) -> Changes:
    try:
        return entry.find_changes()
    except RuleError:
        # The act meets the same refusal and says it at its field.
        return (), ""


def _check_page(entry: Entry, changes: Sequence[Any], mark: str) -> str:
    entry.form.agree_on(mark)
    return entry.check(changes)
