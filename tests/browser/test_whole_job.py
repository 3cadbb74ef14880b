"""The whole job on a phone: found, paid for, worked on, listed and sold; the same profit wherever it is read."""

import re
import subprocess
import sys

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.live import LiveShop

pytestmark = [pytest.mark.browser]

# 240.00 less 45.00 paid, 18.50 and 7.00 spent, 10.00 of fees; 40 minutes of it are two thirds of an hour.
PROFIT, PER_HOUR = "159.50", "239.25"


def save(page: Page, button: str) -> None:
    """Press a form's own button and wait for the page that follows."""
    page.get_by_role("button", name=button, exact=True).click()
    page.wait_for_load_state()


def open_from(page: Page, link: str) -> None:
    """Follow a link by its words."""
    page.get_by_role("link", name=link).first.click()
    page.wait_for_load_state()


def log_a_find(page: Page) -> str:
    open_from(page, "Log a find")
    page.get_by_text("Chest of drawers", exact=True).click()
    page.get_by_label("Paid", exact=True).fill("45")
    save(page, "Save the find")
    written = page.locator(".write-tape strong").inner_text()
    assert re.fullmatch(r"[0-9A-Z]{3,4}", written)
    return written


def add_a_cost(page: Page, amount: str, kind: str) -> None:
    open_from(page, "Add a cost")
    page.get_by_label("Amount", exact=True).fill(amount)
    page.get_by_text(kind, exact=True).click()
    save(page, "Save cost")


def add_forty_minutes(page: Page, sheet: str) -> None:
    open_from(page, "Add time")
    page.get_by_label("How long?").fill("40")
    page.get_by_text("Sanding", exact=True).click()
    save(page, "Save time")
    page.goto(sheet)


def step_forward(page: Page, words: str) -> None:
    """One tap on the sheet; the day is today."""
    save(page, words)


def list_it(page: Page) -> None:
    open_from(page, "List it")
    page.get_by_label("Asking price").fill("260")
    page.get_by_text("weekend market", exact=True).click()
    save(page, "Put on the floor")


def sell_it(page: Page) -> None:
    open_from(page, "Record a sale")
    page.get_by_label("Price", exact=True).fill("240")
    page.get_by_label("Fees the channel takes").fill("10")
    save(page, "Check the sale")
    save(page, "Record sale of $240.00")


def add_a_channel(page: Page, shop: LiveShop) -> None:
    page.goto(f"{shop.url}/settings/channels")
    page.get_by_label("Name", exact=True).fill("weekend market")
    save(page, "Add channel")
    page.goto(shop.url)


def test_a_piece_goes_through_the_whole_job_and_its_profit_is_the_same_everywhere(
    live_shop: LiveShop, phone: BrowserContext
) -> None:
    page = phone.new_page()
    add_a_channel(page, live_shop)
    sheet = f"{live_shop.url}/pieces/{log_a_find(page)}"
    page.goto(sheet)
    add_a_cost(page, "18.50", "Paint and materials")
    page.goto(sheet)
    add_a_cost(page, "7", "Hardware")
    page.goto(sheet)
    add_forty_minutes(page, sheet)
    step_forward(page, "Mark prepped")
    step_forward(page, "Mark finished")
    list_it(page)
    page.goto(sheet)
    sell_it(page)

    page.goto(sheet)
    expect(page.locator(".figures")).to_contain_text(f"${PROFIT}")
    expect(page.locator(".figures")).to_contain_text(f"${PER_HOUR}")
    open_from(page, "See what it earned")
    expect(page.locator("main")).to_contain_text(f"${PROFIT}")
    page.goto(live_shop.url)
    expect(page.locator(".today-month")).to_contain_text(f"${PROFIT}")
    page.locator(".today-month a").first.click()
    expect(page.locator("main")).to_contain_text(f"${PROFIT}")

    proof = subprocess.run(
        [sys.executable, "-m", "app.cli", "--data", str(live_shop.data_dir), "check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert proof.returncode == 0, proof.stdout + proof.stderr
    assert PROFIT in proof.stdout
    assert "BROKEN" not in proof.stdout
