"""The page about backups and the download."""

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


def download(client: ExaminingClient) -> TestResponse:
    """Press the button and take the whole file."""
    answer = client.post_form(BACKUP, {}, from_page=PAGE)
    assert answer.data
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
    assert 'filename="tackcloth-20261125-153000.zip"' in answer.headers["Content-Disposition"]
    assert int(answer.headers["Content-Length"]) == len(answer.data)
    assert ZipFile(BytesIO(answer.data)).testzip() is None
    downloaded = tmp_path / "downloaded.zip"
    downloaded.write_bytes(answer.data)
    elsewhere = Settings(data_dir=tmp_path / "elsewhere")
    restore(elsewhere, downloaded, now)
    assert shop_of(elsewhere) == shop_of(settings)


def test_no_half_made_file_stays_after_a_download(app: Flask, client: ExaminingClient) -> None:
    download(client).close()
    data_dir = app.extensions["tackcloth_settings"].data_dir
    assert list((data_dir / "drafts").iterdir()) == []


def test_the_page_shows_the_last_backup_and_says_when_the_next_is_due(client: ExaminingClient, now: datetime) -> None:
    download(client)
    page = client.get(PAGE).text
    assert "25 Nov 2026, 08:30" in page
    assert "A backup is due" not in page
    with freeze_time(now + timedelta(days=7)):
        assert "A backup is due" in client.get(PAGE).text


def test_a_download_cut_short_is_no_backup(app: Flask, client: ExaminingClient) -> None:
    token = client.get(PAGE).text.split('name="csrf_token" value="')[1].split('"')[0]
    answer = client.raw.post(BACKUP, data={"csrf_token": token}, headers={"Origin": "http://localhost"}, buffered=False)
    answer.close()
    assert "No backup has been made yet" in client.get(PAGE).text
    assert list((app.extensions["tackcloth_settings"].data_dir / "drafts").iterdir()) == []


def test_photos_lost_before_a_backup_are_told(app: Flask, client: ExaminingClient, ledger: Ledger) -> None:
    settings: Settings = app.extensions["tackcloth_settings"]
    with ledger.writing() as session:
        a_photo(session, settings.photo_dir, a_piece(session).id)
    next(settings.photo_dir.glob("*/*.original")).unlink()
    download(client)
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
