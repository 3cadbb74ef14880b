"""The colours of the shop's face are readable in daylight and in the garage at night.

Contrast is computed as WCAG 2.2 defines it (relative luminance and contrast ratio, success criteria 1.4.3
and 1.4.11): 4.5 to 1 for text, 3 to 1 for lines and shapes that carry meaning.
"""

import re
from pathlib import Path

import pytest

SHEET = Path(__file__).parents[2] / "app" / "web" / "web.css"
TEXT, SHAPE = 4.5, 3.0
GROUNDS = ("paper", "sheet", "shade", "tag", "iron-wash", "copper-wash")
PAIRS = [
    *[(front, ground, TEXT) for front in ("ink", "ink-soft", "copper", "iron") for ground in GROUNDS],
    ("paper", "ink", TEXT),
    ("on-copper", "copper", TEXT),
    ("on-iron", "iron", TEXT),
    *[(front, ground, SHAPE) for front in ("rule", "string") for ground in GROUNDS],
    ("ink", "wood", SHAPE),
    ("copper", "wood", SHAPE),
]


def custom_properties(css: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", css))


def palettes() -> dict[str, dict[str, str]]:
    css = SHEET.read_text(encoding="utf-8")
    day = css[: css.index("@media screen and (prefers-color-scheme: dark)")]
    night = css[css.index("@media screen and (prefers-color-scheme: dark)") : css.index("*, *::before")]
    return {"light": custom_properties(day), "dark": custom_properties(day) | custom_properties(night)}


def luminance(colour: str) -> float:
    shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_formula_gives_the_two_known_ends_of_its_scale() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#96341c", "#96341c") == pytest.approx(1)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("front", "ground", "least"), PAIRS)
def test_front_and_ground_stand_apart(scheme: str, front: str, ground: str, least: float) -> None:
    colours = palettes()[scheme]
    ratio = contrast(colours[front], colours[ground])
    assert ratio >= least, f"{front} on {ground} in the {scheme} scheme is {ratio:.2f} to 1, not {least}"


def test_the_night_palette_renames_every_colour_of_the_day() -> None:
    css = SHEET.read_text(encoding="utf-8")
    start = css.index("@media screen and (prefers-color-scheme: dark)")
    night = custom_properties(css[start : css.index("*, *::before")])
    assert set(night) == set(custom_properties(css[:start]))


def test_paper_prints_in_day_colours_whatever_the_screen_shows() -> None:
    css = SHEET.read_text(encoding="utf-8")
    assert css.count("prefers-color-scheme: dark") == css.count("@media screen and (prefers-color-scheme: dark)") == 1


def test_the_browser_bar_takes_the_colour_of_the_paper() -> None:
    shell = (SHEET.parent / "templates" / "web" / "head.html").read_text(encoding="utf-8")
    for scheme, colours in palettes().items():
        assert f'content="{colours["paper"]}" media="(prefers-color-scheme: {scheme})"' in shell


def test_the_sheet_stays_light_and_asks_nobody_else_for_anything() -> None:
    css = SHEET.read_text(encoding="utf-8")
    assert len(css.encode()) <= 22 * 1024
    assert "url(" not in css
    assert "@import" not in css
    assert "@font-face" not in css


def test_every_colour_outside_the_palette_is_one_of_the_two_line_tones() -> None:
    css = SHEET.read_text(encoding="utf-8")
    rules = css[css.index("*, *::before") : css.index("@media print")]
    assert set(re.findall(r"#[0-9a-f]{3,8}\b", rules)) == {"#29221b", "#f6eddc"}
