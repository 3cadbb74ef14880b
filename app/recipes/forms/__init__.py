"""Forms of recipes, their steps, labels, surfaces and finishes."""

from app.recipes.forms.finishes import KeepForm
from app.recipes.forms.labels import LabelForm, SpreadField
from app.recipes.forms.recipes import CorrectRecipeForm, OverruleForm, RecipeForm
from app.recipes.forms.steps import MaterialChoices, MoveForm, RemoveForm, StepForm
from app.recipes.forms.surfaces import SurfaceForm

__all__ = [
    "CorrectRecipeForm",
    "KeepForm",
    "LabelForm",
    "MaterialChoices",
    "MoveForm",
    "OverruleForm",
    "RecipeForm",
    "RemoveForm",
    "SpreadField",
    "StepForm",
    "SurfaceForm",
]
