"""Splitting by largest remainder, against a workbook's apportionment tables.

Source: M. Birgen, The Mathematics of Democracy (open workbook), chapter "Apportionment", repository
mbirgen/MathofDemocracy, commit 91628ffa082a, file ptx/sec_Apportionment.ptx.
Its seats are read as cents here.
"""

import pytest

from app.basics.money import split_exactly

AMABALA = [940, 9_030, 10_030]


@pytest.mark.parametrize(
    ("weights", "seats", "answer"),
    [
        pytest.param([69_000, 267_000, 133_000, 331_000], 160, [14, 53, 27, 66], id="Awoi"),
        pytest.param([871, 1_029, 610, 190], 175, [56, 67, 40, 12], id="hospital shifts"),
        pytest.param([3_292, 1_524, 4_162, 2_132, 13_890], 250, [33, 15, 42, 21, 139], id="university schools"),
        pytest.param(AMABALA, 200, [10, 90, 100], id="Amabala"),
        pytest.param(AMABALA, 201, [9, 91, 101], id="Amabala with one more"),
    ],
)
def test_the_workbook_s_seats_come_out(weights: list[int], seats: int, answer: list[int]) -> None:
    assert split_exactly(seats, weights) == answer


def test_the_workbook_s_quotas_come_out() -> None:
    # The workbook prints the quotas 40.50, 29.70, 23.65, 14.60 and 10.55, which add up to 119; its own row of
    # totals has 119 and 116 exchanged.
    assert split_exactly(119, [4_050, 2_970, 2_365, 1_460, 1_055]) == [40, 30, 24, 15, 10]


def test_one_more_cent_may_take_a_cent_from_one_line() -> None:
    before, after = split_exactly(200, AMABALA), split_exactly(201, AMABALA)

    assert after[0] == before[0] - 1
    assert sum(after) == sum(before) + 1
