"""Who comes to the door in the tests of this room, and how they sign in and are paired."""

import re

from werkzeug.test import TestResponse

from tests.examining_client import ExaminingClient

GOOD = "copper kettle on the sill"
OTHER = "seventeen lame geese"
PHONE = "192.168.1.20"


def sign_in(client: ExaminingClient, passphrase: str = GOOD, path: str = "/sign-in", **fields: str) -> TestResponse:
    return client.post_form(path, {"passphrase": passphrase, **fields})


def csrf_of(client: ExaminingClient) -> str:
    text = client.get("/sign-in").text
    return text.split('name="csrf_token" value="')[1].split('"')[0]


def code_from(inside: ExaminingClient) -> str:
    """A code as it stands on the page of a signed-in browser, typed off it."""
    page = inside.post_form("/settings/phones/pair", {}).text
    typed = re.search(r"and type<br><code>([2-9A-Z ]+)</code>", page)
    assert typed is not None, page
    return typed[1].replace(" ", "")


def pair(client: ExaminingClient, code: str, name: str = "garage phone") -> TestResponse:
    return client.post_form(f"/pair/{code}", {"name": name})
