"""Forms for writing a recipe and for putting its name and note right."""

from typing import Self

from wtforms import BooleanField

from app.basics.words import NAME_LIMIT, REASON_LIMIT
from app.recipes.rules import WHY_OVERRULED, NewRecipe, RecipeFacts
from app.web.forms import BlockField, Form, LineField, VersionedForm, required


class RecipeForm(Form):
    """The name of a recipe, and what to say of it beside its steps."""

    name = LineField("Name", [required("Give the recipe the name you call it by.")], limit=NAME_LIMIT)
    note = BlockField("Note")

    def new_recipe(self) -> NewRecipe:
        """The recipe as it was typed, without steps yet."""
        return NewRecipe(self.name.data, self.note.data)


class CorrectRecipeForm(RecipeForm, VersionedForm):
    """Puts right the name and the note, or puts the recipe away."""

    put_away = BooleanField("Put away: do not offer it any more")

    @classmethod
    def given(cls, facts: RecipeFacts, version: int) -> Self:
        """The form as posted, or a new one holding what is said of a recipe."""
        return cls.from_request(name=facts.name, note=facts.note, put_away=facts.is_put_away, version=str(version))

    def facts(self) -> RecipeFacts:
        """The facts as filled in."""
        return RecipeFacts(self.name.data, self.note.data, bool(self.put_away.data))


class OverruleForm(Form):
    """Asks why the owner knows better than a check."""

    reason = LineField("Why do you know better?", [required(WHY_OVERRULED)], limit=REASON_LIMIT)
