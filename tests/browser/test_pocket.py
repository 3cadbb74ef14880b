"""The pocket's outbox in a real browser: nothing is told as saved that is not, and nothing leaves before it is home."""

import json
import re
import shutil
import time
from base64 import b64decode
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from random import Random

import pytest
from playwright.sync_api import Browser, Page, Playwright, Route, expect

from app.access.actions import end_other_browsers
from app.database.engine import make_engine
from app.database.unit_of_work import Ledger
from tests import live
from tests.browser.pocketing import (
    Phone,
    a_photo,
    all_is_home,
    begin_find,
    find_home,
    go_back,
    log_find,
    make_ready,
    photos_of,
    require_no_signal,
    save_find,
    sign_in,
)
from tests.live import SecureShop, start_share, stop_server

pytestmark = [pytest.mark.browser]

CHANCE = Random(20261127)  # noqa: S311 - content of photos, not secrets

BREAK_MAIN_SCRIPT = """async () => {
  for (const name of await caches.keys()) {
    const kept = await caches.open(name);
    const broken = new Response("broken(", { headers: { "Content-Type": "text/javascript" } });
    for (const { url } of await kept.keys()) if (url.endsWith("/pocket.js")) await kept.put(url, broken.clone());
  }
}"""
NEWER_WORKER_WAITS = """async () => {
  const it = await navigator.serviceWorker.getRegistration();
  await it.update();
  for (let n = 0; n < 100 && !it.waiting; n += 1) await new Promise((done) => setTimeout(done, 100));
  return Boolean(it.waiting);
}"""


@pytest.fixture
def phone(driver: Playwright, secure_shop: SecureShop, tmp_path: Path) -> Iterator[Phone]:
    found = Phone(driver, tmp_path / "phone", secure_shop)
    yield found
    found.put_away()
    found.kill()


@pytest.fixture
def reopen(secure_shop: SecureShop) -> Iterator[Callable[[], SecureShop]]:
    """Open the shop again after it was closed."""
    opened: list[SecureShop] = []

    def begin() -> SecureShop:
        opened.append(start_share(secure_shop.data_dir, secure_shop.passphrase))
        return opened[-1]

    yield begin
    for shop in opened:
        stop_server(shop)


FULL = """(stores) => {
  const put = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (...all) {
    if (stores.includes(this.name)) throw new DOMException("no room", "QuotaExceededError");
    return put.apply(this, all);
  };
}"""
PRESS_TWICE = """(words) => {
  const it = [...document.querySelectorAll("button")].find((one) => one.textContent === words);
  it.click();
  it.click();
}"""


def end_sign_ins(shop: SecureShop) -> None:
    """End every sign-in, as the owner does who ends a phone at home."""
    ledger = Ledger(make_engine(f"sqlite:///{shop.data_dir / 'ledger.sqlite'}"))
    with ledger.writing() as session:
        end_other_browsers(session, 0, now=datetime.now(UTC))  # noqa: TID251 - the browser lives in real time
    ledger.close()


def test_without_signal_every_page_is_the_pocket_and_no_page_of_the_ledger_is_kept(
    phone: Phone, secure_shop: SecureShop, tmp_path: Path
) -> None:
    page = make_ready(phone)
    log_find(page, "oak chest", [a_photo(tmp_path / "chest.jpg", CHANCE)])
    expect(page.locator("#saved-home")).to_have_text(re.compile("^It is home as [0-9A-Z]{3,4}[.]$"))
    tag = page.locator("#saved-home").inner_text().removesuffix(".").rsplit(" ", 1)[1]
    page.goto(secure_shop.url + "/")
    page.goto(f"{secure_shop.url}/pieces/{tag}")
    expect(page.locator("h1")).to_contain_text("oak chest")
    page.goto(f"{secure_shop.url}/pocket")
    all_is_home(page)
    stop_server(secure_shop)
    for path in ("/", "/books", f"/pieces/{tag}", f"/pieces/{tag}/step"):
        page.goto(secure_shop.url + path)
        expect(page.locator("h1")).to_have_text("The home computer does not answer")
    require_no_signal(page, "pages")
    expect(page.locator("#piece-name")).to_contain_text(f"{tag} oak chest")
    page.locator("#piece-time").click()
    expect(page.get_by_label("Which piece?").locator("visible=true")).to_have_value(tag)
    kept = page.evaluate(
        "async () => (await Promise.all((await caches.keys()).map(async (name) =>"
        " (await (await caches.open(name)).keys()).map((one) => new URL(one.url).pathname)))).flat()"
    )
    assert all(path in {"/pocket", "/pocket/spare"} or path.startswith("/assets/") for path in kept)


def test_a_write_that_was_cut_off_is_not_told_as_saved_and_its_words_can_be_copied(phone: Phone) -> None:
    page = make_ready(phone)
    page.get_by_role("button", name="Log a find").click()
    page.get_by_label("What is it?").fill("walnut desk")
    expect(page.locator("#find output")).to_contain_text("Draft kept")
    page.evaluate(
        "() => { const put = IDBObjectStore.prototype.put; IDBObjectStore.prototype.put = function (...all) {"
        " const asked = put.apply(this, all); this.transaction.abort(); return asked; }; }"
    )
    page.get_by_label("Paid").fill("30")
    page.get_by_role("button", name="Save the find").click()
    expect(page.locator("#lost")).to_be_visible()
    expect(page.locator("#lost-text")).to_have_value(re.compile("walnut desk(.|\n)*30"))
    expect(page.locator("#saved-at")).to_be_hidden()


def test_what_is_typed_is_kept_before_anything_is_pressed(phone: Phone) -> None:
    page = make_ready(phone)
    page.get_by_role("button", name="Log a find").click()
    page.get_by_label("What is it?").fill("half a sentence")
    expect(page.locator("#find output")).to_contain_text("Draft kept")
    phone.kill()
    page = phone.open()
    expect(page.locator("#draft")).to_contain_text("half a sentence")
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_label("What is it?")).to_have_value("half a sentence")


def test_a_sign_in_that_ends_in_the_middle_of_sending_costs_nothing(
    phone: Phone, secure_shop: SecureShop, tmp_path: Path
) -> None:
    page = make_ready(phone)
    photos = [a_photo(tmp_path / f"{place}.jpg", CHANCE) for place in range(2)]

    def end_first(route: Route) -> None:
        end_sign_ins(secure_shop)
        route.continue_()

    page.route("**/captures/*/photos/*", end_first, times=1)
    log_find(page, "pine table", photos)
    expect(page.locator("#saved-home")).to_contain_text("asks you to sign in")
    go_back(page)
    expect(page.locator("#status")).to_contain_text("1 waiting to go home")
    page.get_by_role("link", name="Sign in, then it goes on").click()
    sign_in(page, secure_shop)
    all_is_home(page)
    [hashes] = photos_of(secure_shop.data_dir, "pine table").values()
    assert hashes == [sha256(photo.read_bytes()).hexdigest() for photo in photos]


def test_a_phone_that_was_ended_keeps_what_it_carries(phone: Phone, secure_shop: SecureShop) -> None:
    page = make_ready(phone)
    end_sign_ins(secure_shop)
    log_find(page, "after the end", [])
    expect(page.locator("#saved-home")).to_contain_text("asks you to sign in")
    phone.put_away()
    page = phone.open()
    expect(page.locator("#waiting")).to_contain_text("after the end")
    assert photos_of(secure_shop.data_dir, "after the end") == {}


def test_a_refused_find_is_put_right_and_sent(phone: Phone, secure_shop: SecureShop) -> None:
    page = make_ready(phone)
    begin_find(page, "brass lamp table", [])
    page.get_by_label("Paid").fill("1.2.3")
    page.get_by_role("button", name="Save the find").click()
    expect(page.locator("#saved-home")).to_contain_text("It needs you")
    go_back(page)
    expect(page.locator("#refused")).to_contain_text("brass lamp table")
    page.get_by_role("button", name="Look or change").click()
    expect(page.locator("#find [data-error=paid]")).to_be_visible()
    page.get_by_label("Paid").fill("12.30")
    page.get_by_role("button", name="Save the find").click()
    expect(page.locator("#saved-home")).to_contain_text("It is home")
    assert len(photos_of(secure_shop.data_dir, "brass lamp table")) == 1


def test_a_find_kept_as_a_new_one_is_one_more_find_however_often_it_is_pressed(
    phone: Phone, secure_shop: SecureShop, tmp_path: Path
) -> None:
    page = make_ready(phone)
    photos = [a_photo(tmp_path / "bench.jpg", CHANCE)]
    made = {"kind": "find", "tag": "7K3", "href": "/pieces/7K3"}
    told = json.dumps({"status": 409, "detail": "This is entered already.", "made": made})
    answer = {"status": 409, "content_type": "application/problem+json", "body": told}
    page.route("**/captures/*", lambda route: route.fulfill(**answer), times=1)
    log_find(page, "elm bench", photos)
    expect(page.locator("#saved-home")).to_contain_text("It needs you")
    go_back(page)
    expect(page.locator("#refused .error")).to_have_text("This is entered already.")
    expect(page.locator("#refused").get_by_role("link", name="7K3 at home")).to_have_attribute("href", "/pieces/7K3")
    page.evaluate(PRESS_TWICE, "Keep as a new one")
    all_is_home(page)
    expect(page.locator("#sent li")).to_have_count(1)
    [hashes] = photos_of(secure_shop.data_dir, "elm bench").values()
    assert hashes == [sha256(photo.read_bytes()).hexdigest() for photo in photos]


def test_a_phone_without_room_for_anything_more_still_sends_all_it_carries(
    phone: Phone, secure_shop: SecureShop, reopen: Callable[[], SecureShop]
) -> None:
    page = make_ready(phone)
    stop_server(secure_shop)
    for number in range(2):
        log_find(page, f"crate {number}", [])
        go_back(page)
    page.evaluate(FULL, ["facts", "captures"])
    reopen()
    page.get_by_role("button", name="Send now").click()
    for number in range(2):
        wait_for(lambda title=f"crate {number}": len(photos_of(secure_shop.data_dir, title)) == 1)  # type: ignore[misc]
    # What could not be noted is not told as sent, and sent once more it is not doubled.
    expect(page.locator("#waiting li")).to_have_count(2)
    page.reload()
    all_is_home(page)
    assert [len(photos_of(secure_shop.data_dir, f"crate {number}")) for number in range(2)] == [1, 1]


def wait_for(is_so: Callable[[], bool]) -> None:
    for _ in range(200):
        if is_so():
            return
        time.sleep(0.1)
    raise AssertionError("it did not come about")


def test_the_spare_page_opened_first_leaves_the_pocket_whole(phone: Phone, secure_shop: SecureShop) -> None:
    page = phone.open("/pocket/spare")
    sign_in(page, secure_shop)
    page.goto(secure_shop.url + "/pocket/spare")
    expect(page.locator("#spare-list")).to_contain_text("0 on this phone")
    page.goto(secure_shop.url + "/pocket")
    log_find(page, "after the spare page", [])
    expect(page.locator("#saved-home")).to_contain_text("It is home")


def test_save_waits_for_every_photo_that_was_chosen(phone: Phone, secure_shop: SecureShop, tmp_path: Path) -> None:
    page = make_ready(phone)
    photos = [a_photo(tmp_path / f"{place}.jpg", CHANCE) for place in range(9)]
    begin_find(page, "bureau", [])
    page.evaluate(
        "() => { const digest = crypto.subtle.digest.bind(crypto.subtle); crypto.subtle.digest = async (...all) => {"
        " await new Promise((done) => setTimeout(done, 60)); return digest(...all); }; }"
    )
    page.locator("#find input[type=file][multiple]").set_input_files(photos[:8])
    page.locator("#find input[capture]").set_input_files(photos[8])
    save_find(page)
    expect(page.locator("#saved-home")).to_contain_text("It is home")
    [hashes] = photos_of(secure_shop.data_dir, "bureau").values()
    assert sorted(hashes) == sorted(sha256(photo.read_bytes()).hexdigest() for photo in photos)


def test_what_is_changed_while_it_is_being_sent_is_neither_lost_nor_doubled(
    phone: Phone, secure_shop: SecureShop
) -> None:
    page = make_ready(phone)
    page.add_init_script(
        "const ask = fetch; window.fetch = (path, ...rest) => path.startsWith('/captures/') ?"
        " ask(path, ...rest).then((told) => new Promise((done) => setTimeout(done, 1500, told))) : ask(path, ...rest);"
    )
    page.reload()
    log_find(page, "before the change", [])
    go_back(page)
    page.get_by_role("button", name="Look or change").click()
    page.get_by_label("What is it?").fill("after the change")
    wait_for(lambda: len(photos_of(secure_shop.data_dir, "before the change")) == 1)
    page.wait_for_timeout(2000)
    save_find(page)
    go_back(page)
    expect(page.locator("#refused")).to_contain_text("after the change")
    expect(page.locator("#refused")).to_contain_text("entered already")
    assert len(photos_of(secure_shop.data_dir, "before the change")) == 1
    assert photos_of(secure_shop.data_dir, "after the change") == {}


def test_words_that_cannot_be_kept_are_shown_after_going_back_too(phone: Phone) -> None:
    page = make_ready(phone)
    page.get_by_role("button", name="Log a find").click()
    expect(page.get_by_label("What is it?")).to_be_visible()
    page.evaluate(FULL, ["captures"])
    page.get_by_label("What is it?").fill("typed in a hurry")
    page.get_by_role("link", name="In your pocket").click()
    expect(page.locator("#heading")).to_have_text("In your pocket")
    expect(page.locator("#lost-text")).to_have_value(re.compile("typed in a hurry"))


def test_a_browser_without_locks_and_limits_of_time_sends_all_the_same(phone: Phone, secure_shop: SecureShop) -> None:
    page = make_ready(phone)
    page.add_init_script("delete Navigator.prototype.locks; delete AbortSignal.timeout;")
    page.reload()
    assert page.evaluate("[typeof navigator.locks, typeof AbortSignal.timeout]") == ["undefined", "undefined"]
    log_find(page, "from an old phone", [])
    expect(page.locator("#saved-home")).to_contain_text("It is home")
    go_back(page)
    assert len(photos_of(secure_shop.data_dir, "from an old phone")) == 1


def test_a_draft_with_nothing_but_a_place_is_kept(phone: Phone) -> None:
    page = make_ready(phone)
    page.get_by_role("button", name="Log a find").click()
    page.get_by_label("Where from").fill("Barn on the hill")
    expect(page.locator("#find output")).to_contain_text("Draft kept")
    phone.kill()
    page = phone.open()
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_label("Where from")).to_have_value("Barn on the hill")


def test_what_was_let_go_comes_back_by_undo(phone: Phone, secure_shop: SecureShop) -> None:
    page = make_ready(phone)
    stop_server(secure_shop)
    log_find(page, "wicker chair", [])
    go_back(page)
    page.get_by_role("button", name="Let it go").click()
    expect(page.locator("#status")).to_contain_text("all is home")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#status")).to_contain_text("1 waiting to go home")


def test_a_cost_on_a_find_that_was_not_home_yet_follows_it(
    phone: Phone, secure_shop: SecureShop, reopen: Callable[[], SecureShop]
) -> None:
    page = make_ready(phone)
    stop_server(secure_shop)
    reference = log_find(page, "elm bench", [])
    go_back(page)
    page.get_by_role("button", name="Add cost").click()
    page.get_by_role("button", name=reference).click()
    page.get_by_label("Amount").fill("12.00")
    page.get_by_text("Hardware", exact=True).locator("visible=true").click()
    page.get_by_role("button", name="Save cost").click()
    expect(page.locator("#saved-at")).to_contain_text("Saved on this phone")
    reopen()
    go_back(page)
    find_home(page)
    all_is_home(page)
    expect(page.locator("#sent li")).to_have_count(2)


def slowly(route: Route) -> None:
    time.sleep(0.2)
    route.continue_()


def test_two_windows_send_each_capture_once(
    phone: Phone, secure_shop: SecureShop, reopen: Callable[[], SecureShop]
) -> None:
    page = make_ready(phone)
    stop_server(secure_shop)
    for number in range(3):
        log_find(page, f"stool {number}", [])
        go_back(page)
    other = phone.window()
    other.goto(secure_shop.url + "/pocket")
    sent: list[str] = []
    page.context.on("request", lambda one: sent.append(one.url) if "/captures/" in one.url else None)
    page.context.route("**/captures/*", slowly)
    reopen()
    for one in (page, other):
        one.evaluate("document.getElementById('send').click()")
    for one in (page, other):
        all_is_home(one)
    assert len(sent) == len(set(sent)) == 3


def test_a_new_release_waits_for_the_open_form_and_keeps_what_is_unsent(
    phone: Phone,
    secure_shop: SecureShop,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    reopen: Callable[[], SecureShop],
) -> None:
    page = make_ready(phone)
    stop_server(secure_shop)
    for number in range(3):
        log_find(page, f"old {number}", [a_photo(tmp_path / f"{number}.jpg", CHANCE)])
        go_back(page)
    begin_find(page, "under way", [])
    page.context.route("**/captures/**", lambda route: route.abort())
    monkeypatch.setattr(live, "ROOT", next_release(tmp_path / "release"))
    reopen()
    other = phone.window()
    other.goto(secure_shop.url + "/pocket")
    assert other.evaluate(NEWER_WORKER_WAITS)
    other.reload()
    expect(other.locator("#waiting li")).to_have_count(3)
    expect(other.locator("#heading")).to_have_text("In your pocket")
    expect(page.get_by_label("What is it?")).to_have_value("under way")
    page.get_by_role("button", name="Save the find").click()
    expect(page.locator("#saved-at")).to_contain_text("Saved on this phone")
    go_back(page)
    expect(page.locator("#heading")).to_have_text("In your new pocket")
    expect(page.locator("#waiting li")).to_have_count(4)
    # A page of the old release that is still open works on the new layout.
    page.context.unroute("**/captures/**")
    find_home(page)
    all_is_home(page)
    for number in range(3):
        assert len(photos_of(secure_shop.data_dir, f"old {number}")) == 1


def next_release(folder: Path) -> Path:
    """The program as it may be one release on: another page, and one more store in the phone's outbox."""
    for name in ("app", "migrations", "demo_data"):
        shutil.copytree(live.ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    page, store = folder / "app/pocket/templates/pocket/page.html", folder / "app/web/static/pocket-store.js"
    page.write_text(page.read_text(encoding="utf-8").replace("In your pocket", "In your new pocket"), encoding="utf-8")
    text = store.read_text(encoding="utf-8")
    new = text.replace("VERSION = 2", "VERSION = 3").replace('facts: "name"', 'facts: "name", marks: "name"')
    assert new != text
    store.write_text(new, encoding="utf-8")
    return folder


def test_with_the_main_script_gone_the_spare_page_saves_all_to_a_file_that_home_takes_in(
    phone: Phone, secure_shop: SecureShop, browser: Browser, tmp_path: Path, reopen: Callable[[], SecureShop]
) -> None:
    page = make_ready(phone)
    stop_server(secure_shop)
    photos = [a_photo(tmp_path / f"{place}.jpg", CHANCE) for place in range(2)]
    reference = log_find(page, "cherry mirror", photos)
    page.evaluate(BREAK_MAIN_SCRIPT)
    phone.put_away()
    page = phone.open()
    expect(page.locator("#unstarted")).to_be_visible()
    page.locator("#unstarted").get_by_role("link", name="spare page").click()
    expect(page.locator("#spare-list")).to_contain_text(f"{reference} cherry mirror")
    with page.expect_download() as coming:
        page.get_by_role("button", name="Save to a file").click()
    file = tmp_path / coming.value.suggested_filename
    coming.value.save_as(file)
    require_rescue_file(file, reference, photos)
    take_in(browser, reopen(), file)
    [hashes] = photos_of(secure_shop.data_dir, "cherry mirror").values()
    assert hashes == [sha256(photo.read_bytes()).hexdigest() for photo in photos]


def require_rescue_file(file: Path, reference: str, photos: list[Path]) -> None:
    assert re.fullmatch(r"captures-\d{4}-\d\d-\d\d\.json", file.name)
    told = json.loads(file.read_text(encoding="utf-8"))
    assert (told["tackcloth"], told["version"], len(told["captures"])) == ("captures", 1, 1)
    [held] = told["captures"]
    assert held["capture"]["reference"] == reference
    assert held["capture"]["what"] == "cherry mirror"
    found = {digest: b64decode(text) for digest, text in held["photos"].items()}
    assert found == {sha256(photo.read_bytes()).hexdigest(): photo.read_bytes() for photo in photos}


def take_in(browser: Browser, shop: SecureShop, file: Path) -> None:
    """Load a rescue file on the home computer, twice: nothing is doubled."""
    context = browser.new_context()
    page: Page = context.new_page()
    page.goto(f"{shop.plain_url}/pocket/rescue")
    sign_in(page, shop)
    for _ in range(2):
        page.goto(f"{shop.plain_url}/pocket/rescue")
        page.locator("input[type=file]").set_input_files(file)
        page.get_by_role("button", name="Take it in").click()
        expect(page.locator("main")).to_contain_text("1 capture was in the file")
    context.close()
