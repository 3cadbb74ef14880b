"""The figures of a year by pandas over lists exported from the same ledger, to measure the pages against."""

import csv
import sqlite3
from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pandas as pd

Frames = dict[str, pd.DataFrame]
Figures = dict[str, int]

TABLES = (
    *("piece", "purchase", "cost_line", "transfer", "shelf_charge", "shelf_purchase", "trip", "trip_piece"),
    *("adjustment", "sale", "sale_return", "sale_refund", "leaving", "deposit", "deposit_end", "write_down"),
)


def export(connection: sqlite3.Connection, folder: Path) -> None:
    """Write every table of money as a list."""
    folder.mkdir()
    for table in TABLES:
        rows = connection.execute(f"SELECT * FROM {table}")
        with (folder / f"{table}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow([column[0] for column in rows.description])
            writer.writerows(rows)


def read(folder: Path) -> Frames:
    """Read every list again, without what was struck out."""
    frames = {table: pd.read_csv(folder / f"{table}.csv", low_memory=False) for table in TABLES}
    return {
        table: frame[frame["struck_at"].isna()] if "struck_at" in frame else frame for table, frame in frames.items()
    }


def _costs(frames: Frames) -> pd.DataFrame:
    """Every row that puts money into a piece."""
    bought, moved, off = frames["purchase"], frames["transfer"], frames["shelf_purchase"]
    trips = frames["trip_piece"].merge(frames["trip"], left_on="trip_id", right_on="id")
    fetched = trips[(trips["counts_as"] == "actual") & (trips["purpose"] == "fetch")]
    corrected = frames["adjustment"][frames["adjustment"]["part"].isin(["cost", "opening"])]
    paid = bought["price_cents"] + bought["premium_cents"] + bought["tax_cents"]
    line = frames["cost_line"]
    parts = [
        _rows(bought["piece_id"], bought["on_date"], paid),
        _rows(line["piece_id"], line["on_date"], line["amount_cents"]),
        _rows(moved["to_piece_id"], moved["on_date"], moved["cents"]),
        _rows(moved["from_piece_id"], moved["on_date"], -moved["cents"]),
        _rows(frames["shelf_charge"]["piece_id"], frames["shelf_charge"]["on_date"], frames["shelf_charge"]["cents"]),
        _rows(off["from_piece_id"], off["on_date"], -off["price_cents"]),
        _rows(fetched["piece_id"], fetched["on_date"], fetched["cents"]),
        _rows(corrected["piece_id"], corrected["on_date"], corrected["cents"]),
    ]
    return pd.concat([part[part["piece_id"].notna()] for part in parts], ignore_index=True)


def _rows(piece: Any, day: Any, cents: Any) -> pd.DataFrame:
    return pd.DataFrame({"piece_id": piece, "d": day, "c": cents})


def _gone(frames: Frames) -> pd.DataFrame:
    """Every time a piece was gone."""
    sales = frames["sale"][["id", "piece_id", "sold_on"]]
    sales = sales.merge(frames["sale_return"][["sale_id", "returned_on"]], "left", left_on="id", right_on="sale_id")
    sold = pd.DataFrame({"piece_id": sales["piece_id"], "went": sales["sold_on"], "back": sales["returned_on"]})
    left = frames["leaving"]
    other = pd.DataFrame(
        {"piece_id": left["piece_id"], "went": left["on_date"], "back": left["back_on"], "how": left["how"]}
    )
    return pd.concat([sold.assign(how="sold"), other], ignore_index=True)


def _in_stock(costs: pd.DataFrame, gone: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The costs that came into stock, and the late ones."""
    tried = costs.reset_index().merge(gone, on="piece_id")
    late = tried[(tried["went"] < tried["d"]) & (tried["back"].isna() | (tried["d"] < tried["back"]))]["index"]
    is_late = costs.index.isin(late)
    return costs[~is_late], costs[is_late]


def year(frames: Frames, number: int) -> Figures:
    """The stock before and after a year, what its pieces and its shop made, and what sold had cost."""
    first, last = f"{number}-01-01", f"{number}-12-31"
    eve = f"{date(number, 1, 1) - timedelta(days=1)}"
    gone = _gone(frames)
    costs, late = _in_stock(_costs(frames), gone)
    went = costs.merge(gone.reset_index(), on="piece_id")
    at_cost = went[went["d"] <= went["went"]].groupby("index")["c"].sum()
    gone = gone.assign(c=at_cost.reindex(gone.index).fillna(0).astype(int))
    out, back = gone[gone["went"].between(first, last)], gone[gone["back"].between(first, last)]
    figures = {how: int(back[back["how"] == how]["c"].sum() - out[out["how"] == how]["c"].sum()) for how in _HOW}
    figures["late"] = int(late[late["d"].between(first, last)]["c"].sum())
    figures["shop"] = -_sum(_shop(frames), first, last)
    for word, day in (("opening", eve), ("closing", last)):
        away = gone[(gone["went"] <= day) & (gone["back"].isna() | (gone["back"] > day))]["piece_id"]
        figures[f"{word}_stock"] = int(costs[(costs["d"] <= day) & ~costs["piece_id"].isin(away)]["c"].sum())
    at_cost_lost = figures["sold"] + figures["given_away"] + figures["scrapped"]
    figures["profit_on_pieces"] = _sum(_money(frames), first, last) - figures["late"] + at_cost_lost
    return figures


_HOW = ("sold", "kept", "given_away", "scrapped")


def _sum(parts: Iterable[tuple[Any, Any]], first: str, last: str) -> int:
    return sum(int(cents[day.between(first, last)].sum()) for day, cents in parts)


def _money(frames: Frames) -> list[tuple[Any, Any]]:
    """What came in and went out at once on pieces, by day."""
    sale, back, refund = frames["sale"], frames["sale_return"], frames["sale_refund"]
    trips = frames["trip_piece"].merge(frames["trip"], left_on="trip_id", right_on="id")
    at_once = trips[~((trips["counts_as"] == "actual") & (trips["purpose"] == "fetch"))]
    kept = frames["deposit_end"][frames["deposit_end"]["how"] == "kept"]
    made = frames["adjustment"]
    made = made[made["piece_id"].notna() & ~made["part"].isin(["cost", "opening", "tax"])]
    raises = made["part"].isin(["price", "delivery_charged"])
    net = sale["price_cents"] + sale["delivery_charged_cents"] - sale["fees_cents"] - sale["delivery_paid_cents"]
    return [
        (sale["sold_on"], net),
        (back["returned_on"], back["fees_back_cents"] + back["delivery_back_cents"] - back["refund_cents"]),
        (refund["on_date"], refund["fees_back_cents"] - refund["refund_cents"]),
        (at_once["on_date"], -at_once["cents"]),
        (kept["on_date"], kept["cents"]),
        (made["on_date"], made["cents"].where(raises, -made["cents"])),
    ]


def _shop(frames: Frames) -> list[tuple[Any, Any]]:
    """What the shop itself cost, by day."""
    line, charge, trip, made = frames["cost_line"], frames["shelf_charge"], frames["trip"], frames["adjustment"]
    line, charge, made = (frame[frame["piece_id"].isna()] for frame in (line, charge, made))
    trip = trip[~trip["id"].isin(frames["trip_piece"]["trip_id"])]
    return [
        (line["on_date"], line["amount_cents"]),
        (charge["on_date"], charge["cents"]),
        (trip["on_date"], trip["charged_cents"]),
        (made["on_date"], made["cents"]),
    ]
