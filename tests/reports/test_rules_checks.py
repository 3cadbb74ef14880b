"""The proof: what it finds in sound books, and that it does find what is wrong."""

from datetime import date

from app.basics.dates import Month
from app.reports.rules import Finding, PieceLedger, ShopCostRow, prove, walk
from app.reports.rules.checks import _compare_piece, _Walked
from tests.reports.ledger_book import Book, move, shop_cost

FIRST, LAST = Month(2026, 1), Month(2026, 4)


def sound_books() -> tuple[list[PieceLedger], list[ShopCostRow]]:
    pair, single = Book("T-1", piece_id=1), Book("T-2", piece_id=2)
    pair.cost(date(2025, 12, 30), 80_01, "opening")
    move(pair, single, date(2026, 1, 20), 40_00)
    sale = pair.sell(date(2026, 2, 10), 150_00, delivery=(20_00, 15_00), fees=7_50, tax=10_50)
    pair.cost(date(2026, 2, 20), 6_00, "repair")
    pair.take_back(sale, date(2026, 3, 1), 170_00, tax=10_50, fees=5_00)
    single.bring_back(single.leave(date(2026, 2, 1), "kept"), date(2026, 3, 3))
    single.leave(date(2026, 3, 9), "given_away")
    return [pair.ledger, single.ledger], [shop_cost(1, date(2026, 2, 2), 33_00)]


def named(findings: list[Finding], start: str) -> list[Finding]:
    return [finding for finding in findings if finding.name.startswith(start)]


def test_sound_books_hold_in_every_identity_of_every_month() -> None:
    findings = prove(*sound_books(), FIRST, LAST)

    assert [finding for finding in findings if not finding.holds] == []
    for start in ("Stock at cost", "Profit on pieces up to", "Profit and cash", "Sales one by one", "Moved"):
        assert len(named(findings, start)) == 4


def test_the_findings_carry_the_figures_of_the_books() -> None:
    findings = prove(*sound_books(), FIRST, LAST)

    assert [finding.left for finding in named(findings, "Stock at cost")] == [80_01, 0, 40_01, 40_01]
    # In February the sale brought 107.49 (40.01 cost, 7.50 fees, 15.00 delivery), the repair cost 6.00;
    # in March the return took 170.00 and gave 5.00 of fees and the 40.01 back, the gift lost 40.00.
    assert [finding.right for finding in named(findings, "Profit on pieces")] == [0, 101_49, -63_50, -63_50]
    assert [finding.left for finding in named(findings, "All months")] == [-63_50 - 33_00]


def test_a_window_of_months_takes_what_came_before_as_given() -> None:
    findings = prove(*sound_books(), Month(2026, 3), Month(2026, 3))

    assert all(finding.holds for finding in findings)
    assert [finding.left for finding in named(findings, "Stock at cost")] == [40_01]
    assert [finding.left for finding in named(findings, "All months")] == [-63_50 - 101_49]


def test_a_transfer_with_one_side_missing_is_found_in_its_month() -> None:
    (pair, single), costs = sound_books()
    lone = [pair, PieceLedger(2, "T-2", "Piece T-2", 1, single.sourced_on)]

    failing = [finding for finding in prove(lone, costs, FIRST, LAST) if not finding.holds]

    assert [(finding.name, finding.left, finding.right) for finding in failing] == [
        ("Moved between pieces, in and out, January 2026", 0, 40_00)
    ]


def test_a_piece_with_impossible_rows_is_named_and_the_rest_is_still_proved() -> None:
    ledgers, costs = sound_books()
    broken = Book("T-9", piece_id=9)
    broken.sell(date(2026, 2, 1), 10_00)
    broken.sell(date(2026, 2, 2), 10_00)

    findings = prove([*ledgers, broken.ledger], costs, FIRST, LAST)

    failing = [finding for finding in findings if not finding.holds]
    assert [(finding.left, finding.right, finding.tags) for finding in failing] == [(1, 0, ("T-9",))]
    assert len(findings) == len(prove(ledgers, costs, FIRST, LAST))


def test_a_piece_whose_walk_lost_a_step_is_named() -> None:
    (pair, _), _ = sound_books()
    walked = _Walked()

    _compare_piece(walked, pair, [step for step in walk(pair) if step.kind != "sold"])

    assert walked.unlike_what_is_owned == walked.unlike_their_months == ["T-1"]


def test_no_months_and_no_pieces_prove_without_a_finding_that_fails() -> None:
    assert all(finding.holds for finding in prove([], [], FIRST, LAST))
    assert len(prove([], [], LAST, FIRST)) == 3
