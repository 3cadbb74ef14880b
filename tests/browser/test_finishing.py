"""On a phone: a recipe in two parts with a 1:4 wash is written, begun and worked off; drying, shelf and cost follow."""

import re

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.test_whole_job import log_a_find, open_from, save
from tests.live import LiveShop

pytestmark = [pytest.mark.browser]


def choose(page: Page, label: str, words: str) -> None:
    """Take the option of a list that begins with the words."""
    box = page.get_by_label(label, exact=True)
    value = box.locator("option").filter(has_text=re.compile(f"^{re.escape(words)}")).first.get_attribute("value")
    box.select_option(value)


def stock_the_shelf(page: Page, shop: LiveShop, name: str) -> None:
    """A litre of paint for 20.00."""
    page.goto(f"{shop.url}/shelf/new")
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_text("Paint", exact=True).click()
    page.get_by_text("By volume", exact=True).click()
    save(page, "Save material")
    open_from(page, "Buy")
    page.get_by_label("How much", exact=True).fill("1")
    choose(page, "Measured in", "litre")
    page.get_by_label("Price of all of it").fill("20")
    save(page, "Put it on the shelf")


def add_step(page: Page, task: str) -> None:
    """From the recipe's page to the form of a new step of a task."""
    open_from(page, "Add a step")
    page.get_by_role("link", name=task, exact=True).click()
    page.wait_for_load_state()


def write_the_recipe(page: Page, shop: LiveShop) -> None:
    page.goto(f"{shop.url}/recipes/new")
    page.get_by_label("Name", exact=True).fill("Sage body, washed top")
    save(page, "Write its first step")
    page.get_by_role("link", name="Paint", exact=True).click()
    choose(page, "Part", "Body")
    choose(page, "Material from the shelf", "Sage green")
    choose(page, "Sort of product", "Waterborne paint")
    page.get_by_label("Coats", exact=True).fill("2")
    save(page, "Save step")
    add_step(page, "Wash")
    choose(page, "Part", "Top")
    choose(page, "Material from the shelf", "Ink blue")
    page.get_by_label("Ratio", exact=True).fill("1:4")
    save(page, "Save step")
    expect(page.locator("main")).to_contain_text("1 paint : 4 water")


def work_a_step_off(page: Page, amount: str) -> None:
    """Begin the next step from the piece's page, then say it is done with what it took."""
    open_from(page, "Next: ")
    if page.get_by_label("Why it does not hold here").count():
        page.get_by_label("Why it does not hold here").fill("looked it over, it holds")
    save(page, "Begin, start the clock")
    open_from(page, "Done: ")
    page.get_by_label("How much did you use?").fill(amount)
    choose(page, "Measured in", "ml")
    save(page, "Done")


def test_a_recipe_is_written_begun_and_worked_off_and_shelf_drying_and_cost_follow(
    live_shop: LiveShop, phone: BrowserContext
) -> None:
    page = phone.new_page()
    stock_the_shelf(page, live_shop, "Sage green")
    stock_the_shelf(page, live_shop, "Ink blue")
    write_the_recipe(page, live_shop)
    page.goto(live_shop.url)
    tag = log_a_find(page)
    sheet = f"{live_shop.url}/pieces/{tag}"
    page.goto(sheet)
    open_from(page, "Begin a finish")
    choose(page, "Recipe", "Sage body")
    save(page, "Begin")

    page.goto(sheet)
    work_a_step_off(page, "250")
    expect(page.locator("main")).to_contain_text("Body: next coat from")
    page.goto(sheet)
    work_a_step_off(page, "50")

    # 45.00 paid; 250 ml of a litre for 20.00 are 5.00, 50 ml of the other are 1.00.
    page.goto(sheet)
    expect(page.locator("main")).to_contain_text("$51.00")
    page.goto(f"{live_shop.url}/shelf")
    expect(page.locator("main")).to_contain_text("$15.00")
    expect(page.locator("main")).to_contain_text("$19.00")
    page.goto(f"{sheet}/finishes")
    expect(page.locator("main")).to_contain_text("$6.00 of materials")
    expect(page.locator("main")).to_contain_text("Under way: 2 of 3 steps")
