"""The tie-on tag shows a piece by photo or silhouette, and is one link when it leads somewhere."""

import pytest
from jinja2 import Environment, PackageLoader, StrictUndefined

from app.web.silhouettes import silhouette
from app.web.tie_tag import TagPhoto, TieTag

PHOTO = TagPhoto("/photos/7/small", 320, 240, "Oak chest, front")


def written(tag: TieTag, *, large: bool = False) -> str:
    env = Environment(loader=PackageLoader("app.web"), autoescape=True, undefined=StrictUndefined)
    return str(env.get_template("web/tie_tag.html").module.tie_tag(tag, large=large))  # type: ignore[attr-defined]


def test_a_tag_without_a_photo_shows_the_painted_silhouette() -> None:
    page = written(TieTag("0042", "Oak chest", "Prepped", drawing=silhouette("chest", "#5f7f73")))
    assert 'fill="#5f7f73"' in page
    assert "<img" not in page


def test_a_photo_keeps_its_room_while_it_loads_and_has_words() -> None:
    page = written(TieTag("0042", "Oak chest", "Prepped", photo=PHOTO))
    assert 'width="320" height="240" alt="Oak chest, front" loading="lazy"' in page
    assert "silhouette" not in page


def test_the_photo_on_the_sheet_loads_at_once() -> None:
    assert "loading=" not in written(TieTag("0042", "Oak chest", "Prepped", photo=PHOTO), large=True)


def test_a_tag_with_nothing_to_show_is_refused() -> None:
    with pytest.raises(ValueError, match="photo or a silhouette"):
        TieTag("0042", "Oak chest", "Prepped")


def test_a_tag_is_one_link_when_it_leads_to_its_piece() -> None:
    page = written(TieTag("0042", "Oak chest", "Listed", href="/pieces/0042", photo=PHOTO))
    assert page.count("<a ") == 1
    assert '<a class="stretched" href="/pieces/0042">Oak chest</a>' in page
    assert "<a " not in written(TieTag("0042", "Oak chest", "Listed", photo=PHOTO))


def test_lines_that_say_nothing_are_not_written() -> None:
    bare = written(TieTag("0042", "Oak chest", "Listed", photo=PHOTO))
    assert "tag-price" not in bare
    assert "tag-extra" not in bare
    full = written(TieTag("0042", "Oak chest", "Held", photo=PHOTO, price_line="$240.00", extra_line="12 days"))
    assert "$240.00" in full
    assert "12 days" in full


def test_a_title_typed_with_markup_stays_text() -> None:
    assert "&lt;b&gt;chest" in written(TieTag("0042", "<b>chest", "Listed", photo=PHOTO))
