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
RULES = {
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
    assert troubles_of(demo_shop, browser, scheme) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_of_an_empty_shop_fits_and_is_sound(empty_shop: LiveShop, browser: Browser, scheme: str) -> None:
    assert troubles_of(empty_shop, browser, scheme) == []


def troubles_of(shop: LiveShop, browser: Browser, scheme: str) -> list[str]:
    """Visit each page once and look at it at each width."""
    context = browser.new_context(color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    found: list[str] = []
    page.on("console", lambda line: found.append(f"console: {line.text}") if line.type == "error" else None)
    for path in paths_of(shop):
        page.goto(shop.url + path)
        found += [f"{path}: {line}" for line in look(page)]
    context.close()
    return found


def look(page: Page) -> list[str]:
    found = []
    for width, height in WIDTHS:
        page.set_viewport_size({"width": width, "height": height})
        wide = page.evaluate("document.documentElement.scrollWidth")
        if wide > width:
            found.append(f"{wide} px wide on a {width} px screen")
        if width == 390:
            continue
        results = Axe().run(page, options=RULES)
        for violation in results.response["violations"]:
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
        opening = [path for path in paths if not path.endswith(".csv") and client.get(path).status_code == 200]
        found += opening if endpoint == "desk.sheet" else opening[:2]
    app.extensions["tackcloth_ledger"].close()
    return found
