"""Show one page of a shop and print the most memory this process took, in megabytes."""

import sys
from pathlib import Path

from app.basics.settings import Settings
from app.factory import create_app

KILOBYTES_IN_MEGABYTE = 1024


def main(folder: str, path: str) -> int:
    """Show the page; 1 where there is none."""
    answer = create_app(Settings(data_dir=Path(folder))).test_client().get(path)
    if answer.status_code != 200:
        return 1
    answer.get_data()
    print(most_memory() / KILOBYTES_IN_MEGABYTE)
    return 0


def most_memory() -> int:
    """Kilobytes at the most; unlike what a parent is told of its child, this knows nothing of the parent."""
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    (peak,) = [line.split()[1] for line in lines if line.startswith("VmHWM")]
    return int(peak)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
