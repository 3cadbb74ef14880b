"""Run every check of the project: formatting, lint, types, import order, tests.

`python -m tests.check` runs all of it with small counts, `--long` with the full ones, `--quick` leaves the
browser out.
"""

import argparse
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WORKERS = str(min(4, os.cpu_count() or 1))


def commands(*, is_long: bool, is_quick: bool) -> list[list[str]]:
    """What is run, in order."""
    python = sys.executable
    tests = [python, "-m", "pytest", "-n", WORKERS, "--dist", "loadgroup", "-p", "no:cacheprovider"]
    if is_long:
        tests.append("--long")
    if is_quick:
        tests += ["-m", "not browser"]
    return [
        [python, "-m", "ruff", "format", "--check", "."],
        [python, "-m", "ruff", "check", "."],
        [python, "-m", "mypy"],
        [python, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()"],
        tests,
    ]


def main() -> int:
    """Run the checks; stop at the first that fails and give its exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.check", description=__doc__)
    parser.add_argument("--long", action="store_true", help="full counts")
    parser.add_argument("--quick", action="store_true", help="without the browser")
    wanted = parser.parse_args()
    for command in commands(is_long=wanted.long, is_quick=wanted.quick):
        print("+", " ".join(command[1:]), flush=True)
        code = subprocess.run(command, cwd=ROOT, check=False).returncode
        if code:
            return code
    return 0


if __name__ == "__main__":
    sys.exit(main())
