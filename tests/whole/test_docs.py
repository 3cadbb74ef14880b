"""The documents name every page, command and setting, their links lead somewhere, and the README starts the program."""

import re
from dataclasses import fields
from pathlib import Path

import pytest
from flask import Flask

from app.basics.settings import Settings, load_settings

ROOT = Path(__file__).resolve().parent.parent.parent
DOCS = ROOT / "docs"


def pages() -> list[Path]:
    return [ROOT / "README.md", ROOT / "DEVELOPERS.md", *DOCS.rglob("*.md"), *(ROOT / "demo_data").glob("*.md")]


@pytest.mark.parametrize("page", pages(), ids=lambda path: str(path.relative_to(ROOT)))
def test_every_link_of_a_document_leads_to_a_file(page: Path) -> None:
    for link in re.findall(r"\]\(([^)#]+)", page.read_text(encoding="utf-8")):
        if not link.startswith("http"):
            assert (page.parent / link).exists(), link


def test_every_address_is_written_down(app: Flask) -> None:
    written = (DOCS / "guide" / "addresses.md").read_text(encoding="utf-8")
    rules = {re.sub(r"<(?:\w+:)?(\w+)>", r"<\1>", rule.rule) for rule in app.url_map.iter_rules()}
    assert [rule for rule in sorted(rules) if f"`{rule}`" not in written] == []
    assert [known for known in re.findall(r"`(/[^`]*)`", written) if known not in rules] == []


def test_every_label_the_guide_quotes_stands_on_a_page() -> None:
    sources = [*(ROOT / "app").rglob("*.html"), *(ROOT / "app").rglob("*.py")]
    shown = "\n".join(path.read_text(encoding="utf-8") for path in sources)
    quoted = set()
    for page in (DOCS / "guide").glob("*.md"):
        prose = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
        quoted |= {" ".join(words.split()) for words in re.findall(r'"([^"]+)"', prose)}
    assert len(quoted) >= 10
    assert [words for words in sorted(quoted) if words not in shown] == []


def test_the_settings_file_of_the_guide_is_understood(tmp_path: Path) -> None:
    written = (DOCS / "guide" / "settings.md").read_text(encoding="utf-8")
    (tmp_path / "settings.toml").write_text(written.split("```toml\n")[1].split("```")[0], encoding="utf-8")
    found = load_settings({"data_dir": str(tmp_path)}, {})
    assert (found.port, found.trusted_hosts) == (8500, ("garage.local",))


def test_every_setting_is_written_down() -> None:
    written = (DOCS / "guide" / "settings.md").read_text(encoding="utf-8")
    names = {field.name for field in fields(Settings)} - {"is_demo"}
    assert [name for name in sorted(names) if f"`{name}`" not in written] == []


def test_every_command_has_its_heading() -> None:
    from app.cli import main

    written = (DOCS / "guide" / "commands.md").read_text(encoding="utf-8")
    assert [name for name in sorted(main.commands) if f"## tackcloth {name}" not in written] == []


def test_the_readme_opens_with_the_job_and_two_commands_of_one_line() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```sh\n(.*?)```", text, re.DOTALL)
    assert [len(block.strip().splitlines()) for block in blocks[:2]] == [1, 1]
    assert "tackcloth demo" in blocks[0]
    assert "tests.check" in blocks[1]


def test_the_ci_script_runs_the_readmes_own_test_command() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "README.md" in script
    assert "tests.check" not in script


def test_every_decision_is_in_the_index() -> None:
    index = (DOCS / "decisions" / "README.md").read_text(encoding="utf-8")
    for path in (DOCS / "decisions").glob("0*.md"):
        assert f"({path.name})" in index
