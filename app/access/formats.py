"""The square to scan, as a drawing in the page."""

import segno
from markupsafe import Markup

QUIET_ZONE = 4
"""Modules of white around it, as ISO/IEC 18004 asks; without them it is not found on a dark page."""


def square(words: str, title: str, css: str = "square") -> Markup:
    """A square that says `words`, black on white in the dark as well; `title` is read out in its place."""
    drawn = segno.make_qr(words, error="m").svg_inline(
        border=QUIET_ZONE, dark="#000", light="#fff", svgclass=css, lineclass=None, omitsize=True, title=title
    )
    # Nothing of it is typed by anybody but the title, and that is escaped where it is drawn.
    return Markup(str(drawn).replace("<svg ", '<svg role="img" ', 1))  # noqa: S704
