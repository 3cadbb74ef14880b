"""Choices that several of the desk's forms offer."""

from collections.abc import Iterable

from app.pieces.queries import SourceRow


def source_choices(known: Iterable[SourceRow]) -> list[tuple[str, str]]:
    """The places to choose from, the one used most first; a free one says so."""
    by_use = sorted(known, key=lambda source: -source.pieces)
    return [(str(source.id), f"{source.name} (free)" if source.is_free else source.name) for source in by_use]
