"""The house rules that a tool can hold: import order, sizes, who commits, who asks the time."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
APP = ROOT / "app"
SOURCE_LIMIT = 400
TEST_LIMIT = 500
CONFTEST_LIMIT = 150
FUNCTION_LIMIT = 40
ROUTE_LIMIT = 20
TEMPLATE_LIMIT = 120
STYLE_LIMIT = 40 * 1024
SCRIPT_LIMIT = 40 * 1024


def sources() -> list[Path]:
    return sorted([*APP.rglob("*.py"), *(ROOT / "migrations").rglob("*.py")])


def test_the_import_contracts_hold() -> None:
    from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

    assert lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True) == EXIT_STATUS_SUCCESS


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(ROOT)))
def test_a_source_file_and_its_functions_stay_short(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= SOURCE_LIMIT
    for function in functions(text):
        limit = ROUTE_LIMIT if is_route(function) else FUNCTION_LIMIT
        assert length(function) <= limit, f"{function.name} has {length(function)} lines, {limit} allowed"


def test_test_files_stay_short() -> None:
    for path in (ROOT / "tests").rglob("*.py"):
        limit = CONFTEST_LIMIT if path.name == "conftest.py" else TEST_LIMIT
        assert len(path.read_text(encoding="utf-8").splitlines()) <= limit, path


def test_templates_stay_short() -> None:
    for path in APP.rglob("*.html"):
        assert len(path.read_text(encoding="utf-8").splitlines()) <= TEMPLATE_LIMIT, path


def test_style_sheets_and_scripts_stay_small_together() -> None:
    assert sum(path.stat().st_size for path in APP.rglob("*.css")) <= STYLE_LIMIT
    assert sum(path.stat().st_size for path in APP.rglob("*.js")) <= SCRIPT_LIMIT


def test_only_the_unit_of_work_commits() -> None:
    for path in APP.rglob("*.py"):
        if path.parent.name != "database":
            assert not re.search(r"\.(commit|rollback)\(", path.read_text(encoding="utf-8")), path


def test_rooms_have_no_attics() -> None:
    attics = {"helpers", "utils", "util", "misc", "common", "manager", "managers"}
    found = [path for path in APP.rglob("*") if path.stem in attics]
    assert found == []


def test_every_module_says_what_it_is_for() -> None:
    for path in sources():
        text = path.read_text(encoding="utf-8")
        if text.strip():
            assert ast.get_docstring(ast.parse(text)), path


def test_migrations_import_nothing_of_the_application() -> None:
    for path in (ROOT / "migrations" / "versions").glob("*.py"):
        assert not re.search(r"^\s*(from|import) app\b", path.read_text(encoding="utf-8"), re.MULTILINE), path


def functions(text: str) -> Iterator[ast.FunctionDef]:
    return (node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.FunctionDef))


def is_route(function: ast.FunctionDef) -> bool:
    marks = [mark.func for mark in function.decorator_list if isinstance(mark, ast.Call)]
    return any(isinstance(mark, ast.Attribute) and mark.attr in {"route", "get", "post", "put"} for mark in marks)


def length(function: ast.FunctionDef) -> int:
    """Lines of the body; the signature and the docstring do not count."""
    body = function.body
    if isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant) and len(body) > 1:
        body = body[1:]
    return (body[-1].end_lineno or 0) - body[0].lineno + 1
