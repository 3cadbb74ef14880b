"""A test client that examines every page it fetches and counts the queries behind it."""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from html.parser import HTMLParser
from typing import Any

from flask import Flask
from sqlalchemy import event
from werkzeug.test import TestResponse

ORIGIN = "http://localhost"
QUERY_CEILING = 40
CHOSEN = {"radio", "checkbox", "file", "submit", "button"}
VOID = {"input", "img", "meta", "link", "br", "hr", "path", "rect", "circle", "line", "use"}


class Page(HTMLParser):
    """What the examination needs to know of one page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.headings: list[str] = []
        self.title = ""
        self.labels_for: set[str] = set()
        self.ids: list[str] = []
        self.controls: list[dict[str, str | None]] = []
        self.forms: list[dict[str, Any]] = []
        self.troubles: list[str] = []
        self.links: list[str] = []
        self._open: list[str] = []
        self._in_label = 0
        self._svg = 0
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self._examine_attributes(tag, found)
        if tag not in VOID:
            self._open.append(tag)
        self._svg += tag == "svg"
        if tag == "h1":
            self.headings.append("")
        if tag == "label":
            self._in_label += 1
            self.labels_for.add(found.get("for") or "")
        if tag == "form":
            self.forms.append(
                {
                    "method": (found.get("method") or "get").lower(),
                    "action": found.get("action"),
                    "fields": {},
                    "filled": {},
                }
            )
        if tag == "a" and found.get("href"):
            self.links.append(str(found["href"]))
        if tag in {"input", "select", "textarea"}:
            self._keep_control(tag, found)

    def handle_endtag(self, tag: str) -> None:
        self._in_label -= tag == "label"
        self._svg -= tag == "svg"
        if tag in self._open:
            while self._open and self._open.pop() != tag:
                pass

    def handle_data(self, data: str) -> None:
        if not self._open:
            return
        if "h1" in self._open:
            self.headings[-1] += data
        if self._open[-1] == "title" and not self._svg:
            self.title += data
        if self._open[-1] == "script" and data.strip():
            self.troubles.append("a script is written into the page")
        if self._open[-1] == "style":
            self.troubles.append("a style block is written into the page")

    def _examine_attributes(self, tag: str, found: dict[str, str | None]) -> None:
        if "style" in found:
            self.troubles.append(f"<{tag}> carries a style attribute")
        self.troubles += [f"<{tag}> carries {name}" for name in found if name.startswith("on")]
        self.troubles += [
            f"<{tag}> reaches outside: {found[name]}"
            for name in ("src", "href", "action")
            if re.match(r"(?:[a-z]+:)?//", found.get(name) or "")
        ]
        if found.get("id"):
            self.ids.append(str(found["id"]))
        if tag == "img" and not {"alt", "width", "height"} <= set(found):
            self.troubles.append("an image lacks alt, width or height")

    def _keep_control(self, tag: str, found: dict[str, str | None]) -> None:
        if self.forms:
            fields = self.forms[-1]["fields"]
            name, value = found.get("name") or "", found.get("value") or ""
            if tag == "input" and found.get("type") == "hidden":
                fields[name] = value
            if tag == "input" and (found.get("type") not in CHOSEN or "checked" in found):
                self.forms[-1]["filled"][name] = value
        if found.get("type") not in {"hidden", "submit", "button"}:
            self.controls.append({**found, "labelled": "yes" if self._in_label else None})

    def examine(self) -> list[str]:
        """Everything that is wrong with the page."""
        troubles = list(self.troubles)
        if len(self.headings) != 1:
            troubles.append(f"{len(self.headings)} first headings instead of one")
        elif not self.title.removeprefix("Error: ").startswith(self.headings[0].strip()):
            troubles.append(f"title {self.title!r} does not begin with the heading {self.headings[0].strip()!r}")
        troubles += [
            f"no label for {control.get('name')}"
            for control in self.controls
            if not (control["labelled"] or control.get("id") in self.labels_for or control.get("aria-label"))
        ]
        doubled = {one for one in self.ids if self.ids.count(one) > 1}
        troubles += [f"id {one} stands twice" for one in sorted(doubled)]
        for form in self.forms:
            if form["method"] == "post" and not form["fields"].get("csrf_token"):
                troubles.append(f"the form to {form['action']} has no token")
        return troubles


class ExaminingClient:
    """Fetches pages as a browser on this computer would, and fails on a page that is not sound."""

    def __init__(self, app: Flask) -> None:
        self.app = app
        self.raw = app.test_client()
        self.queries = 0

    def get(self, path: str, *, status: int = 200, **kwargs: Any) -> TestResponse:
        """Fetch and examine a page."""
        with self._counting():
            response = self.raw.get(path, **kwargs)
        assert response.status_code == status, f"GET {path}: {response.status_code}\n{response.text[:2000]}"
        self._examine(path, response)
        assert self.queries <= QUERY_CEILING, f"GET {path} asked {self.queries} queries"
        return response

    def post(self, path: str, fields: Mapping[str, Any], **kwargs: Any) -> TestResponse:
        """Post exactly these fields from this shop's own address."""
        headers = {"Origin": ORIGIN, **kwargs.pop("headers", {})}
        with self._counting():
            response = self.raw.post(path, data=dict(fields), headers=headers, **kwargs)
        assert response.status_code < 500 or response.status_code in {503, 507}, response.text[:3000]
        self._examine(path, response)
        return response

    def post_form(
        self, path: str, fields: Mapping[str, Any], *, from_page: str | None = None, action: str | None = None
    ) -> TestResponse:
        """Open the page, fill its form in and send it; hidden fields come from the page itself."""
        page = Page(self.get(from_page or path).text)
        wanted = action or path
        forms = [form for form in page.forms if form["method"] == "post" and (form["action"] or path) == wanted]
        assert forms, f"no form on {from_page or path} leads to {wanted}"
        return self.post(wanted, {**forms[0]["fields"], **fields})

    def _examine(self, path: str, response: TestResponse) -> None:
        if not (response.content_type or "").startswith("text/html") or response.status_code in {301, 302, 303, 308}:
            return
        troubles = Page(response.text).examine()
        assert not troubles, f"{path}: " + "; ".join(troubles)

    @contextmanager
    def _counting(self) -> Iterator[None]:
        self.queries = 0
        engine = self.app.extensions["tackcloth_ledger"].engine

        def count(_connection: Any, _cursor: Any, statement: str, *_rest: Any) -> None:
            self.queries += not statement.startswith(("BEGIN", "PRAGMA"))

        event.listen(engine, "before_cursor_execute", count)
        try:
            yield
        finally:
            event.remove(engine, "before_cursor_execute", count)
