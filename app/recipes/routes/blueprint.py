"""The blueprint of the room, and the words its pages share."""

from flask import Blueprint

from app.recipes.rules import LEVEL_WORDS, PART_WORDS, TASK_WORDS

bp = Blueprint("recipes", __name__, template_folder="../templates")
bp.add_app_template_filter(PART_WORDS.__getitem__, "part_words")
bp.add_app_template_filter(LEVEL_WORDS.__getitem__, "level_words")
bp.add_app_template_filter(TASK_WORDS.__getitem__, "task_words")


@bp.app_template_filter("lower_first")
def lower_first(words: str) -> str:
    """Words in the middle of a sentence."""
    return words[:1].lower() + words[1:]
