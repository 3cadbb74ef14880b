"""The declarative base: every constraint gets a predictable name, every instant is UTC."""

from datetime import UTC, datetime
from enum import StrEnum
from typing import Annotated, Any

from sqlalchemy import BigInteger, Dialect, MetaData, String, TypeDecorator
from sqlalchemy import types as sql_types
from sqlalchemy.orm import DeclarativeBase, mapped_column

NAMING = {
    "ix": "ix_%(column_0_N_label)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}

# Money is whole minor units; wide enough for any currency on any database.
Cents = Annotated[int, mapped_column(BigInteger)]


class UtcDateTime(TypeDecorator[datetime]):
    """An instant: refuses naive values, stores UTC without an offset, gives back aware UTC."""

    impl = sql_types.DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Turn an aware instant into the UTC value that is stored."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("an instant needs its time zone")
        return value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Give a stored value its zone back."""
        return None if value is None else value.replace(tzinfo=UTC)


class Word(TypeDecorator[Any]):
    """A StrEnum stored as its plain word, so that the file stays readable without this program."""

    impl = String
    cache_ok = True

    def __init__(self, kind: type[StrEnum], length: int = 32) -> None:
        super().__init__(length)
        self.kind = kind
        # Asking the enum itself takes several times as long, and a page may read thousands of words.
        self._members = {member.value: member for member in kind}

    def process_bind_param(self, value: StrEnum | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        """Store the word; a word outside the enum is refused."""
        return None if value is None else self.kind(value).value

    def process_result_value(self, value: str | None, dialect: Dialect) -> StrEnum | None:  # noqa: ARG002
        """Give the enum member back; a word outside the enum is refused."""
        return None if value is None else self._members.get(value) or self.kind(value)


class Base(DeclarativeBase):
    """Base of every mapped class."""

    metadata = MetaData(naming_convention=NAMING)
