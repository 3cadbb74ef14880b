"""Nothing in the project names this machine, its makers' tools or the program's own planning."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
KINDS = {".py", ".html", ".css", ".js", ".md", ".csv", ".toml", ".svg", ".mako", ""}
FORBIDDEN = re.compile(
    r"https?://(?!(?:www\.w3\.org/2000/svg|127\.0\.0\.1|localhost))\S*(?:pypi|registry|mirror)"
    r"|/" + r"work/(?:main|shared)|/" + r"tmp/(?:plan|venv)"
    r"|\bTO" + r"DO\b|\bFIX" + r"ME\b|\bX" + r"XX\b"
)


def files() -> list[Path]:
    skip = {
        ".git",
        ".venv",
        "__pycache__",
        ".mypy_cache",
        ".ruff_cache",
        ".pytest_cache",
        ".hypothesis",
        ".import_linter_cache",
    }
    return [
        path
        for path in ROOT.rglob("*")
        if path.is_file() and path.suffix in KINDS and not skip & set(path.relative_to(ROOT).parts)
    ]


def test_no_file_names_this_machine_or_an_open_end() -> None:
    found = [
        f"{path.relative_to(ROOT)}: {match.group()}"
        for path in files()
        if (match := FORBIDDEN.search(path.read_text(encoding="utf-8", errors="replace")))
    ]
    assert found == []


def test_the_top_level_is_fixed() -> None:
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "app", "migrations", "tests", "demo_data", "docs"}
    present = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert present - {"build", "dist"} <= allowed
