"""Settings of one running shop: from a TOML file in the data folder, then the environment, then flags."""

import os
import secrets
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

import platformdirs
from babel import Locale, UnknownLocaleError

from app.basics.errors import RuleError
from app.basics.files import OWNER_ALONE, write_whole

SETTINGS_FILE = "settings.toml"
ENVIRONMENT_PREFIX = "TACKCLOTH_"
DEFAULT_PORT = 8427
HIGHEST_PORT = 65535


@dataclass(frozen=True)
class Settings:
    """Everything that differs from one installation to the next.

    `data_dir` holds the ledger, the photos and the secret key. `database_url` is empty for the SQLite file
    in the data folder. `trusted_hosts` are the names a browser may use for this server, besides loopback.
    """

    data_dir: Path
    database_url: str = ""
    host: str = "127.0.0.1"
    port: int = DEFAULT_PORT
    locale: str = "en_US"
    trusted_hosts: tuple[str, ...] = ()
    is_demo: bool = False

    @property
    def url(self) -> str:
        """The SQLAlchemy address of the ledger."""
        return self.database_url or f"sqlite:///{self.ledger_file}"

    @property
    def ledger_file(self) -> Path:
        """Where the SQLite ledger lies when no other database is named."""
        return self.data_dir / "ledger.sqlite"

    @property
    def photo_dir(self) -> Path:
        """Where photos are stored by the hash of their content."""
        return self.data_dir / "photos"

    @property
    def kept_copies_dir(self) -> Path:
        """Where copies of the ledger lie that are made before an upgrade or a restore."""
        return self.data_dir / "kept-copies"


def default_data_dir() -> Path:
    """The usual place for a person's application data on this system."""
    return Path(platformdirs.user_data_dir("tackcloth", appauthor=False))


def load_settings(flags: Mapping[str, object] | None = None, environ: Mapping[str, str] | None = None) -> Settings:
    """Settings from file, environment and flags, the later ones winning.

    Raises RuleError for a file that is not TOML, an unknown name or a value of the wrong kind.
    """
    given = {name: value for name, value in (flags or {}).items() if value is not None}
    environment = _from_environment(os.environ if environ is None else environ)
    folders = (given.pop("data_dir", None), environment.pop("data_dir", None), default_data_dir())
    data_dir = Path(next(str(folder) for folder in folders if folder)).expanduser().absolute()
    merged = {**_from_file(data_dir / SETTINGS_FILE), **environment, **given}
    checked: dict[str, Any] = {name: _checked(name, value) for name, value in merged.items()}
    return Settings(data_dir=data_dir, **checked)


def make_data_dir(data_dir: Path) -> None:
    """Make the data folder if it is not there yet, closed to other users of this computer."""
    data_dir.mkdir(mode=0o700, parents=True, exist_ok=True)


def secret_key(data_dir: Path) -> str:
    """The key that signs cookies: made once, readable by the owner alone."""
    path = data_dir / "secret-key"
    if not path.exists():
        make_data_dir(data_dir)
        write_whole(path, secrets.token_urlsafe(48).encode("ascii"), mode=OWNER_ALONE)
    return path.read_text(encoding="ascii")


def _known_names() -> set[str]:
    return {field.name for field in fields(Settings)} - {"data_dir", "is_demo"}


def _from_file(path: Path) -> dict[str, object]:
    if not path.exists():
        return {}
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as trouble:
        raise RuleError(f"The settings file {path} cannot be read: {trouble}") from trouble
    unknown = sorted(set(found) - _known_names())
    if unknown:
        raise RuleError(f"The settings file {path} names something unknown: {', '.join(unknown)}")
    return found


def _from_environment(environ: Mapping[str, str]) -> dict[str, object]:
    names = _known_names() | {"data_dir"}
    found: dict[str, object] = {}
    for name in names:
        value = environ.get(ENVIRONMENT_PREFIX + name.upper())
        if value:
            found[name] = value
    return found


def _checked(name: str, value: object) -> object:
    if name == "port":
        text = str(value)
        if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= HIGHEST_PORT:
            raise RuleError(f"The port must be a whole number from 1 to {HIGHEST_PORT}, not {text}")
        return int(text)
    if name == "trusted_hosts":
        parts = value.split(",") if isinstance(value, str) else value
        if not isinstance(parts, list | tuple):
            raise RuleError("trusted_hosts must be a list of host names")
        return tuple(str(part).strip() for part in parts)
    if not isinstance(value, str):
        raise RuleError(f"The setting {name} must be text, not {value!r}")
    if name == "locale" and not _is_known_locale(value):
        raise RuleError(f"The setting locale must be a language and country such as en_US or en_GB, not {value}")
    return value


def _is_known_locale(text: str) -> bool:
    try:
        return Locale.parse(text) is not None
    except (UnknownLocaleError, ValueError):
        return False
