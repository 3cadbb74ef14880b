"""Before and after on a piece's sheet: the slider by finger and by key, and both pictures without a script."""

import re

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.live import LiveShop

pytestmark = [pytest.mark.browser]

CLIP = "half => getComputedStyle(half).clipPath"


def open_the_sheet(page: Page, shop: LiveShop) -> None:
    page.goto(f"{shop.url}/floor")
    page.get_by_role("link", name=re.compile("Pie safe")).first.click()
    page.wait_for_load_state()


def test_the_slider_parts_the_two_pictures_and_keys_move_it(phone: BrowserContext, demo_shop: LiveShop) -> None:
    page = phone.new_page()
    troubles: list[str] = []
    page.on("console", lambda said: troubles.append(said.text) if said.type == "error" else None)
    open_the_sheet(page, demo_shop)
    slider = page.get_by_role("slider", name="Before and after")
    before, after = page.locator(".pair > div").all()
    assert (before.evaluate(CLIP), after.evaluate(CLIP)) == ("inset(0px 50% 0px 0px)", "inset(0px 0px 0px 50%)")
    assert before.bounding_box() == after.bounding_box()
    slider.focus()
    page.keyboard.press("ArrowRight")
    assert (before.evaluate(CLIP), after.evaluate(CLIP)) == ("inset(0px 49% 0px 0px)", "inset(0px 0px 0px 51%)")
    page.keyboard.press("End")
    assert after.evaluate(CLIP) == "inset(0px 0px 0px 100%)"
    box = slider.bounding_box()
    assert box is not None
    assert box["height"] >= 44
    page.touchscreen.tap(box["x"] + box["width"] * 0.1, box["y"] + box["height"] / 2)
    assert int(slider.input_value()) < 20
    assert troubles == []


def test_without_a_script_both_stand_side_by_side_with_their_words(browser: Browser, demo_shop: LiveShop) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    page = context.new_page()
    open_the_sheet(page, demo_shop)
    before, after = (page.get_by_text(word, exact=True) for word in ("Before", "After"))
    expect(before).to_be_visible()
    expect(after).to_be_visible()
    expect(page.locator(".pair input")).to_be_hidden()
    left, right = (half.bounding_box() for half in page.locator(".pair > div").all())
    assert left is not None
    assert right is not None
    assert left["x"] + left["width"] <= right["x"]
    context.close()
