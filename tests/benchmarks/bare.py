"""The figures of the books by hand: plain SQL on the ledger's file, and pandas over its tables as CSV.

Neither knows the program. They are the yardsticks of the benchmark, and their answers must be those of the pages.
"""

import csv
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import pandas as pd

GROUND: Final = """
WITH cost AS MATERIALIZED (
  SELECT piece_id, on_date, price_cents + premium_cents + tax_cents AS cents FROM purchase WHERE struck_at IS NULL
  UNION ALL
  SELECT piece_id, on_date, amount_cents FROM cost_line WHERE piece_id IS NOT NULL AND struck_at IS NULL
  UNION ALL
  SELECT piece_id, on_date, cents FROM shelf_charge WHERE piece_id IS NOT NULL
  UNION ALL
  SELECT s.piece_id, t.on_date, s.cents FROM trip_piece s JOIN trip t ON t.id = s.trip_id
   WHERE t.struck_at IS NULL AND t.counts_as = 'actual' AND t.purpose = 'fetch'
), gone AS MATERIALIZED (
  SELECT s.piece_id, 'sale' AS how, s.sold_on AS out_on, r.returned_on AS back_on
    FROM sale s LEFT JOIN sale_return r ON r.sale_id = s.id AND r.struck_at IS NULL WHERE s.struck_at IS NULL
  UNION ALL
  SELECT piece_id, how, on_date, back_on FROM leaving
), booked AS MATERIALIZED (
  SELECT c.piece_id, c.on_date, c.cents, EXISTS (
    SELECT 1 FROM gone g WHERE g.piece_id = c.piece_id AND g.out_on < c.on_date
       AND (g.back_on IS NULL OR c.on_date < g.back_on)) AS is_late
    FROM cost c
), out AS MATERIALIZED (
  SELECT g.how, g.out_on, g.back_on, coalesce(sum(b.cents), 0) AS cents
    FROM gone g JOIN booked b ON b.piece_id = g.piece_id AND NOT b.is_late AND b.on_date <= g.out_on
   GROUP BY g.piece_id, g.how, g.out_on, g.back_on
)
"""

LINES: Final = """
  SELECT 'sales' AS line, sold_on AS day, price_cents AS cents FROM sale WHERE struck_at IS NULL
  UNION ALL SELECT 'delivery_charged', sold_on, delivery_charged_cents FROM sale WHERE struck_at IS NULL
  UNION ALL SELECT 'fees', sold_on, -fees_cents FROM sale WHERE struck_at IS NULL
  UNION ALL SELECT 'delivery_paid', sold_on, -delivery_paid_cents FROM sale WHERE struck_at IS NULL
  UNION ALL SELECT 'refunds', returned_on, -refund_cents FROM sale_return WHERE struck_at IS NULL
  UNION ALL SELECT 'refunds', on_date, -refund_cents FROM sale_refund WHERE struck_at IS NULL
  UNION ALL SELECT 'cost_of_goods_sold', out_on, -cents FROM out WHERE how = 'sale'
  UNION ALL SELECT 'cost_back', back_on, cents FROM out WHERE how = 'sale' AND back_on IS NOT NULL
  UNION ALL SELECT how, out_on, -cents FROM out WHERE how IN ('given_away', 'scrapped')
  UNION ALL SELECT 'late_costs', on_date, -cents FROM booked WHERE is_late
  UNION ALL SELECT 'trips', t.on_date, -s.cents FROM trip_piece s JOIN trip t ON t.id = s.trip_id
   WHERE t.struck_at IS NULL AND NOT (t.counts_as = 'actual' AND t.purpose = 'fetch')
  UNION ALL SELECT 'shop_costs', on_date, -amount_cents FROM cost_line WHERE piece_id IS NULL AND struck_at IS NULL
"""

MONTHS: Final = GROUND + f"SELECT substr(day, 1, 7), line, sum(cents) FROM ({LINES}) GROUP BY 1, 2"

YEAR: Final = (
    GROUND
    + f"""
SELECT line, sum(cents) FROM ({LINES}) WHERE day BETWEEN :first AND :last GROUP BY line
UNION ALL SELECT 'opening', sum(b.cents) FROM booked b WHERE NOT b.is_late AND b.on_date < :first AND NOT EXISTS (
  SELECT 1 FROM gone g WHERE g.piece_id = b.piece_id AND g.out_on < :first
     AND (g.back_on IS NULL OR g.back_on >= :first))
UNION ALL SELECT 'closing', sum(b.cents) FROM booked b WHERE NOT b.is_late AND b.on_date <= :last AND NOT EXISTS (
  SELECT 1 FROM gone g WHERE g.piece_id = b.piece_id AND g.out_on <= :last
     AND (g.back_on IS NULL OR g.back_on > :last))
"""
)

STOCK: Final = (
    GROUND
    + """
SELECT b.piece_id, sum(b.cents) FROM booked b WHERE NOT b.is_late AND NOT EXISTS (
  SELECT 1 FROM gone g WHERE g.piece_id = b.piece_id AND g.back_on IS NULL)
GROUP BY b.piece_id
"""
)

PIECES: Final = """
SELECT piece_id, sum(cents) FROM (
  SELECT piece_id, price_cents + delivery_charged_cents - fees_cents - delivery_paid_cents AS cents FROM sale
   WHERE struck_at IS NULL
  UNION ALL SELECT s.piece_id, -r.refund_cents FROM sale_return r JOIN sale s ON s.id = r.sale_id
   WHERE r.struck_at IS NULL
  UNION ALL SELECT s.piece_id, -r.refund_cents FROM sale_refund r JOIN sale s ON s.id = r.sale_id
   WHERE r.struck_at IS NULL
  UNION ALL SELECT piece_id, -(price_cents + premium_cents + tax_cents) FROM purchase WHERE struck_at IS NULL
  UNION ALL SELECT piece_id, -amount_cents FROM cost_line WHERE piece_id IS NOT NULL AND struck_at IS NULL
  UNION ALL SELECT piece_id, -cents FROM shelf_charge WHERE piece_id IS NOT NULL
  UNION ALL SELECT s.piece_id, -s.cents FROM trip_piece s JOIN trip t ON t.id = s.trip_id WHERE t.struck_at IS NULL
) GROUP BY piece_id
"""

DAYS: Final = """
SELECT julianday(s.sold_on) - julianday(p.sourced_on) FROM sale s JOIN piece p ON p.id = s.piece_id
 WHERE s.struck_at IS NULL AND NOT EXISTS (
   SELECT 1 FROM sale_return r WHERE r.sale_id = s.id AND r.struck_at IS NULL)
 ORDER BY 1
"""

TABLES: Final = (
    *("purchase", "cost_line", "shelf_charge", "trip", "trip_piece", "sale", "sale_return", "sale_refund", "leaving"),
    "piece",
)


@dataclass(frozen=True)
class Bare:
    """The bare SQL of one figure of the books on a ledger's file."""

    path: Path

    def ask(self, statement: str, **facts: str) -> list[tuple[Any, ...]]:
        """The rows a statement gives."""
        connection = sqlite3.connect(f"file:{self.path}?mode=ro", uri=True)
        try:
            return connection.execute(statement, facts).fetchall()
        finally:
            connection.close()


def export(path: Path, folder: Path) -> None:
    """Write the tables the figures are made of as CSV files."""
    connection = sqlite3.connect(path)
    for table in TABLES:
        rows = connection.execute(f'SELECT * FROM "{table}"')
        with (folder / f"{table}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow([column[0] for column in rows.description])
            writer.writerows(rows)
    connection.close()


def read(folder: Path) -> dict[str, pd.DataFrame]:
    """The exported tables, days as days."""
    found = {}
    for table in TABLES:
        frame = pd.read_csv(folder / f"{table}.csv", low_memory=False)
        for column in ("on_date", "sold_on", "returned_on", "back_on", "sourced_on"):
            if column in frame:
                frame[column] = pd.to_datetime(frame[column])
        found[table] = frame[frame["struck_at"].isna()] if "struck_at" in frame else frame
    return found


def costs(tables: dict[str, pd.DataFrame]) -> pd.DataFrame:
    """Every cost of a piece with whether it came while the piece was gone."""
    bought, spent, charged = tables["purchase"], tables["cost_line"], tables["shelf_charge"]
    shares = tables["trip_piece"].merge(tables["trip"], left_on="trip_id", right_on="id")
    fetched = shares[(shares["counts_as"] == "actual") & (shares["purpose"] == "fetch")]
    paid = bought.assign(cents=bought["price_cents"] + bought["premium_cents"] + bought["tax_cents"])
    own = spent[spent["piece_id"].notna()].rename(columns={"amount_cents": "cents"})
    every = pd.concat([part[["piece_id", "on_date", "cents"]] for part in (paid, own, charged, fetched)])
    every = every.reset_index(drop=True).reset_index(names="row")
    absent = every.merge(gone(tables), on="piece_id")
    late = absent[
        (absent["out_on"] < absent["on_date"]) & (absent["back"].isna() | (absent["on_date"] < absent["back"]))
    ]
    return every.assign(is_late=every["row"].isin(late["row"]))


def gone(tables: dict[str, pd.DataFrame]) -> pd.DataFrame:
    """Every time a piece was gone, by its sale or its leaving."""
    back = tables["sale_return"][["sale_id", "returned_on"]]
    sold = tables["sale"].merge(back, left_on="id", right_on="sale_id", how="left")
    sold = sold.assign(how="sale", out_on=sold["sold_on"], back=sold["returned_on"])
    left = tables["leaving"].assign(out_on=tables["leaving"]["on_date"], back=tables["leaving"]["back_on"])
    return pd.concat([part[["piece_id", "how", "out_on", "back"]] for part in (sold, left)])


def lines(tables: dict[str, pd.DataFrame]) -> pd.DataFrame:
    """Every line of the profit with its day and its signed cents."""
    every, absent, sale = costs(tables), gone(tables).reset_index(drop=True).reset_index(names="out"), tables["sale"]
    within = absent.merge(every[~every["is_late"]], on="piece_id")
    within = within[within["on_date"] <= within["out_on"]].groupby("out")["cents"].sum()
    out = absent.assign(cents=absent["out"].map(within).fillna(0).astype("int64"))
    shares = tables["trip_piece"].merge(tables["trip"], left_on="trip_id", right_on="id")
    at_once = shares[~((shares["counts_as"] == "actual") & (shares["purpose"] == "fetch"))]
    shop = tables["cost_line"][tables["cost_line"]["piece_id"].isna()]
    by_sale, returned = out[out["how"] == "sale"], out[(out["how"] == "sale") & out["back"].notna()]
    lost = out[out["how"].isin(["given_away", "scrapped"])]
    parts = [
        _line("sales", sale["sold_on"], sale["price_cents"]),
        _line("delivery_charged", sale["sold_on"], sale["delivery_charged_cents"]),
        _line("fees", sale["sold_on"], -sale["fees_cents"]),
        _line("delivery_paid", sale["sold_on"], -sale["delivery_paid_cents"]),
        _line("refunds", tables["sale_return"]["returned_on"], -tables["sale_return"]["refund_cents"]),
        _line("refunds", tables["sale_refund"]["on_date"], -tables["sale_refund"]["refund_cents"]),
        _line("cost_of_goods_sold", by_sale["out_on"], -by_sale["cents"]),
        _line("cost_back", returned["back"], returned["cents"]),
        pd.DataFrame({"line": lost["how"], "day": lost["out_on"], "cents": -lost["cents"]}),
        _line("late_costs", every.loc[every["is_late"], "on_date"], -every.loc[every["is_late"], "cents"]),
        _line("trips", at_once["on_date"], -at_once["cents"]),
        _line("shop_costs", shop["on_date"], -shop["amount_cents"]),
    ]
    return pd.concat(parts)


def _line(name: str, days: Any, cents: Any) -> pd.DataFrame:
    return pd.DataFrame({"line": name, "day": days, "cents": cents})


def pandas_months(folder: Path) -> dict[str, int]:
    """The profit of every month from the CSV files."""
    found = lines(read(folder))
    by_month = found.groupby(found["day"].dt.strftime("%Y-%m"))["cents"].sum()
    return {str(month): int(cents) for month, cents in by_month.items()}


def pandas_year(folder: Path, first: str, last: str) -> dict[str, int]:
    """The lines of a year and its opening and closing stock from the CSV files."""
    tables = read(folder)
    found, every = lines(tables), costs(tables)
    absent = gone(tables)
    begin, end = pd.Timestamp(first), pd.Timestamp(last)
    within = found[(found["day"] >= begin) & (found["day"] <= end)]
    figures = {str(line): int(cents) for line, cents in within.groupby("line")["cents"].sum().items()}
    for name, day in (("opening", begin - pd.Timedelta(days=1)), ("closing", end)):
        away = absent[(absent["out_on"] <= day) & (absent["back"].isna() | (absent["back"] > day))]["piece_id"]
        here = every[~every["is_late"] & (every["on_date"] <= day) & ~every["piece_id"].isin(away)]
        figures[name] = int(here["cents"].sum())
    return figures


def pandas_stock(folder: Path) -> int:
    """The stock at cost now from the CSV files."""
    tables = read(folder)
    every, absent = costs(tables), gone(tables)
    away = absent[absent["back"].isna()]["piece_id"]
    return int(every[~every["is_late"] & ~every["piece_id"].isin(away)]["cents"].sum())


def pandas_pieces(folder: Path) -> int:
    """What all pieces brought less all that was put into them, from the CSV files."""
    tables = read(folder)
    sale, shares = tables["sale"], tables["trip_piece"].merge(tables["trip"], left_on="trip_id", right_on="id")
    own = tables["cost_line"][tables["cost_line"]["piece_id"].notna()]
    bought = tables["purchase"]
    brought = sale["price_cents"] + sale["delivery_charged_cents"] - sale["fees_cents"] - sale["delivery_paid_cents"]
    names = {"sale_id": "id"}
    back = pd.concat([tables["sale_return"], tables["sale_refund"]])[["sale_id", "refund_cents"]].rename(columns=names)
    parts = [
        pd.DataFrame({"piece_id": sale["piece_id"], "cents": brought}),
        sale[["id", "piece_id"]].merge(back, on="id").assign(cents=lambda row: -row["refund_cents"]),
        bought.assign(cents=-(bought["price_cents"] + bought["premium_cents"] + bought["tax_cents"])),
        own.assign(cents=-own["amount_cents"]),
        tables["shelf_charge"].assign(cents=-tables["shelf_charge"]["cents"]),
        shares.assign(cents=-shares["cents"]),
    ]
    every = pd.concat([part[["piece_id", "cents"]] for part in parts])
    return int(every.groupby("piece_id")["cents"].sum().sum())


def pandas_days(folder: Path) -> float:
    """The median of the days from finding to sale from the CSV files."""
    tables = read(folder)
    sold = tables["sale"][~tables["sale"]["id"].isin(tables["sale_return"]["sale_id"])]
    both = sold.merge(tables["piece"][["id", "sourced_on"]], left_on="piece_id", right_on="id", suffixes=("", "_piece"))
    return float((both["sold_on"] - both["sourced_on"]).dt.days.median())


Reckoning = Callable[[], Any]
