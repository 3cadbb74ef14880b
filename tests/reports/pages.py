"""Reading the pages and lists of the books in a test."""

import csv
import io
import re
from html import unescape

from tests.examining_client import ExaminingClient


def words_of(client: ExaminingClient, path: str) -> str:
    """What a page says, without its tags."""
    return said(client.get(path).text)


def said(html: str) -> str:
    """What the main part of a page's text says, without its tags."""
    main = html.partition('tabindex="-1">')[2]
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", main)))


def rows_of(client: ExaminingClient, path: str) -> list[dict[str, str]]:
    """The rows of a CSV file by its header."""
    return list(csv.DictReader(io.StringIO(client.get(path).text)))
