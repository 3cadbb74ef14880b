"""Two browsers on one shared shop: one pairs by the other's code, an unpaired one stays out, a revoked one is out."""

import re
from collections.abc import Callable, Iterator
from io import BytesIO

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Error, Page

from tests.live import SecureShop

SAMPLE = [
    "/",
    "/books",
    "/pieces",
    "/find",
    "/settings/phones",
    "/settings/phones/pair",
    "/bench/ready.ics",
    "/no/such",
]
OpenPhone = Callable[[str], BrowserContext]


@pytest.fixture
def computer(secure_shop: SecureShop, browser: Browser) -> Iterator[Page]:
    """The browser on the computer that keeps the shop, signed in with the passphrase."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    page = context.new_page()
    page.goto(f"{secure_shop.plain_url}/sign-in")
    page.get_by_label("Passphrase").fill(secure_shop.passphrase)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{secure_shop.plain_url}/")
    yield page
    context.close()


def scanned(page: Page, title: str) -> str:
    """What a phone's camera reads off the square on the page."""
    with Image.open(BytesIO(page.get_by_role("img", name=title).screenshot())) as picture:
        [code] = zxingcpp.read_barcodes(picture)
    return str(code.text)


def make_code(computer: Page, shop: SecureShop) -> None:
    computer.goto(f"{shop.plain_url}/settings/phones")
    computer.get_by_role("link", name="Pair a phone").first.click()
    computer.get_by_role("button", name="Make a code").click()


def pair(page: Page, address: str, name: str) -> None:
    page.goto(address)
    page.get_by_label("Name for this phone").fill(name)
    page.get_by_role("button", name="Pair this phone").click()
    page.wait_for_load_state()


def test_a_phone_pairs_by_the_square_an_unpaired_one_stays_out_and_a_revoked_one_is_out_at_once(
    secure_shop: SecureShop, computer: Page, open_phone: OpenPhone
) -> None:
    stranger, phone = open_phone("stranger").new_page(), open_phone("garage").new_page()
    for path in SAMPLE:
        stranger.goto(secure_shop.url + path)
        assert stranger.url.startswith(f"{secure_shop.url}/sign-in"), path
        assert "Bent Nail" not in stranger.content()

    make_code(computer, secure_shop)
    address = scanned(computer, "The address that pairs a phone, to scan")
    assert re.fullmatch(re.escape(secure_shop.url) + r"/pair/[2-9A-Z]{28}", address)
    assert scanned(computer, "The page of the certificate, to scan") == f"{secure_shop.plain_url}/certificate"
    pair(phone, address, "garage phone")
    assert phone.evaluate("isSecureContext")
    phone.goto(f"{secure_shop.url}/settings/phones")
    assert phone.get_by_role("link", name="garage phone").is_visible()
    [cookie] = phone.context.cookies()
    assert (cookie["name"], cookie["secure"], cookie["httpOnly"], cookie["sameSite"]) == (
        "__Host-tackcloth",
        True,
        True,
        "Lax",
    )

    pair(stranger, address, "stranger")
    assert stranger.get_by_text("This code has paired a phone already").first.is_visible()
    stranger.goto(f"{secure_shop.url}/books")
    assert "/sign-in" in stranger.url

    computer.goto(f"{secure_shop.plain_url}/settings/phones")
    computer.get_by_role("button", name="Revoke garage phone").click()
    phone.goto(f"{secure_shop.url}/books")
    assert "/sign-in" in phone.url
    assert "garage phone" not in computer.locator("main").inner_text()


def test_the_square_is_read_in_the_dark_too(secure_shop: SecureShop, computer: Page) -> None:
    computer.emulate_media(color_scheme="dark")
    make_code(computer, secure_shop)
    assert scanned(computer, "The address that pairs a phone, to scan").startswith(f"{secure_shop.url}/pair/")


def test_the_same_phone_is_still_paired_after_it_was_put_away(
    secure_shop: SecureShop, computer: Page, open_phone: OpenPhone
) -> None:
    make_code(computer, secure_shop)
    address = scanned(computer, "The address that pairs a phone, to scan")
    first = open_phone("garage")
    pair(first.new_page(), address, "garage phone")
    first.close()
    page = open_phone("garage").new_page()
    page.goto(f"{secure_shop.url}/books")
    assert page.url == f"{secure_shop.url}/books"


def test_a_browser_that_does_not_trust_it_shows_no_page_of_the_shop(secure_shop: SecureShop, browser: Browser) -> None:
    context = browser.new_context()
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        context.new_page().goto(f"{secure_shop.url}/")
    context.close()
