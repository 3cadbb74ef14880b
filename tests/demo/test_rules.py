"""What a story may not be."""

from dataclasses import replace

import pytest

from app.demo.rules import CannotLoad, Cents, Day, Story, require_sound_story
from app.demo.rules.cells import Wait
from app.pieces.rules import Stage


def test_the_shipped_story_is_sound(story: Story) -> None:
    require_sound_story(story)


def test_a_story_has_one_shop(story: Story) -> None:
    with pytest.raises(CannotLoad, match=r"^shop\.csv holds 0 shops"):
        require_sound_story(replace(story, shop=()))
    with pytest.raises(CannotLoad, match=r"^shop\.csv holds 2 shops"):
        require_sound_story(replace(story, shop=story.shop * 2))


def test_a_piece_is_told_once(story: Story) -> None:
    again = replace(story.pieces[0], line=900)
    with pytest.raises(CannotLoad, match=rf"^pieces\.csv, line 900: {again.piece} stands on line 2 already"):
        require_sound_story(replace(story, pieces=(*story.pieces, again)))


def test_a_haul_is_told_once(story: Story) -> None:
    again = replace(story.hauls[0], line=77)
    with pytest.raises(CannotLoad, match=r"^hauls\.csv, line 77: "):
        require_sound_story(replace(story, hauls=(*story.hauls, again)))


def test_a_piece_names_a_haul_that_is_told(story: Story) -> None:
    part = replace(next(piece for piece in story.pieces if piece.haul), haul="nowhere")
    with pytest.raises(CannotLoad, match=rf"^pieces\.csv, line {part.line}: there is no haul nowhere"):
        require_sound_story(replace(story, pieces=(part,)))


def test_a_piece_out_of_a_haul_has_no_price_of_its_own(story: Story) -> None:
    part = replace(next(piece for piece in story.pieces if piece.haul), price=Cents(100))
    with pytest.raises(CannotLoad, match=rf"^pieces\.csv, line {part.line}: what came in a haul"):
        require_sound_story(replace(story, pieces=(part,)))


def test_opening_stock_has_no_price(story: Story) -> None:
    find = next(piece for piece in story.pieces if piece.price)
    owned = replace(find, opening_stage=Stage.SOURCED)
    with pytest.raises(CannotLoad, match=rf"^pieces\.csv, line {owned.line}: opening stock"):
        require_sound_story(replace(story, pieces=(owned,)))


def test_a_recipe_and_a_finish_are_told_once(story: Story) -> None:
    again = replace(story.recipes[0], line=70)
    with pytest.raises(CannotLoad, match=r"^recipes\.csv, line 70: "):
        require_sound_story(replace(story, recipes=(*story.recipes, again)))
    begun = replace(story.finishes_begun[0], line=71)
    with pytest.raises(CannotLoad, match=r"^finishes_begun\.csv, line 71: "):
        require_sound_story(replace(story, finishes_begun=(*story.finishes_begun, begun)))


def test_a_step_belongs_to_a_recipe_that_is_told(story: Story) -> None:
    lost = replace(story.recipe_steps[0], recipe="nowhere")
    with pytest.raises(CannotLoad, match=rf"^recipe_steps\.csv, line {lost.line}: there is no recipe nowhere"):
        require_sound_story(replace(story, recipe_steps=(lost,)))


@pytest.mark.parametrize(("day", "ago"), [(None, None), (3, 60)])
def test_a_step_was_done_on_a_day_or_so_long_ago(story: Story, day: Day | None, ago: Wait | None) -> None:
    wrong = replace(story.finish_steps[0], day=day, ago=ago)
    with pytest.raises(CannotLoad, match=rf"^finish_steps\.csv, line {wrong.line}: say either the day or how long"):
        require_sound_story(replace(story, finish_steps=(wrong,)))
