"""How light a colour is."""

import pytest

from app.basics.colours import relative_luminance


def test_luminance_matches_the_ends_of_the_wcag_scale() -> None:
    assert relative_luminance("#000000") == 0
    assert relative_luminance("#ffffff") == pytest.approx(1)


def test_grey_in_the_middle_of_the_scale_is_darker_than_half() -> None:
    # Worked by hand from the definition: ((128/255 + 0.055) / 1.055) ** 2.4.
    assert relative_luminance("#808080") == pytest.approx(0.21586, abs=1e-5)


def test_green_counts_most_and_blue_least() -> None:
    green, red, blue = (relative_luminance(colour) for colour in ("#00ff00", "#ff0000", "#0000ff"))
    assert (round(green, 4), round(red, 4), round(blue, 4)) == (0.7152, 0.2126, 0.0722)
