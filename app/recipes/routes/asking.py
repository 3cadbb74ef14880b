"""The page that asks why before something is stopped, left out or put back."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from flask import render_template, request
from flask.typing import ResponseReturnValue

from app.database.unit_of_work import Session
from app.recipes.forms.finishes import ReasonForm
from app.web.saving import save


@dataclass(frozen=True)
class Asked:
    """What is asked about: the heading, what follows from it, and the words of the button."""

    heading: str
    lead: str
    submit: str


def with_reason(
    form: ReasonForm, asked: Asked, act: Callable[[Session], Any], *, back: str, done: str
) -> ResponseReturnValue:
    """Ask for the reason, then act; `back` is where it leads."""

    def again() -> str:
        return render_template("recipes/reason.html", form=form, asked=asked, here=request.path, back=back)

    if request.method == "GET":
        return again()
    return save(form, act, to=lambda _row: back, again=again, done=done)
