"""A day's photos in a browser: sent one by one with their progress, cut off and gone on with, sorted by keyboard."""

from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from tests.browser.test_whole_job import log_a_find, open_from, save
from tests.builders.photos import photo_bytes
from tests.live import LiveShop

pytestmark = [pytest.mark.browser]

MANY = 12
CUT_ONCE = 3
CUT_FROM = 7


@pytest.fixture
def photos(tmp_path: Path) -> list[Path]:
    """Photos of a morning, a minute apart."""
    folder = tmp_path / "camera"
    folder.mkdir()
    found = []
    for number in range(MANY):
        path = folder / f"IMG_{number:02}.jpg"
        taken = f"2026:11:24 09:{number:02}:00"
        path.write_bytes(photo_bytes(colour=(number * 20, 60, 60), taken=taken, offset="-07:00"))
        found.append(path)
    return found


def choose(page: Page, files: list[Path]) -> None:
    page.get_by_label("Choose photos").set_input_files(files)
    page.get_by_role("button", name="Lay them on the pile").click()


def test_photos_are_sent_with_progress_and_the_bad_one_is_named(
    phone: BrowserContext, live_shop: LiveShop, photos: list[Path], tmp_path: Path
) -> None:
    page = phone.new_page()
    page.goto(f"{live_shop.url}/photos")
    choose(page, photos)
    expect(page.get_by_text(f"{MANY} photos on the pile")).to_be_visible()
    bad = tmp_path / "notes.jpg"
    bad.write_text("no picture")
    page.get_by_text("Add a day's photos").click()
    choose(page, [photos[0], bad])
    form = page.locator("form[data-upload]")
    expect(form.get_by_role("status")).to_have_text("2 of 2, 100 %")
    expect(form).to_contain_text("IMG_00.jpg: already on the pile")
    expect(form).to_contain_text("notes.jpg: This is not a readable photo")
    report = Axe().run(page)
    assert report.response["violations"] == []
    open_from(page, "See what is here")
    expect(page.get_by_text(f"{MANY} photos on the pile")).to_be_visible()


def test_a_line_that_breaks_is_tried_again_and_the_rest_can_be_sent_later(
    phone: BrowserContext, live_shop: LiveShop, photos: list[Path]
) -> None:
    page = phone.new_page()
    page.clock.install()
    page.goto(f"{live_shop.url}/photos")
    tried = []

    def break_off(route: Route) -> None:
        tried.append(route.request.url)
        if len(tried) == CUT_ONCE or len(tried) >= CUT_FROM:
            route.abort()
        else:
            route.continue_()

    page.route("**/photos/one", break_off)
    choose(page, photos)
    words = page.locator("form[data-upload]").get_by_role("status")
    expect(words).to_contain_text("2 of 12")
    page.clock.run_for(1500)
    for _ in range(20):
        if "not sent yet" in (words.text_content() or ""):
            break
        page.clock.run_for(5000)
        page.wait_for_timeout(200)
    expect(words).to_have_text(
        "The line is broken. 7 not sent yet; choose them again, those already here are not doubled."
    )
    assert len(tried) == CUT_FROM - 1 + 4
    page.goto(f"{live_shop.url}/photos")
    expect(page.get_by_text("5 photos on the pile")).to_be_visible()
    page.get_by_text("Add a day's photos").click()
    expect(page.locator("form[data-upload]").get_by_role("status")).to_contain_text("7 not sent yet")
    page.unroute("**/photos/one")
    choose(page, photos)
    expect(page.get_by_role("link", name="See what is here")).to_be_visible()
    open_from(page, "See what is here")
    expect(page.get_by_text(f"{MANY} photos on the pile")).to_be_visible()


def test_without_scripts_and_with_keys_alone_a_group_goes_on_a_piece_and_back(
    browser: Browser, live_shop: LiveShop, photos: list[Path]
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(live_shop.url)
    log_a_find(page)
    page.goto(f"{live_shop.url}/photos")
    page.get_by_label("Choose photos").set_input_files(photos)
    save(page, "Lay them on the pile")
    expect(page.get_by_text(f"{MANY} photos on the pile")).to_be_visible()
    page.get_by_role("checkbox", name="Photo 1,").focus()
    page.keyboard.press("Space")
    page.get_by_label("Piece", exact=True).focus()
    page.keyboard.press("ArrowDown")
    page.get_by_role("button", name="Put on the piece").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text(f"{MANY - 1} photos put on")).to_be_visible()
    page.get_by_role("button", name="Undo").press("Enter")
    expect(page.get_by_text(f"{MANY} photos on the pile")).to_be_visible()
    context.close()
