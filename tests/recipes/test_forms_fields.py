"""A time is read in the shop's zone, on the nights the clocks change too."""

from datetime import UTC, datetime

import pytest
from flask import Flask, g
from freezegun import freeze_time
from wtforms import Form

from app.basics.errors import RuleError
from app.recipes.forms.fields import HumidityField, InstantField
from app.web.frame import Frame


class Moment(Form):
    at = InstantField("At")
    humidity = HumidityField("Humidity")


def read(app: Flask, typed: str) -> datetime:
    with app.test_request_context():
        g.frame = Frame(today=datetime(2026, 11, 1, tzinfo=UTC).date(), zone="America/Denver")
        found = Moment().at.read(typed)
        assert isinstance(found, datetime)
        return found


def test_a_time_is_that_of_the_shop(app: Flask) -> None:
    assert read(app, "2026-11-25T08:30") == datetime(2026, 11, 25, 15, 30, tzinfo=UTC)


@pytest.mark.parametrize("typed", ["soon", "2026-11-25", "2026-11-25T25:00", "2026-13-01T08:00", ""])
def test_what_is_no_moment_is_refused(app: Flask, typed: str) -> None:
    with pytest.raises(RuleError):
        read(app, typed)


@pytest.mark.parametrize(
    ("now", "meant"),
    [
        (datetime(2026, 11, 1, 7, 40, tzinfo=UTC), datetime(2026, 11, 1, 7, 30, tzinfo=UTC)),
        (datetime(2026, 11, 1, 8, 40, tzinfo=UTC), datetime(2026, 11, 1, 8, 30, tzinfo=UTC)),
    ],
)
def test_half_past_one_of_the_night_the_clocks_go_back_is_the_later_that_has_been(
    app: Flask, now: datetime, meant: datetime
) -> None:
    with freeze_time(now):
        assert read(app, "2026-11-01T01:30") == meant
