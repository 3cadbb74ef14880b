"""Change recipes, labels, surfaces and finishes: one verb each; none of them commits."""

from app.recipes.actions.finishes import (
    add_finish_step,
    begin_finish,
    change_finish_step,
    keep_as_recipe,
    settle_finish,
    stop_finish,
)
from app.recipes.actions.labels import say_label
from app.recipes.actions.recipes import (
    add_step,
    change_step,
    correct_recipe,
    move_step,
    overrule_in_recipe,
    remove_step,
    write_recipe,
)
from app.recipes.actions.surfaces import look_over
from app.recipes.actions.working import begin_step, finish_step, leave_out, put_back, wait_longer

__all__ = [
    "add_finish_step",
    "add_step",
    "begin_finish",
    "begin_step",
    "change_finish_step",
    "change_step",
    "correct_recipe",
    "finish_step",
    "keep_as_recipe",
    "leave_out",
    "look_over",
    "move_step",
    "overrule_in_recipe",
    "put_back",
    "remove_step",
    "say_label",
    "settle_finish",
    "stop_finish",
    "wait_longer",
    "write_recipe",
]
