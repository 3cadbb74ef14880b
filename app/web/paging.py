"""Which rows of a long list one page shows, and where the pages before and after are."""

from dataclasses import dataclass
from urllib.parse import urlencode

from flask import request, url_for

PAGE_SIZE = 24
MOST_DIGITS = 6


@dataclass(frozen=True)
class PageSheet:
    """One page of a list: first and last row from 1 on, and the links around it."""

    first: int
    last: int
    total: int
    offset: int
    previous_href: str
    next_href: str


def page_of(total: int, endpoint: str, *, size: int = PAGE_SIZE) -> PageSheet:
    """The page the address asks for by `?page=`; what is no page of the list becomes its first or its last."""
    asked = request.args.get("page", "1")
    number = int(asked) if asked.isascii() and asked.isdigit() and len(asked) <= MOST_DIGITS else 1
    last_page = max(1, -(-total // size))
    number = min(max(number, 1), last_page)
    offset = (number - 1) * size
    return PageSheet(
        first=min(offset + 1, total),
        last=min(offset + size, total),
        total=total,
        offset=offset,
        previous_href=_href(endpoint, number - 1) if number > 1 else "",
        next_href=_href(endpoint, number + 1) if number < last_page else "",
    )


def href_keeping(endpoint: str, **more: object) -> str:
    """The address of `endpoint` with what the present address says besides the page, and `more`."""
    kept = {name: words for name, words in request.args.items() if name != "page" and words}
    # Written out by itself: the names come from the address, and some mean something else to `url_for`.
    query = urlencode({**kept, **more})
    path = url_for(endpoint, **(request.view_args or {}))
    return f"{path}?{query}" if query else path


def _href(endpoint: str, number: int) -> str:
    return href_keeping(endpoint, page=number)
