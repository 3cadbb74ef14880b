"""Asks what a piece has on it."""

from typing import Any, Self

from wtforms import RadioField, SelectMultipleField
from wtforms.validators import ValidationError

from app.recipes.rules import LEAD_TEST_WORDS, OLD_FINISH_WORDS, SEEN_WORDS, LeadTest, OldFinish, Surface
from app.web.forms import BlockField, VersionedForm, required, words_of


def old_finish_choices() -> list[tuple[str, str]]:
    """Every sort of old finish."""
    return words_of(OLD_FINISH_WORDS, lambda one: OLD_FINISH_WORDS[one])


def seen_choices() -> list[tuple[str, str]]:
    """Everything that can be seen or smelt."""
    return list(SEEN_WORDS.items())


def lead_test_choices() -> list[tuple[str, str]]:
    """Every result of a lead test."""
    return words_of(LEAD_TEST_WORDS, lambda one: LEAD_TEST_WORDS[one])


class SurfaceForm(VersionedForm):
    """What is on a piece, what can be seen of it, and what a lead test said."""

    old_finish = RadioField(
        "What is on it",
        [required("Tap what is on it; Not known is an answer.")],
        choices=old_finish_choices,
    )
    seen = SelectMultipleField("What you see and smell", choices=seen_choices, validate_choice=False)
    lead_test = RadioField(
        "Lead",
        [required("Tap what the test said; Not tested is an answer.")],
        choices=lead_test_choices,
    )
    note = BlockField("Note")

    @classmethod
    def given(cls, known: Surface, version: int) -> Self:
        """The form as posted, or a new one holding what is known at that version."""
        return cls.from_request(
            old_finish=known.old_finish.value,
            seen=list(known.seen),
            lead_test=known.lead_test.value,
            note=known.note,
            version=str(version),
        )

    def validate_seen(self, field: SelectMultipleField) -> None:
        """Refuse what is not on the list."""
        if not set(SEEN_WORDS).issuperset(field.data or ()):
            raise ValidationError("Tap what you see out of the list.")

    def surface(self) -> Surface:
        """The surface as filled in, without what the piece itself knows."""
        seen: dict[str, Any] = dict.fromkeys(self.seen.data or (), True)
        return Surface(
            old_finish=OldFinish(self.old_finish.data),
            lead_test=LeadTest(self.lead_test.data),
            note=self.note.data,
            **seen,
        )
