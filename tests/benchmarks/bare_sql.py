"""The figures of the books in SQL written by hand, on the file itself: what the pages are measured against.

Nothing of the application is used here. Each function gives plain figures in cents, so that they can be compared.
"""

import sqlite3
from collections import defaultdict
from datetime import date, timedelta

Figures = dict[str, int]

_RETURNED = "LEFT JOIN sale_return r ON r.sale_id = s.id AND r.struck_at IS NULL"

# Every row that puts money into a piece: its piece, day, line and cents, where it stands, and when it counts.
_COSTS = (
    (
        ("x.piece_id", "x.on_date", "CASE x.kind WHEN 'opening' THEN 'opening_entered' ELSE 'bought' END"),
        *("x.price_cents + x.premium_cents + x.tax_cents", "purchase x", "x.struck_at IS NULL"),
    ),
    (
        ("x.piece_id", "x.on_date", "'cost_lines'"),
        *("x.amount_cents", "cost_line x", "x.struck_at IS NULL AND x.piece_id IS NOT NULL"),
    ),
    (("x.to_piece_id", "x.on_date", "'moved'"), "x.cents", "transfer x", "x.cents <> 0"),
    (("x.from_piece_id", "x.on_date", "'moved'"), "-x.cents", "transfer x", "x.cents <> 0"),
    (("x.piece_id", "x.on_date", "'materials_used'"), "x.cents", "shelf_charge x", "x.piece_id IS NOT NULL"),
    (
        ("x.from_piece_id", "x.on_date", "'parts_off'"),
        *("-x.price_cents", "shelf_purchase x", "x.struck_at IS NULL AND x.from_piece_id IS NOT NULL"),
    ),
    (
        ("x.piece_id", "t.on_date", "'trips'"),
        *("x.cents", "(trip_piece x JOIN trip t ON t.id = x.trip_id)"),
        "t.struck_at IS NULL AND t.counts_as = 'actual' AND t.purpose = 'fetch'",
    ),
    (
        ("x.piece_id", "x.on_date", "'corrected'"),
        *("x.cents", "adjustment x"),
        "x.struck_at IS NULL AND x.piece_id IS NOT NULL AND x.part IN ('cost', 'opening')",
    ),
)


def _costs_within() -> str:
    """The costs dated in a period: piece_id, d, line, c."""
    return " UNION ALL ".join(
        f"SELECT {piece} AS piece_id, {day} AS d, {line} AS line, {cents} AS c FROM {source}"
        f" WHERE {counts} AND {day} BETWEEN :first AND :last"
        for (piece, day, line), cents, source, counts in _COSTS
    )


_WITHIN = "AND on_date BETWEEN :first AND :last"

_GONE = f"""
    SELECT s.piece_id, s.sold_on AS went, r.returned_on AS back, 'sold' AS how FROM sale s {_RETURNED}
        WHERE s.struck_at IS NULL
    UNION ALL SELECT piece_id, on_date, back_on, how FROM leaving
"""
_WAS_BACK = "SELECT piece_id, went, back FROM gone WHERE back > went"

_MONEY = """
    SELECT piece_id, sold_on AS d, price_cents + delivery_charged_cents - fees_cents - delivery_paid_cents AS c
        FROM sale WHERE struck_at IS NULL AND sold_on BETWEEN :first AND :last
    UNION ALL SELECT s.piece_id, r.returned_on, r.fees_back_cents + r.delivery_back_cents - r.refund_cents
        FROM sale_return r JOIN sale s ON s.id = r.sale_id
        WHERE r.struck_at IS NULL AND r.returned_on BETWEEN :first AND :last
    UNION ALL SELECT s.piece_id, f.on_date, f.fees_back_cents - f.refund_cents
        FROM sale_refund f JOIN sale s ON s.id = f.sale_id
        WHERE f.struck_at IS NULL AND f.on_date BETWEEN :first AND :last
    UNION ALL SELECT p.piece_id, t.on_date, -p.cents FROM trip_piece p JOIN trip t ON t.id = p.trip_id
        WHERE t.struck_at IS NULL AND NOT (t.counts_as = 'actual' AND t.purpose = 'fetch')
        AND t.on_date BETWEEN :first AND :last
    UNION ALL SELECT d.piece_id, e.on_date, e.cents FROM deposit_end e JOIN deposit d ON d.id = e.deposit_id
        WHERE e.struck_at IS NULL AND e.how = 'kept' AND e.on_date BETWEEN :first AND :last
    UNION ALL SELECT piece_id, on_date, CASE WHEN part IN ('price', 'delivery_charged') THEN cents ELSE -cents END
        FROM adjustment WHERE struck_at IS NULL AND piece_id IS NOT NULL AND part NOT IN ('cost', 'opening', 'tax')
        AND on_date BETWEEN :first AND :last
"""

_SHOP = """
    SELECT on_date AS d, -amount_cents AS c FROM cost_line
        WHERE struck_at IS NULL AND piece_id IS NULL AND on_date BETWEEN :first AND :last
    UNION ALL SELECT on_date, -cents FROM shelf_charge WHERE piece_id IS NULL AND on_date BETWEEN :first AND :last
    UNION ALL SELECT on_date, -charged_cents FROM trip WHERE struck_at IS NULL AND on_date BETWEEN :first AND :last
        AND NOT EXISTS (SELECT 1 FROM trip_piece WHERE trip_id = trip.id)
    UNION ALL SELECT on_date, -cents FROM adjustment
        WHERE struck_at IS NULL AND piece_id IS NULL AND on_date BETWEEN :first AND :last
"""

_SALES = f"""
    SELECT 'sales', sum(price_cents) FROM sale WHERE struck_at IS NULL AND sold_on BETWEEN :first AND :last
    UNION ALL SELECT 'fees', -sum(fees_cents) FROM sale WHERE struck_at IS NULL AND sold_on BETWEEN :first AND :last
    UNION ALL SELECT 'returned', -sum(refund_cents) FROM sale_return
        WHERE struck_at IS NULL AND returned_on BETWEEN :first AND :last
    UNION ALL SELECT 'refunded', -sum(refund_cents) FROM sale_refund WHERE struck_at IS NULL {_WITHIN}
    UNION ALL SELECT 'shelf_bought', sum(price_cents + tax_cents) FROM shelf_purchase
        WHERE struck_at IS NULL AND from_piece_id IS NULL {_WITHIN}
    UNION ALL SELECT 'deposits_taken', sum(amount_cents) FROM deposit WHERE struck_at IS NULL {_WITHIN}
    UNION ALL SELECT 'all_trips', -sum(charged_cents) FROM trip WHERE struck_at IS NULL {_WITHIN}
"""


def _days(first: date, last: date) -> dict[str, str]:
    return {"first": f"{first}", "last": f"{last}", "eve": f"{first - timedelta(days=1)}"}


def _held(holder: str, kept: str) -> str:
    """What was in stock of each row of `holder` (piece_id, until), by its columns `kept`."""
    each = " UNION ALL ".join(
        f"SELECT {kept}, sum({cents}) AS c FROM held JOIN {source} ON {piece} = held.piece_id AND {day} <= held.until"
        f" LEFT JOIN was_back b ON b.piece_id = held.piece_id AND b.went < {day} AND {day} < b.back"
        f" WHERE b.piece_id IS NULL AND {counts} GROUP BY {kept}"
        for (piece, day, _), cents, source, counts in _COSTS
    )
    return f"""WITH gone AS MATERIALIZED ({_GONE}), was_back AS MATERIALIZED ({_WAS_BACK}),
        held AS MATERIALIZED ({holder}) SELECT {kept.replace("held.", "")}, sum(c) FROM ({each})
        GROUP BY {kept.replace("held.", "")}"""


def month_lines(connection: sqlite3.Connection, first: date, last: date) -> dict[str, Figures]:
    """For each month the profit on pieces, the shop's costs and the main lines of the stock."""
    told = _days(first, last)
    found: dict[str, Figures] = defaultdict(lambda: defaultdict(int))
    late = f"""
        WITH gone AS MATERIALIZED ({_GONE})
        SELECT substr(d, 1, 7), CASE WHEN gone.piece_id IS NULL THEN line ELSE 'late' END, sum(c)
        FROM ({_costs_within()}) costs
        LEFT JOIN gone ON gone.piece_id = costs.piece_id AND went < d AND (back IS NULL OR d < back) GROUP BY 1, 2
    """
    for month, line, cents in connection.execute(late, told):
        found[month][line] += cents
        if line == "late":
            found[month]["profit_on_pieces"] -= cents
    holder = """SELECT piece_id, went AS until, back, how FROM gone
        WHERE went BETWEEN :first AND :last OR back BETWEEN :first AND :last"""
    for until, back, how, cents in connection.execute(_held(holder, "held.until, held.back, held.how"), told):
        for day, sign in ((until, -1), (back, 1)):
            if day is not None and told["first"] <= day <= told["last"]:
                found[day[:7]][how] += sign * cents
                if how != "kept":
                    found[day[:7]]["profit_on_pieces"] += sign * cents
    for name, rows in (("profit_on_pieces", _MONEY), ("shop", _SHOP)):
        for month, cents in connection.execute(f"SELECT substr(d, 1, 7), sum(c) FROM ({rows}) GROUP BY 1", told):
            found[month][name] += cents
    return found


def stock_on(connection: sqlite3.Connection, day: date) -> Figures:
    """What each piece on hand at the end of a day stands at, by its id."""
    holder = """SELECT id AS piece_id, :last AS until FROM piece WHERE struck_at IS NULL AND NOT EXISTS (
        SELECT 1 FROM gone WHERE gone.piece_id = piece.id AND went <= :last AND (back IS NULL OR back > :last))"""
    held = connection.execute(_held(holder, "held.piece_id"), {"last": f"{day}"})
    return {f"{piece}": cents for piece, cents in held if cents}


def kept_on(connection: sqlite3.Connection, day: date) -> Figures:
    """What each piece the owner keeps at the end of a day stood at when it left, by its id."""
    holder = """SELECT piece_id, went AS until FROM gone
        WHERE how = 'kept' AND went <= :last AND (back IS NULL OR back > :last)"""
    held = connection.execute(_held(holder, "held.piece_id"), {"last": f"{day}"})
    return {f"{piece}": cents for piece, cents in held}


def made_by_pieces(connection: sqlite3.Connection, first: date, last: date) -> Figures:
    """What each piece made in a period, by its id: money in less money out, and what it rose by in stock."""
    costs = f"SELECT piece_id, d, -c FROM ({_costs_within()})"
    both = f"SELECT piece_id, sum(c) FROM ({_MONEY} UNION ALL {costs}) GROUP BY piece_id"
    made: Figures = {f"{piece}": cents for piece, cents in connection.execute(both, _days(first, last))}
    eve = first - timedelta(days=1)
    for read in (stock_on, kept_on):
        for day, sign in ((last, 1), (eve, -1)):
            for piece, cents in read(connection, day).items():
                made[piece] = made.get(piece, 0) + sign * cents
    return {piece: cents for piece, cents in made.items() if cents}


def standing_beside(connection: sqlite3.Connection, day: date) -> Figures:
    """The value of the shelf and the deposits owed at the end of a day."""
    sums = """SELECT
        (SELECT coalesce(sum(price_cents + tax_cents), 0) FROM shelf_purchase
            WHERE struck_at IS NULL AND on_date <= :last)
        - (SELECT coalesce(sum(cents), 0) FROM shelf_charge WHERE on_date <= :last),
        (SELECT coalesce(sum(amount_cents), 0) FROM deposit WHERE struck_at IS NULL AND on_date <= :last)
        - (SELECT coalesce(sum(cents), 0) FROM deposit_end WHERE struck_at IS NULL AND on_date <= :last)"""
    shelf, deposits = connection.execute(sums, {"last": f"{day}"}).fetchone()
    return {"shelf": shelf, "deposits": deposits}


def written_on(connection: sqlite3.Connection, day: date) -> int:
    """What of the stock is written down at the end of a day."""
    rows = f"""WITH gone AS MATERIALIZED ({_GONE})
        SELECT coalesce(-sum(cents), 0) FROM write_down w WHERE struck_at IS NULL AND on_date <= :last
        AND NOT EXISTS (SELECT 1 FROM gone WHERE gone.piece_id = w.piece_id AND went <= :last
            AND (back IS NULL OR back > :last OR back > w.on_date))"""
    cents: int = connection.execute(rows, {"last": f"{day}"}).fetchone()[0]
    return cents


def year(connection: sqlite3.Connection, number: int) -> Figures:
    """The figures of the page of a year, the sums that must meet among them."""
    first, last = date(number, 1, 1), date(number, 12, 31)
    months = month_lines(connection, first, last)
    figures: Figures = defaultdict(int)
    for lines in months.values():
        for line, cents in lines.items():
            figures[line] += cents
    for line, cents in connection.execute(_SALES, _days(first, last)):
        figures[line] = cents or 0
    for word, day in (("opening", first - timedelta(days=1)), ("closing", last)):
        figures[f"{word}_stock"] = sum(stock_on(connection, day).values())
        figures |= {f"{word}_{name}": cents for name, cents in standing_beside(connection, day).items()}
    figures["pieces"] = sum(made_by_pieces(connection, first, last).values())
    figures["written"] = written_on(connection, last)
    return figures
