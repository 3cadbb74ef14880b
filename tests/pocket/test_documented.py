"""The page about captures is true: its examples are run as they stand, and its limits are those of the rules."""

import json
import re
import shlex
from itertools import pairwise
from pathlib import Path
from typing import Any

from app.database.unit_of_work import Ledger
from app.photos.rules import MOST_BYTES
from app.pocket.rules import LARGEST_BODY, LARGEST_RESCUE, MEMBERS, MOST_PHOTOS, SYMBOLS
from tests.examining_client import ExaminingClient

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "captures.md").read_text(encoding="utf-8")
EXAMPLE = re.compile(r"```sh\n(curl .*?)```\n\n```json (\d+)\n(.*?)```", re.DOTALL)
TAG = re.compile(r"\b[34679CDFHJKMNPRTWX]{3}\b")


def asked(command: str) -> tuple[str, dict[str, str], str]:
    """The path, the headers and the body of a command as it stands on the page."""
    words = shlex.split(command.replace("\\\n", " "))
    address = next(word for word in words if word.startswith("http://localhost"))
    headers = [after for word, after in pairwise(words) if word == "-H"]
    body = next(after for word, after in pairwise(words) if word == "-d")
    return address.removeprefix("http://localhost"), dict(header.split(": ", 1) for header in headers), body


def test_every_example_answers_as_the_page_says(client: ExaminingClient, ledger: Ledger) -> None:  # noqa: ARG001
    examples = EXAMPLE.findall(PAGE)
    assert len(examples) == PAGE.count("```sh")
    for command, status, told in examples:
        path, headers, body = asked(command)
        answer = client.raw.put(path, data=body, headers=headers)
        assert answer.status_code == int(status), (path, answer.text)
        assert _without_tag(answer.get_json()) == json.loads(told), path
    assert {status for _, status, _ in examples} == {"201", "202", "409", "422"}


def test_the_page_names_every_member_and_the_limits() -> None:
    assert [member for member in MEMBERS if f"`{member}`" not in PAGE] == []
    assert SYMBOLS in PAGE
    assert f"{MOST_BYTES:,}" in PAGE
    assert f"up to {MOST_PHOTOS} of a find" in PAGE
    assert (LARGEST_BODY, LARGEST_RESCUE) == (64 * 1024, 420 * 1024**2)
    assert "at most 64 KiB" in PAGE
    assert "at most 420 MB" in PAGE


def _without_tag(told: dict[str, Any]) -> dict[str, Any]:
    """The answer with the piece's tag, which is drawn by chance, as the page writes it."""
    made = told.get("made")
    return told if made is None else {**told, "made": {name: TAG.sub("<tag>", words) for name, words in made.items()}}
