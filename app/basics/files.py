"""Files that survive a crash: flushed to the disk before they get their name."""

import os
import secrets
import sys
from pathlib import Path

ANYBODY_MAY_READ = 0o666
OWNER_ALONE = 0o600


def write_whole(path: Path, body: bytes, *, mode: int = ANYBODY_MAY_READ) -> None:
    """Write a file whole or not at all, and durably; what stood there before is replaced.

    A crash leaves at most a draft that nothing points to. `mode` is narrowed by the system's own mask.
    """
    draft = path.with_suffix(f".{secrets.token_hex(4)}.draft")
    try:
        with open(draft, "xb", opener=lambda name, flags: os.open(name, flags, mode)) as handle:
            handle.write(body)
            handle.flush()
            os.fsync(handle.fileno())
        draft.replace(path)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


def sync_file(path: Path) -> None:
    """Flush a file to the disk."""
    with path.open("rb+") as handle:
        os.fsync(handle.fileno())


def sync_folder(folder: Path) -> None:
    """Make new names in a folder safe; Windows opens no folders and keeps names safe by itself."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
