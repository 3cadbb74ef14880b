"""Business miles times the rate of 2023, against the tax office's own worked product.

Source: IRS, changes to the 2023 instructions for Schedule C, p. C-7, line 9,
https://www.irs.gov/forms-pubs/changes-to-the-2023-instructions-for-schedule-c-form-1040: 1,250 miles at 65.5 cents
are 818.75.

Derived: no published example shares one trip over several pieces, so the two shares below are our own arithmetic on
that product, by largest remainder.
"""

from datetime import date
from decimal import Decimal

from sqlalchemy.orm import Session

from app.basics.money import half_up
from app.shop.models import Shop
from app.trips.queries import trip_by_id
from app.trips.rules import Distance, DistanceUnit, amount_at, rate_on, shares_of
from tests.builders.pieces import a_piece
from tests.builders.trips import a_trip, miles

MILES, PRODUCT = 1_250, 818_75
DAY = date(2023, 8, 15)


def test_the_published_product_comes_out() -> None:
    assert rate_on(DAY) == Decimal("65.5")
    assert half_up(rate_on(DAY) * MILES) == PRODUCT
    assert amount_at(Distance(MILES * 100, DistanceUnit.MILE), 65_50, DistanceUnit.MILE) == PRODUCT


def test_a_trip_of_that_length_in_the_ledger_costs_the_same(session: Session) -> None:
    session.get_one(Shop, 1).started_on = date(2023, 1, 1)
    session.flush()
    trip = a_trip(session, on_date=DAY, distance=miles(MILES))
    assert trip_by_id(session, trip.id).charged_cents == PRODUCT


def test_seven_equal_pieces_share_it_to_the_cent() -> None:
    # Derived.
    assert shares_of(PRODUCT, [1] * 7) == [116_97] * 3 + [116_96] * 4


def test_pieces_of_unlike_value_share_it_to_the_cent(session: Session) -> None:
    # Derived; 250 and 800 are the values of a published basket.
    assert shares_of(PRODUCT, [250, 800]) == [194_94, 623_81]
    session.get_one(Shop, 1).started_on = date(2023, 1, 1)
    session.flush()
    pieces = [a_piece(session, bought_on=DAY, price_cents=cents).id for cents in (250_00, 800_00)]
    trip = a_trip(session, *pieces, on_date=DAY, distance=miles(MILES), by_value=True)
    assert [share.cents for share in trip_by_id(session, trip.id).shares] == [194_94, 623_81]
