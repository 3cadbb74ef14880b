"""How light a colour is."""

from typing import Final

_STRAIGHT_BELOW: Final = 0.04045


def relative_luminance(colour: str) -> float:
    """Lightness from 0 to 1 of a colour written #rrggbb, as WCAG 2.2 defines it."""

    def linear(channel: int) -> float:
        share = channel / 255
        return share / 12.92 if share <= _STRAIGHT_BELOW else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(int(colour[at : at + 2], 16)) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
