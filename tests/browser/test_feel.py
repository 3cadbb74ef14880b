"""A tap is answered before the home computer is: the page says so, and a second tap sends nothing twice."""

from playwright.sync_api import BrowserContext, Page, Route

from tests.live import LiveShop

# Playwright itself waits for the withheld answer as soon as it is asked for anything of the page.
TWO_TAPS = """
() => new Promise((told) => {
  const button = document.querySelector(".find-save button");
  button.click();
  requestAnimationFrame(() => {
    button.click();
    told({busy: button.getAttribute("aria-busy"), words: document.querySelector("[role=status]").textContent});
  });
})
"""


def find_page(phone: BrowserContext, shop: LiveShop) -> Page:
    page = phone.new_page()
    page.goto(f"{shop.url}/find")
    page.locator(".find-forms .chip").first.click()
    page.locator("#paid").fill("40")
    return page


def test_a_tap_is_acknowledged_while_the_answer_is_withheld_and_a_second_one_does_nothing(
    phone: BrowserContext, live_shop: LiveShop
) -> None:
    page = find_page(phone, live_shop)
    held: list[Route] = []
    page.route("**/find", lambda route: held.append(route) if route.request.method == "POST" else route.continue_())
    told = page.evaluate(TWO_TAPS)
    assert told == {"busy": "true", "words": "Saving…"}
    page.wait_for_timeout(200)
    assert len(held) == 1, "the second tap was sent too"
    held[0].continue_()
    page.wait_for_url("**/pieces/*")
    assert page.get_by_role("status").inner_text() == "Find saved."


def test_back_shows_a_form_that_works_again(phone: BrowserContext, live_shop: LiveShop) -> None:
    page = find_page(phone, live_shop)
    page.get_by_role("button", name="Save the find").click()
    page.wait_for_url("**/pieces/*")
    page.go_back()
    page.wait_for_url("**/find")
    assert page.locator("[aria-busy]").count() == 0
    assert page.locator("form[data-sent]").count() == 0
