"""Settings come from the file, then the environment, then flags; what cannot be meant is refused in words."""

import os
import stat
from pathlib import Path

import pytest

from app.basics.errors import RuleError
from app.basics.settings import DEFAULT_PORT, Settings, default_data_dir, load_settings, make_data_dir, secret_key


def written(folder: Path, text: str) -> dict[str, object]:
    (folder / "settings.toml").write_text(text, encoding="utf-8")
    return {"data_dir": str(folder)}


def test_without_a_word_the_shop_lies_in_the_usual_place_and_answers_this_computer_alone() -> None:
    found = load_settings(environ={})
    assert found == Settings(data_dir=default_data_dir())
    assert (found.host, found.port, found.database_url) == ("127.0.0.1", DEFAULT_PORT, "")
    assert found.url == f"sqlite:///{found.data_dir / 'ledger.sqlite'}"


def test_the_file_is_overruled_by_the_environment_and_that_by_a_flag(tmp_path: Path) -> None:
    flags = written(tmp_path, 'port = 8001\nlocale = "en_GB"\nhost = "127.0.0.2"\n')
    environ = {"TACKCLOTH_PORT": "8002", "TACKCLOTH_HOST": "127.0.0.3"}
    assert load_settings(flags, {}).port == 8001
    assert load_settings(flags, environ).port == 8002
    found = load_settings({**flags, "port": 8003}, environ)
    assert (found.port, found.host, found.locale) == (8003, "127.0.0.3", "en_GB")


def test_a_flag_that_was_not_given_overrules_nothing(tmp_path: Path) -> None:
    assert load_settings({**written(tmp_path, "port = 8001"), "port": None}, {}).port == 8001


def test_the_folder_can_be_named_by_flag_or_environment_and_is_made_absolute(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert load_settings({"data_dir": "here"}, {"TACKCLOTH_DATA_DIR": "there"}).data_dir == tmp_path / "here"
    assert load_settings({}, {"TACKCLOTH_DATA_DIR": "there"}).data_dir == tmp_path / "there"
    monkeypatch.setenv("HOME", str(tmp_path))
    assert load_settings({"data_dir": "~/shop"}, {}).data_dir == tmp_path / "shop"


def test_names_of_hosts_come_as_a_list_or_with_commas(tmp_path: Path) -> None:
    listed = load_settings(written(tmp_path, 'trusted_hosts = ["garage.local", "shop"]'), {})
    assert listed.trusted_hosts == ("garage.local", "shop")
    assert load_settings({}, {"TACKCLOTH_TRUSTED_HOSTS": "garage.local, shop"}).trusted_hosts == listed.trusted_hosts


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("port = ", "cannot be read"),
        ("prot = 8001", "names something unknown: prot"),
        ('data_dir = "/elsewhere"', "names something unknown: data_dir"),
        ("is_demo = true", "names something unknown: is_demo"),
        ("port = 0", "whole number from 1 to 65535, not 0"),
        ("port = 70000", "whole number from 1 to 65535, not 70000"),
        ("port = true", "whole number from 1 to 65535, not True"),
        ("port = 80.5", "whole number"),
        ("host = 7", "must be text, not 7"),
        ("trusted_hosts = 7", "must be a list of host names"),
        ('locale = "xx_YY"', "such as en_US or en_GB, not xx_YY"),
        ('locale = "plain English"', "such as en_US or en_GB"),
        ('locale = ""', "such as en_US or en_GB"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_words(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(RuleError, match=said):
        load_settings(written(tmp_path, text), {})


def test_a_file_that_is_not_text_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_bytes(b"locale = '\xff\xfe'")
    with pytest.raises(RuleError, match="cannot be read"):
        load_settings({"data_dir": str(tmp_path)}, {})


def test_the_key_is_made_once_and_belongs_to_the_owner_alone(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    key = secret_key(folder)
    assert len(key) >= 64
    assert secret_key(folder) == key
    assert secret_key(tmp_path / "another") != key
    assert stat.S_IMODE((folder / "secret-key").stat().st_mode) == 0o600
    assert os.listdir(folder) == ["secret-key"]  # noqa: PTH208 - no draft is left


def test_a_new_data_folder_is_closed_to_others_and_one_that_is_there_is_left_alone(tmp_path: Path) -> None:
    make_data_dir(tmp_path / "deep" / "shop")
    assert stat.S_IMODE((tmp_path / "deep" / "shop").stat().st_mode) == 0o700
    (tmp_path / "open").mkdir()
    before = (tmp_path / "open").stat().st_mode
    make_data_dir(tmp_path / "open")
    assert (tmp_path / "open").stat().st_mode == before
