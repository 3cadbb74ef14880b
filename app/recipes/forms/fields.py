"""Fields of the room: an instant in the shop's zone, a temperature and a humidity."""

from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from wtforms.widgets import DateTimeLocalInput

from app.basics import clock
from app.basics.dates import parse_day
from app.basics.errors import RuleError
from app.basics.temperature import parse_temperature, temperature_plain
from app.web.forms import ReadField
from app.web.frame import frame

ASK_INSTANT = "Give the day and the time, like 2026-11-25 16:40."
MOST_HUMID = 100


class InstantField(ReadField):
    """A day with a time, as the shop's clock shows it; data is an instant in UTC."""

    widget = DateTimeLocalInput()

    def read(self, text: str) -> datetime:
        """The instant at that time of the shop's zone; of one the clocks pass twice, the later that has been."""
        day, _, time = text.strip().replace("T", " ").partition(" ")
        try:
            hours = datetime.strptime(time.strip()[:5], "%H:%M").time()  # noqa: DTZ007 - the zone is given below
        except ValueError as unreadable:
            raise RuleError(ASK_INSTANT) from unreadable
        local = datetime.combine(parse_day(day), hours, tzinfo=ZoneInfo(frame().zone))
        first, second = (local.replace(fold=fold).astimezone(UTC) for fold in (0, 1))
        return second if second <= clock.now() else first

    def plain(self, value: datetime) -> str:
        """The form a box for a day and a time wants."""
        return f"{value.astimezone(ZoneInfo(frame().zone)):%Y-%m-%dT%H:%M}"


class TemperatureField(ReadField):
    """The temperature of the room in the shop's degrees; data is tenths of a degree C."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        kwargs.setdefault("render_kw", {"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> int:
        """Tenths of a degree C."""
        return parse_temperature(text, frame().units)

    def plain(self, value: int) -> str:
        """In the shop's degrees."""
        return temperature_plain(value, frame().units)


class HumidityField(ReadField):
    """Relative humidity in whole percent, 0 to 100."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        kwargs.setdefault("render_kw", {"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> int:
        """Whole percent."""
        bare = text.strip().removesuffix("%").strip()
        if not (bare.isascii() and bare.isdigit() and len(bare) <= len(str(MOST_HUMID)) and int(bare) <= MOST_HUMID):
            raise RuleError("Humidity is a whole percentage from 0 to 100, like 55.")
        return int(bare)

    def plain(self, value: int) -> str:
        """Digits."""
        return str(value)
