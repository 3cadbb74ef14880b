"""The pencil silhouettes: every form is drawn in its field, and finishes cover the parts they are on."""

import re
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import Environment, PackageLoader, StrictUndefined

from app.basics.colours import relative_luminance
from app.web.silhouettes import FORMS, Drawing, paintable_parts, silhouette

LINE_TONES = {"lines-dark": "#29221b", "lines-light": "#f6eddc"}
colours = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")
NUMBERS_PER_STEP = {"M": 2, "L": 2, "H": 1, "V": 1, "Q": 4, "T": 2, "C": 6, "A": 7, "Z": 0}


def contrast(one: str, other: str) -> float:
    light, dark = sorted((relative_luminance(one), relative_luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def steps(path: str) -> Iterator[tuple[str, list[float]]]:
    for letter, rest in re.findall(r"([A-Za-z])([^A-Za-z]*)", path):
        numbers = [float(number) for number in re.findall(r"-?\d*\.?\d+", rest)]
        each = NUMBERS_PER_STEP[letter.upper()]
        for at in range(0, max(len(numbers), 1), max(each, 1)):
            yield letter, numbers[at : at + each]


def corners(path: str) -> Iterator[tuple[float, float]]:
    """Where the pen goes, control points of curves included."""
    x = y = 0.0
    for letter, numbers in steps(path):
        base_x, base_y = (x, y) if letter.islower() else (0.0, 0.0)
        match letter.upper():
            case "H":
                x = base_x + numbers[0]
            case "V":
                y = base_y + numbers[0]
            case "A":
                x, y = base_x + numbers[5], base_y + numbers[6]
            case "Z":
                continue
            case _:
                for at in range(0, len(numbers), 2):
                    yield base_x + numbers[at], base_y + numbers[at + 1]
                x, y = base_x + numbers[-2], base_y + numbers[-1]
        yield x, y


def fills(drawing: Drawing, part: str) -> set[str | None]:
    return {drawn.fill for drawn in drawing.parts if drawn.part == part}


@pytest.mark.parametrize("form", FORMS)
def test_every_form_stays_inside_its_field_and_stands_on_the_ground(form: str) -> None:
    points = [point for drawn in silhouette(form).parts for point in corners(drawn.path)]
    assert all(0 <= x <= 120 and 0 <= y <= 100 for x, y in points)
    standing = [y for drawn in silhouette(form).parts if drawn.part != "ground" for _, y in corners(drawn.path)]
    assert 84 <= max(standing) <= 92.5


@pytest.mark.parametrize("form", FORMS)
def test_a_piece_without_a_finish_shows_bare_wood(form: str) -> None:
    drawing = silhouette(form)
    assert {drawn.fill for drawn in drawing.parts} == {None}
    assert any(drawn.css == "drawn-wood" for drawn in drawing.parts)


@pytest.mark.parametrize("form", FORMS)
def test_one_colour_covers_every_part_that_takes_paint_and_no_other(form: str) -> None:
    drawing = silhouette(form, "#5f7f73")
    covered = {drawn.part for drawn in drawing.parts if drawn.fill == "#5f7f73"}
    assert covered == set(paintable_parts(form))
    assert not covered & {"ground", "detail", "glass", "mattress", "lock"}


@pytest.mark.parametrize("form", FORMS)
def test_each_part_can_carry_its_own_finish(form: str) -> None:
    for part in paintable_parts(form):
        drawing = silhouette(form, "#5f7f73", {part: "#7a4f2b"})
        assert fills(drawing, part) == {"#7a4f2b"}
        for other in set(paintable_parts(form)) - {part}:
            assert fills(drawing, other) == {"#5f7f73"}


def test_forms_do_not_look_alike() -> None:
    drawn = {tuple(part.path for part in silhouette(form).parts) for form in FORMS}
    assert len(drawn) == len(FORMS) == 17


def test_a_part_the_form_does_not_show_is_left_out() -> None:
    assert silhouette("table", None, {"drawers": "#112233"}) == silhouette("table")


def test_an_unknown_form_is_drawn_as_something_covered() -> None:
    assert silhouette("harpsichord").parts == silhouette("other").parts
    assert paintable_parts("harpsichord") == paintable_parts("other")


@pytest.mark.parametrize("colour", ["red", "#FFF", "#5F7F73", "#5f7f7", '#5f7f73"/>', "#5f7f73\n", ""])
def test_a_colour_written_any_other_way_is_refused(colour: str) -> None:
    with pytest.raises(ValueError, match="#rrggbb"):
        silhouette("chest", colour)
    with pytest.raises(ValueError, match="#rrggbb"):
        silhouette("chest", None, {"top": colour})


@given(colours)
def test_lines_stand_out_from_whatever_finish_they_lie_on(colour: str) -> None:
    drawing = silhouette("chest", colour)
    tones = {word for drawn in drawing.parts for word in drawn.css.split() if word in LINE_TONES}
    assert len(tones) == 1
    assert contrast(LINE_TONES[tones.pop()], colour) >= 3


def test_knobs_follow_the_finish_of_the_drawers_they_sit_on() -> None:
    drawing = silhouette("chest", "#f4f1e8", {"drawers": "#1d1d20"})
    details = {drawn.css for drawn in drawing.parts if drawn.part == "detail"}
    assert details == {"drawn-line lines-light"}


def test_the_macro_names_a_drawing_or_hides_it() -> None:
    env = Environment(loader=PackageLoader("app.web"), autoescape=True, undefined=StrictUndefined)
    macro = env.get_template("web/silhouette.html").module.silhouette  # type: ignore[attr-defined]
    named = str(macro(silhouette("bed", "#5f7f73"), "large", 'Bed & "frame"'))
    assert 'role="img"' in named
    assert "<title>Bed &amp; &#34;frame&#34;</title>" in named
    assert named.count('fill="#5f7f73"') == sum(1 for p in silhouette("bed", "#5f7f73").parts if p.fill)
    plain = str(macro(silhouette("bed")))
    assert 'aria-hidden="true"' in plain
    assert "role=" not in plain
    assert "style=" not in plain
