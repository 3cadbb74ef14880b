"""The page about backups and the download."""

import re
from datetime import datetime, timedelta
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

from flask import Flask
from freezegun import freeze_time
from werkzeug.test import TestResponse

from app.basics.settings import Settings
from app.database.unit_of_work import Ledger
from app.safekeeping.actions import restore
from tests.builders.photos import a_photo
from tests.builders.pieces import a_piece
from tests.builders.safekeeping import shop_of
from tests.examining_client import ExaminingClient

PAGE = "/settings/safekeeping"
BACKUP = "/settings/safekeeping/backup"


def back_up(client: ExaminingClient) -> None:
    """Press the button."""
    answer = client.post_form(BACKUP, {}, from_page=PAGE)
    assert answer.status_code == 303
    assert answer.location.startswith(PAGE)


def files_ready(client: ExaminingClient) -> list[str]:
    """The addresses of the backups the page offers, as it lists them."""
    return re.findall(r'href="(/settings/safekeeping/backups/[^"]+)"', client.get(PAGE).text)


def download(client: ExaminingClient) -> TestResponse:
    """Press the button and take the newest file whole."""
    back_up(client)
    answer = client.raw.get(files_ready(client)[0])
    assert answer.data
    answer.close()
    return answer


def test_a_shop_never_backed_up_is_warned(client: ExaminingClient) -> None:
    page = client.get(PAGE).text
    assert "No backup has been made yet" in page
    assert "tackcloth restore" in page


def test_a_backup_downloads_whole_and_can_be_restored(
    app: Flask, client: ExaminingClient, ledger: Ledger, tmp_path: Path, now: datetime
) -> None:
    settings: Settings = app.extensions["tackcloth_settings"]
    with ledger.writing() as session:
        a_photo(session, settings.photo_dir, a_piece(session).id)
    answer = download(client)
    assert answer.status_code == 200
    assert answer.content_type == "application/zip"
    assert answer.headers["Cache-Control"] == "no-store"
    assert "filename=tackcloth-20261125-153000.zip" in answer.headers["Content-Disposition"]
    assert int(answer.headers["Content-Length"]) == len(answer.data)
    assert ZipFile(BytesIO(answer.data)).testzip() is None
    downloaded = tmp_path / "downloaded.zip"
    downloaded.write_bytes(answer.data)
    elsewhere = Settings(data_dir=tmp_path / "elsewhere")
    restore(elsewhere, downloaded, now)
    assert shop_of(elsewhere) == shop_of(settings)


def test_the_page_after_the_button_says_that_a_backup_was_made(app: Flask, client: ExaminingClient) -> None:
    back_up(client)
    page = client.get(PAGE).text
    assert "Backup made at 25 Nov 2026, 08:30" in page
    assert "No backup has been made yet" not in page
    assert "in the folder backups on this computer" in page
    data_dir = app.extensions["tackcloth_settings"].data_dir
    assert list((data_dir / "drafts").iterdir()) == []
    assert [path.name for path in (data_dir / "backups").iterdir()] == ["tackcloth-20261125-153000.zip"]


def test_the_newest_three_backups_stay_and_nothing_else_can_be_taken(
    app: Flask, client: ExaminingClient, now: datetime
) -> None:
    folder = app.extensions["tackcloth_settings"].data_dir / "backups"
    for minutes in range(4):
        with freeze_time(now + timedelta(minutes=minutes)):
            back_up(client)
    (folder / "tackcloth-list.zip").write_bytes(b"not one of ours")
    ready = files_ready(client)
    assert [path.rpartition("/")[2] for path in ready] == [
        f"tackcloth-20261125-153{minute}00.zip" for minute in (3, 2, 1)
    ]
    for name in ("tackcloth-list.zip", "tackcloth-20261125-153000.zip", "..%2Fledger.sqlite", "ledger.sqlite"):
        assert client.raw.get(f"/settings/safekeeping/backups/{name}").status_code == 404


def test_two_backups_of_one_second_are_two_files(client: ExaminingClient) -> None:
    back_up(client)
    back_up(client)
    assert len(set(files_ready(client))) == 2


def test_looking_and_downloading_change_nothing(app: Flask, client: ExaminingClient) -> None:
    folder = app.extensions["tackcloth_settings"].data_dir
    address = "/settings/safekeeping/backups/" + download(client).headers["Content-Disposition"].rpartition("=")[2]
    noted = (folder / "last-backup.json").read_bytes()
    names = sorted(path.name for path in folder.rglob("*"))
    with client.raw.get(address) as answer:
        assert answer.status_code == 200
    client.get(PAGE)
    assert (folder / "last-backup.json").read_bytes() == noted
    assert sorted(path.name for path in folder.rglob("*")) == names


def test_the_page_shows_the_last_backup_and_says_when_the_next_is_due(client: ExaminingClient, now: datetime) -> None:
    back_up(client)
    page = client.get(PAGE).text
    assert "25 Nov 2026, 08:30" in page
    assert "A backup is due" not in page
    with freeze_time(now + timedelta(days=7)):
        assert "A backup is due" in client.get(PAGE).text


def test_photos_lost_before_a_backup_are_told(app: Flask, client: ExaminingClient, ledger: Ledger) -> None:
    settings: Settings = app.extensions["tackcloth_settings"]
    with ledger.writing() as session:
        a_photo(session, settings.photo_dir, a_piece(session).id)
    next(settings.photo_dir.glob("*/*.original")).unlink()
    back_up(client)
    assert "1 photo the ledger shows could not be backed up" in client.get(PAGE).text


def test_copies_kept_before_an_upgrade_are_listed(app: Flask, client: ExaminingClient) -> None:
    kept = app.extensions["tackcloth_settings"].kept_copies_dir
    kept.mkdir()
    (kept / "20261101-090000-before-upgrade-from-0003.sqlite").write_bytes(bytes(2048))
    (kept / "oddly named.sqlite").write_bytes(b"")
    page = client.get(PAGE).text
    assert "20261101-090000-before-upgrade-from-0003.sqlite" in page
    assert "2.0 kB" in page
    assert "oddly named.sqlite" in page
