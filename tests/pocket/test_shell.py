"""What a phone keeps to work without signal: the same bytes for everybody, complete, and new when anything changes."""

import json
import re
from pathlib import Path

import pytest
from flask import Flask
from PIL import Image

from app.access.actions import set_passphrase
from app.basics.settings import Settings
from app.database.unit_of_work import Ledger
from app.factory import create_app
from app.pocket.routes.shell import SCRIPTS
from app.shop.rules import ShopFacts
from app.web.assets import Assets
from tests.conftest import NOW
from tests.examining_client import ExaminingClient

STATIC = Path(__file__).resolve().parent.parent.parent / "app" / "web" / "static"
LARGEST_SHELL = 60 * 1024
MASKABLE_SAFE = 0.4


def parts_of(worker: str) -> list[str]:
    found = re.search(r"^const PARTS = (\[.*\]);$", worker, re.MULTILINE)
    assert found
    parts: list[str] = json.loads(found[1])
    return parts


@pytest.mark.parametrize("path", ["/pocket", "/pocket/spare"])
def test_the_page_is_the_same_for_everybody_and_carries_nothing(
    client: ExaminingClient, app: Flask, tmp_path: Path, path: str
) -> None:
    first = client.get(path)
    client.get("/find")  # which makes a cookie with a form token
    assert client.get(path).data == first.data
    other = create_app(Settings(data_dir=tmp_path / "other"))
    assert "Bent Nail" not in first.text
    assert "csrf" not in first.text
    assert "Set-Cookie" not in first.headers
    with app.test_request_context(), other.test_request_context():
        assert app.extensions["tackcloth_assets"].css == other.extensions["tackcloth_assets"].css
    other.extensions["tackcloth_ledger"].close()


@pytest.fixture
def locked(ledger: Ledger, shop: ShopFacts) -> None:
    with ledger.writing() as session:
        set_passphrase(session, "copper kettle on the sill", shop_name=shop.name, browser_id=None, now=NOW)


@pytest.mark.usefixtures("locked")
def test_a_locked_shop_gives_worker_and_manifest_but_no_page(client: ExaminingClient) -> None:
    assert client.raw.get("/worker.js").status_code == 200
    assert client.raw.get("/manifest.webmanifest").status_code == 200
    for path in ("/pocket", "/pocket/spare"):
        assert client.raw.get(path).status_code == 303


def test_the_worker_keeps_all_that_the_pages_need(client: ExaminingClient) -> None:
    answer = client.raw.get("/worker.js")
    assert answer.content_type.startswith("text/javascript")
    assert answer.headers["Cache-Control"] == "no-cache"
    parts = parts_of(answer.text)
    needed = set()
    for path in ("/pocket", "/pocket/spare"):
        needed |= set(re.findall(r'(?:src|href)="(/assets/[^"]+)"', client.get(path).text))
    scripts = [part for part in parts if part.endswith(".js")]
    for script in scripts:
        imported = re.findall(r'(?:from|import) "(\.\./[^"]+)"', client.raw.get(script).text)
        needed |= {"/assets/" + one.removeprefix("../") for one in imported}
    assert needed <= set(parts)
    assert [client.raw.get(part).status_code for part in parts] == [200] * len(parts)


def test_every_script_of_the_pocket_is_kept() -> None:
    assert sorted(SCRIPTS) == sorted(path.name for path in STATIC.glob("pocket*.js"))


def test_the_worker_changes_when_a_script_or_the_page_changes(
    client: ExaminingClient, app: Flask, tmp_path: Path
) -> None:
    before = client.raw.get("/worker.js").text
    for path in STATIC.iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    words = tmp_path / "pocket-words.js"
    words.write_text(words.read_text(encoding="utf-8") + "// one more line\n", encoding="utf-8")
    app.extensions["tackcloth_assets"] = Assets([], tmp_path)
    after = client.raw.get("/worker.js").text
    assert after != before
    changed = {part.rsplit("/", 1)[1] for part in set(parts_of(after)) - set(parts_of(before))}
    # What imports the changed script has a new address too, so that no old one is mixed with a new one.
    assert {"pocket-words.js", "pocket.js", "pocket-store.js"} <= changed
    assert "pocket-worker.js" not in changed


def test_what_the_phone_must_fetch_stays_small(client: ExaminingClient) -> None:
    parts = [part for part in parts_of(client.raw.get("/worker.js").text) if not part.endswith(".css")]
    assert sum(len(client.raw.get(path).data) for path in ["/pocket", *parts]) <= LARGEST_SHELL


def test_the_manifest_names_page_and_icons(client: ExaminingClient) -> None:
    answer = client.raw.get("/manifest.webmanifest")
    assert answer.content_type == "application/manifest+json"
    told = json.loads(answer.text)
    assert (told["id"], told["start_url"], told["scope"], told["display"]) == ("/pocket", "/pocket", "/", "standalone")
    assert len(told["short_name"]) <= 12
    assert "orientation" not in told
    assert {icon["purpose"] for icon in told["icons"]} == {"any", "maskable"}
    for icon in told["icons"]:
        body = client.raw.get(icon["src"])
        assert body.content_type == "image/png"
        width, height = map(int, icon["sizes"].split("x"))
        with Image.open(STATIC / icon["src"].rsplit("/", 1)[1]) as picture:
            assert picture.size == (width, height)


def test_the_maskable_icon_keeps_its_mark_in_the_middle() -> None:
    with Image.open(STATIC / "icon-512-whole.png") as picture:
        whole = picture.convert("RGB")
    paper = whole.getpixel((0, 0))
    drawn = [(x, y) for x in range(0, 512, 4) for y in range(0, 512, 4) if whole.getpixel((x, y)) != paper]
    assert drawn
    assert all(((x - 256) ** 2 + (y - 256) ** 2) ** 0.5 <= 512 * MASKABLE_SAFE for x, y in drawn)


def test_signed_in_pages_name_the_manifest(client: ExaminingClient) -> None:
    assert 'rel="manifest" href="/manifest.webmanifest"' in client.get("/").text
