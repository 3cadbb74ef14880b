"""Every page in a real browser: no sideways scrolling, no axe finding, in both schemes, empty and with the demo."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from app.basics.settings import Settings
from app.factory import create_app
from tests.every_page import examples
from tests.live import LiveShop, start_server, stop_server

pytestmark = [pytest.mark.browser]

WIDTHS = [(320, 640), (390, 844), (1280, 800)]
# What axe finds hangs on whether a page is narrow or wide: the two ends are looked at, every width must fit. The dark
# scheme changes colours alone, and those not with the width.
LOOKED_AT = {"light": {320, 1280}, "dark": {320}}
AXE = Axe()
PLANTED = ("color-contrast", "label", "image-alt", "target-size", "label-content-name-mismatch")
RULES = {
    "resultTypes": ["violations"],
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    },
    "rules": {
        "target-size": {"enabled": True},
        "label-content-name-mismatch": {"enabled": True},
        "css-orientation-lock": {"enabled": True},
        "table-fake-caption": {"enabled": True},
        "p-as-heading": {"enabled": True},
        "focus-order-semantics": {"enabled": True},
    },
}


@pytest.fixture
def empty_shop(make_shop: Callable[[str], Path]) -> Iterator[LiveShop]:
    shop = start_server(make_shop("empty"))
    yield shop
    stop_server(shop)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_of_the_demo_shop_fits_and_is_sound(demo_shop: LiveShop, browser: Browser, scheme: str) -> None:
    assert troubles_of(demo_shop, browser, scheme, fewest_pages=90) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_of_an_empty_shop_fits_and_is_sound(empty_shop: LiveShop, browser: Browser, scheme: str) -> None:
    assert troubles_of(empty_shop, browser, scheme, fewest_pages=25) == []


def test_faults_put_into_a_page_are_found(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content(
        """<html lang="en"><head><title>Faults</title></head><body><main><h1>Faults</h1>
        <p style="color: #999; background: #aaa">too pale</p><input><img src="data:,"><table><tr><td>
        <button aria-label="Other words">Save</button><div style="width: 2000px">too wide</div>
        <a href="#1" style="display: inline-block; width: 8px; height: 8px; overflow: hidden">one</a>
        <a href="#2" style="display: inline-block; width: 8px; height: 8px; overflow: hidden">two</a>
        </td></tr></table></main></body></html>"""
    )
    found = "\n".join(look(page, LOOKED_AT["light"]))
    page.close()
    for width, _ in WIDTHS:
        assert f"px wide on a {width} px screen" in found, (width, found)
    for width in LOOKED_AT["light"]:
        for rule in PLANTED:
            assert f"{width} px: {rule}:" in found, (width, rule, found)


def troubles_of(shop: LiveShop, browser: Browser, scheme: str, *, fewest_pages: int) -> list[str]:
    """Visit each page once and look at it at each width."""
    context = browser.new_context(color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    found: list[str] = []
    page.on("console", lambda line: found.append(f"console: {line.text}") if line.type == "error" else None)
    paths = paths_of(shop)
    assert len(paths) >= fewest_pages, paths
    for path in paths:
        response = page.goto(shop.url + path)
        assert response is not None
        assert response.status == 200, path
        found += [f"{path}: {line}" for line in look(page, LOOKED_AT[scheme])]
    context.close()
    return found


def look(page: Page, looked_at: set[int]) -> list[str]:
    """Everything that is wrong with the page: at each width whether it fits, at some what axe finds."""
    found = []
    page.evaluate(AXE.axe_script)
    for width, height in WIDTHS:
        page.set_viewport_size({"width": width, "height": height})
        wide = page.evaluate("document.documentElement.scrollWidth")
        if wide > width:
            found.append(f"{wide} px wide on a {width} px screen")
        if width not in looked_at:
            continue
        for violation in page.evaluate("options => axe.run(options)", RULES)["violations"]:
            places = [node["target"] for node in violation["nodes"]][:3]
            found.append(f"{width} px: {violation['id']}: {violation['help']} {places}")
    return found


def paths_of(shop: LiveShop) -> list[str]:
    """Every page that opens, with arguments from this shop's own ledger: two of each, a piece's sheet at each stage.

    What a page answers is asked of the program itself beforehand, so that the browser meets no refusals.
    """
    app = create_app(Settings(data_dir=shop.data_dir))
    client = app.test_client()
    with app.extensions["tackcloth_ledger"].reading() as session:
        pages = examples(session).paths(app)
    found = []
    for endpoint, paths in pages.items():
        answers = {path: client.get(path).status_code for path in paths if not path.endswith((".csv", ".pdf"))}
        assert set(answers.values()) <= {200, 303, 404, 409}, answers
        opening = [path for path, status in answers.items() if status == 200]
        found += opening if endpoint == "desk.sheet" else opening[:2]
    app.extensions["tackcloth_ledger"].close()
    return found
