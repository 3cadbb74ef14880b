"""Enter the demo's fees by date, places of sales tax, deposits and refunds through the actions of the rooms."""

from datetime import datetime

from app.demo.actions.entering import DemoShop, capture_id, known
from app.demo.rules import selling as told
from app.floor.actions import add_fee, word_listing
from app.sales.actions import add_tax_place, add_tax_rate, end_deposit, record_refund, take_deposit
from app.sales.rules import DepositEnding, NewDeposit, NewEnd, NewRefund


def put_into_words(shop: DemoShop, row: told.WordingRecord, now: datetime) -> None:
    """Offer a piece in the owner's own words."""
    word_listing(shop.session, shop.piece_id(row.piece), row.words, version=None, now=now)


def say_channel_fee(shop: DemoShop, row: told.ChannelFeeRecord, now: datetime) -> None:
    """Say what a channel takes from a day on."""
    add_fee(
        shop.session,
        known(shop.channels, row.channel, "channel"),
        from_date=shop.date_of(row.from_day),
        percent_hundredths=row.percent,
        fixed_cents=row.fixed_fee,
        note=row.note,
        now=now,
    )


def say_tax_rate(shop: DemoShop, row: told.TaxRateRecord, now: datetime) -> None:
    """Say the rate of a place of sales tax from a day on; the place is added with its first rate."""
    if row.place not in shop.tax_places:
        shop.tax_places[row.place] = add_tax_place(shop.session, name=row.place, basis=row.rounded).id
    place_id, from_date = shop.tax_places[row.place], shop.date_of(row.from_day)
    add_tax_rate(shop.session, place_id, from_date=from_date, rate_ppm=row.rate, now=now)


def pay_deposit(shop: DemoShop, row: told.DepositRecord, now: datetime) -> None:
    """Take a deposit."""
    new = NewDeposit(shop.piece_id(row.piece), row.payer, shop.date_of(row.day), row.amount, row.note)
    number = capture_id("deposits", row.line)
    shop.deposits[row.line] = take_deposit(shop.session, new, capture_id=number, now=now).id


def end_of_deposit(shop: DemoShop, row: told.DepositRecord, now: datetime) -> None:
    """Give a deposit back, or keep it."""
    how = row.how or DepositEnding.REFUNDED
    on_date = shop.date_of(row.end_day or 0)
    end_deposit(shop.session, NewEnd(shop.deposits[row.line], how, on_date, row.amount, row.reason), now=now)


def give_back(shop: DemoShop, row: told.RefundRecord, now: datetime) -> None:
    """Give money back in part on the last sale of a piece."""
    new = NewRefund(
        known(shop.sales, row.piece, "sale of the piece"),
        shop.date_of(row.day),
        row.refund,
        row.tax_refunded,
        row.fees_back,
        row.reason,
    )
    record_refund(shop.session, new, capture_id=capture_id("refunds", row.line), now=now)
