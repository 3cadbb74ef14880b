"""Sales tax by place and quarter, and the channels' statements, read from rows."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.costs.rules import AdjustedPart
from app.pieces.models import Piece
from app.reports.actions.statements import NONE_YET
from app.reports.queries.sales_tax import NO_PLACE, tax_year
from app.reports.queries.statements import (
    NO_CHANNEL,
    channel_sales,
    channel_year,
    channel_years,
    years_with_sales,
)
from app.sales.actions import strike_sale
from app.sales.models import Sale
from tests.builders.floor import a_channel
from tests.builders.reports import NOW, came_back, found, sold
from tests.builders.taxes import a_statement, a_tax_place, corrected, refunded, taxed_in
from tests.reports.counting import queries_of

FOUND = date(2026, 1, 5)


def a_sale_on(session: Session, on: date, cents: int, *, tax: int = 0, delivery: int = 0) -> Sale:
    piece = found(session, FOUND, 10_00)
    return sold(session, piece, on, cents, tax=tax, delivery=(delivery, 0))


def through(session: Session, sale: Sale, channel_id: int) -> Sale:
    sale.channel_id = channel_id
    session.flush()
    return sale


def test_each_place_and_quarter_says_what_was_taxed_by_whom(session: Session) -> None:
    county, city = a_tax_place(session), a_tax_place(session, "Old town")
    taxed_in(session, a_sale_on(session, date(2026, 2, 1), 100_00, tax=8_00, delivery=10_00), county)
    taxed_in(session, a_sale_on(session, date(2026, 3, 31), 50_00), county, channel_tax=4_00)
    taxed_in(session, a_sale_on(session, date(2026, 3, 31), 30_00), city, reason="for resale")
    taxed_in(session, a_sale_on(session, date(2026, 4, 1), 20_00), None)

    sheet = tax_year(session, 2026)

    assert [(one.quarter, one.place) for one in sheet.places] == [(1, "Harbour county"), (1, "Old town"), (2, NO_PLACE)]
    first = sheet.places[0].sum
    assert (first.gross, first.by_shop, first.by_channel, first.not_taxed) == (160_00, 110_00, 50_00, 0)
    assert (first.tax, first.owed, first.channel_tax) == (8_00, 8_00, 4_00)
    assert sheet.places[1].sum.reasons == (("for resale", 30_00),)
    assert (sheet.all.gross, sheet.all.owed) == (210_00, 8_00)
    assert [(quarter, sums.gross) for quarter, sums, _ in sheet.quarters] == [(1, 190_00), (2, 20_00)]


def test_what_is_given_back_counts_in_its_own_quarter_at_the_place_of_the_sale(session: Session) -> None:
    county = a_tax_place(session)
    whole = taxed_in(session, a_sale_on(session, date(2026, 2, 1), 100_00, tax=8_00), county)
    part = taxed_in(session, a_sale_on(session, date(2026, 2, 2), 50_00, tax=4_00), county)
    came_back(session, whole, date(2026, 5, 1), 100_00, tax=8_00)
    refunded(session, part, date(2026, 8, 1), 10_00, tax=80)

    sums = {one.quarter: one.sum for one in tax_year(session, 2026).places}

    assert (sums[1].owed, sums[2].owed, sums[3].owed) == (12_00, -8_00, -80)
    assert (sums[2].given_back_by_shop, sums[3].taxable) == (100_00, -10_00)


def test_a_correction_counts_in_the_quarter_it_is_dated(session: Session) -> None:
    county = a_tax_place(session)
    sale = taxed_in(session, a_sale_on(session, date(2026, 2, 1), 100_00, tax=8_00), county)
    back = came_back(session, sale, date(2026, 2, 10), 100_00, tax=8_00)
    for part, cents in ((AdjustedPart.TAX, 50), (AdjustedPart.PRICE, 6_00), (AdjustedPart.FEES, 99)):
        corrected(session, "sale", sale.id, part, cents, on=date(2026, 5, 1), piece_id=sale.piece_id)
    corrected(session, "sale_return", back.id, AdjustedPart.TAX, 20, on=date(2026, 5, 2), piece_id=sale.piece_id)
    corrected(session, "sale_return", back.id, AdjustedPart.REFUND, 3_00, on=date(2026, 5, 2), piece_id=sale.piece_id)

    sums = {one.quarter: one.sum for one in tax_year(session, 2026).places}

    assert (sums[1].tax, sums[1].tax_back, sums[1].gross) == (8_00, 8_00, 100_00)
    assert (sums[2].tax, sums[2].tax_back, sums[2].owed) == (50, 20, 30)
    assert (sums[2].gross, sums[2].given_back) == (6_00, 3_00)


def test_struck_sales_and_other_years_are_not_in_it(session: Session) -> None:
    strike_sale(session, a_sale_on(session, date(2026, 2, 1), 100_00, tax=8_00).id, reason="another", now=NOW)
    a_sale_on(session, date(2026, 2, 1), 40_00, tax=3_00)

    assert tax_year(session, 2026).all.tax == 3_00
    assert tax_year(session, 2025).entries == ()


def test_the_rows_of_a_place_and_quarter_are_those_of_its_sum(session: Session) -> None:
    county = a_tax_place(session)
    taxed_in(session, a_sale_on(session, date(2026, 2, 1), 100_00, tax=8_00), county)
    a_sale_on(session, date(2026, 2, 1), 30_00)
    a_sale_on(session, date(2026, 7, 1), 20_00)
    sheet = tax_year(session, 2026)

    assert [one.gross for one in sheet.chosen(1, county.id)] == [100_00]
    assert [one.gross for one in sheet.chosen(1, 0)] == [30_00]
    assert [one.gross for one in sheet.chosen(None, 0)] == [30_00, 20_00]
    assert len(sheet.chosen(None, None)) == 3


def test_the_summary_asks_as_many_queries_for_many_sales_as_for_few(session: Session) -> None:
    a_sale_on(session, date(2026, 2, 1), 100_00, tax=8_00)
    few = queries_of(session, lambda: (tax_year(session, 2026), channel_years(session, 2026)))
    for _ in range(6):
        sale = a_sale_on(session, date(2026, 2, 1), 100_00, tax=8_00)
        refunded(session, sale, date(2026, 3, 1), 5_00)

    assert queries_of(session, lambda: (tax_year(session, 2026), channel_years(session, 2026))) == few


def test_a_channel_took_in_all_that_buyers_paid_before_fees_and_refunds(session: Session) -> None:
    fair = a_channel(session, "the fair")
    sale = through(session, a_sale_on(session, date(2026, 2, 1), 100_00, tax=8_00, delivery=10_00), fair.id)
    other = through(session, a_sale_on(session, date(2026, 11, 20), 50_00), fair.id)
    taxed_in(session, other, None, channel_tax=4_00)
    refunded(session, sale, date(2026, 3, 1), 20_00, tax=1_60)
    a_sale_on(session, date(2026, 3, 3), 7_00)

    fair_year, without = channel_years(session, 2026)

    assert (fair_year.name, fair_year.payments, fair_year.gross) == ("The fair", 2, 172_00)
    assert (fair_year.price, fair_year.delivery, fair_year.shop_tax, fair_year.channel_tax) == (
        150_00,
        10_00,
        8_00,
        4_00,
    )
    assert fair_year.given_back == 21_60
    assert (without.name, without.channel_id, without.gross) == (NO_CHANNEL, None, 7_00)


def test_a_correction_counts_in_the_year_of_its_sale(session: Session) -> None:
    fair = a_channel(session)
    sale = through(session, a_sale_on(session, date(2026, 2, 1), 100_00), fair.id)
    corrected(session, "sale", sale.id, AdjustedPart.PRICE, -5_00, on=date(2026, 11, 1), piece_id=sale.piece_id)
    corrected(session, "sale", sale.id, AdjustedPart.FEES, -5_00, on=date(2026, 11, 1), piece_id=sale.piece_id)

    assert channel_year(session, 2026, fair.id).gross == 95_00
    assert [row.gross for row in channel_sales(session, 2026, fair.id)] == [95_00]


def test_what_was_given_back_is_as_it_was_corrected(session: Session) -> None:
    fair = a_channel(session)
    sale = through(session, a_sale_on(session, date(2026, 2, 1), 100_00), fair.id)
    given = refunded(session, sale, date(2026, 3, 1), 10_00)
    corrected(session, "sale_refund", given.id, AdjustedPart.REFUND, 20_00, on=date(2026, 3, 1))
    corrected(session, "sale_refund", given.id, AdjustedPart.FEES, 1_00, on=date(2026, 3, 1))

    assert channel_year(session, 2026, fair.id).given_back == 30_00


def test_a_statement_is_kept_and_put_right_on_its_version(session: Session) -> None:
    fair = a_channel(session)
    through(session, a_sale_on(session, date(2026, 2, 1), 100_00), fair.id)

    first = a_statement(session, fair.id, 120_00, version=NONE_YET)

    assert channel_year(session, 2026, fair.id).difference == 20_00
    a_statement(session, fair.id, 100_00, version=first.version)
    assert channel_year(session, 2026, fair.id).difference == 0
    with pytest.raises(StaleEdit):
        a_statement(session, fair.id, 1, version=NONE_YET)
    assert channel_year(session, 2026, fair.id).difference == 0


def test_a_statement_of_a_year_to_come_an_unknown_channel_or_less_than_nothing_is_refused(session: Session) -> None:
    fair = a_channel(session)
    with pytest.raises(RuleError, match="2027 has not come yet"):
        a_statement(session, fair.id, 1, year=2027)
    with pytest.raises(RuleError, match="never below zero"):
        a_statement(session, fair.id, -1)
    with pytest.raises(NotFound):
        a_statement(session, 999)
    with pytest.raises(NotFound):
        channel_year(session, 2026, 999)


def test_a_channel_with_a_statement_and_no_sale_is_in_the_list(session: Session) -> None:
    fair = a_channel(session)
    a_statement(session, fair.id, 30_00)

    (row,) = channel_years(session, 2026)

    assert (row.payments, row.gross, row.difference) == (0, 0, 30_00)


def test_years_run_from_the_first_sale_to_the_present(session: Session) -> None:
    assert years_with_sales(session, 2026) == [2026]
    piece: Piece = found(session, date(2024, 5, 1), 1_00)
    sold(session, piece, date(2024, 6, 1), 5_00)
    assert years_with_sales(session, 2026) == [2026, 2025, 2024]
