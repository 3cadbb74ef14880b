"""One price for several pieces, shared by what each is worth, against published examples.

Sources: "Lump-sum purchase", https://www.accountingtools.com/articles/2017/5/13/lump-sum-purchase (printed in
whole units; the cents are our own arithmetic on the same figures), and https://qammunity.org/10368623.
"""

from app.basics.money import split_exactly


def test_two_things_bought_for_one_price_carry_the_published_shares() -> None:
    assert split_exactly(1_000_000, [250_000, 800_000]) == [238_095, 761_905]


def test_the_same_price_split_to_the_cent_rounds_to_the_published_shares_and_adds_up() -> None:
    shares = split_exactly(100_000_000, [25_000_000, 80_000_000])

    assert shares == [23_809_524, 76_190_476]
    assert sum(shares) == 100_000_000
    assert [round(share / 100) for share in shares] == [238_095, 761_905]


def test_three_things_bought_for_one_price_carry_the_published_shares() -> None:
    shares = split_exactly(8_200_000_00, [3_240_000, 4_320_000, 3_240_000])

    assert shares == [2_460_000_00, 3_280_000_00, 2_460_000_00]
