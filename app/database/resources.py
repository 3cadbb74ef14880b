"""Folders that ship beside the package, found in a checkout and in an installed copy alike."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


def shipped_folder(name: str) -> Path:
    """The folder `migrations` or `demo_data`; raises FileNotFoundError when the installation lacks it."""
    for candidate in (_PACKAGE / f"_{name}", _PACKAGE.parent / name):
        if candidate.is_dir():
            return candidate
    raise FileNotFoundError(f"this installation lacks the folder {name}")
