"""The lives of pieces: found, worked on, listed, sold, returned, left, brought back, split."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from app.costs.models import CostLine
from app.costs.rules import PIECE_KINDS
from app.floor.models import AskingPrice, Listing
from app.pieces.models import LeavingRow, Piece, Purchase, Step, Transfer
from app.pieces.rules import Age, Form, Leaving, PurchaseKind, Stage, StepKind, draw_tag
from app.reports.models import WriteDown
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.sales.rules import DepositEnding
from tests.builders.big_shop.rows import Row, Rows, moment

NAMES = ("chest", "table", "chair", "mirror", "bench", "cabinet", "desk", "trunk")


@dataclass
class Lives:
    """Every life so far, and the days on which a piece wants materials or a trip."""

    rows: Rows
    begins: date
    today: date
    tags: set[str] = field(default_factory=set)
    days_at_work: list[tuple[date, int]] = field(default_factory=list)

    def live(self, found_on: date, *, costs: int) -> None:
        """One piece from its find to wherever it stands today."""
        life = Life(self, found_on)
        life.be_bought()
        life.be_worked_on(costs)
        if life.rows.happens(0.02):
            life.be_split()
        life.go_on()
        life.close()


class Life:
    """One piece; `day` is the day it has come to."""

    def __init__(self, lives: Lives, found_on: date, split_from: int | None = None) -> None:
        self.lives, self.rows, self.day = lives, lives.rows, found_on
        self.stage, self.since = Stage.SOURCED, found_on
        self.left_as: Leaving | None = None
        self.listing: Row | None = None
        self.cents = 0
        tag = draw_tag(self.rows.chance.choice, lives.tags.__contains__, len(lives.tags))
        lives.tags.add(tag)
        name = f"Old {self.rows.chance.choice(NAMES)} {len(lives.tags)}"
        self.piece = self.rows.captured(
            Piece,
            found_on,
            version=1,
            tag=tag,
            form=self.rows.chance.choice(list(Form)),
            title=name,
            folded=name.lower(),
            count=self.rows.chance.choice((1, 1, 1, 4)),
            source_id=None,
            haul_id=None,
            split_from_id=split_from,
            width_mm=None,
            depth_mm=None,
            height_mm=None,
            condition=None,
            materials="",
            age=Age.UNKNOWN,
            year=None,
            notes="",
            finish_words="",
            finish_colour=None,
            next_note="",
            sourced_on=found_on,
        )
        self.step(StepKind.START, Stage.SOURCED)

    @property
    def id(self) -> int:
        number: int = self.piece["id"]
        return number

    def later(self, least: int, most: int) -> bool:
        """Move on by some days; False where they have not come yet."""
        then = self.day + self.rows.some_days(least, most)
        if then > self.lives.today:
            return False
        self.day = then
        return True

    def step(self, kind: StepKind, to: Stage) -> None:
        begins = kind is StepKind.START
        self.rows.add(
            Step,
            piece_id=self.id,
            kind=kind,
            from_stage=None if begins else self.stage,
            to_stage=to,
            on_date=self.day,
            reason="",
            made_at=moment(self.day),
            struck_at=None,
            struck_reason=None,
        )
        if to is not self.stage:
            self.since = self.day
        self.stage = to

    def be_bought(self) -> None:
        opening = self.day == self.lives.begins
        free = not opening and self.rows.happens(0.04)
        kind = PurchaseKind.OPENING if opening else PurchaseKind.FREE if free else PurchaseKind.BOUGHT
        price = 0 if free else self.rows.chance.randrange(500, 12_000)
        told: dict[str, Any] = {"piece_id": self.id, "haul_id": None, "kind": kind, "on_date": self.day}
        told |= {"premium_cents": price // 10 if self.rows.happens(0.3) else 0, "guess_cents": None}
        told |= {"tax_cents": price // 16 if self.rows.happens(0.3) else 0, "made_at": moment(self.day)}
        if self.rows.happens(0.01):
            struck = {"struck_at": moment(self.day), "struck_reason": "misread the receipt"}
            self.rows.add(Purchase, **{**told, **struck, "price_cents": price * 2})
        self.rows.add(Purchase, **told, price_cents=price, struck_at=None, struck_reason=None)
        self.cents = price + told["premium_cents"] + told["tax_cents"]

    def spend(self) -> None:
        cents = self.rows.chance.randrange(100, 4_000)
        line = self.rows.captured(
            CostLine,
            self.day,
            piece_id=self.id,
            kind=self.rows.chance.choice(PIECE_KINDS),
            amount_cents=cents,
            on_date=self.day,
            bought_at="",
            note="for it",
            receipt_photo_id=None,
        )
        if self.rows.happens(0.03):
            line |= {"struck_at": moment(self.day), "struck_reason": "typed twice"}
        else:
            self.cents += cents

    def be_worked_on(self, costs: int) -> None:
        for _ in range(self.rows.chance.randint(costs - 2, costs + 2)):
            if not self.later(0, 6):
                return
            self.spend()
            self.lives.days_at_work.append((self.day, self.id))
        self.step(StepKind.FORWARD, Stage.FINISHED)

    def be_split(self) -> None:
        if self.piece["count"] == 1 or self.cents <= 0:
            return
        self.piece["count"] -= 1
        part = Life(self.lives, self.day, split_from=self.id)
        part.piece["count"] = 1
        part.cents = self.cents // 4
        self.cents -= part.cents
        told = {"from_piece_id": self.id, "to_piece_id": part.id, "cents": part.cents, "minutes": 0}
        self.rows.add(Transfer, **told, on_date=self.day, reason="split", made_at=moment(self.day))
        part.go_on()
        part.close()

    def go_on(self) -> None:
        """On the floor and away from it, as often as it comes back."""
        while self.later(1, 20):
            if self.rows.happens(0.04):
                if not self.leave_and_return():
                    return
                continue
            self.be_listed()
            if self.rows.happens(0.02):
                self.write_down()
            if not self.later(5, 150) or not self.sell_and_return():
                return

    def be_listed(self) -> None:
        if self.listing is not None:
            return
        told: dict[str, Any] = {"ended_on": None, "ended_by": None, "made_at": moment(self.day)}
        self.listing = self.rows.add(Listing, piece_id=self.id, listed_on=self.day, **told)
        asked = {"listing_id": self.listing["id"], "on_date": self.day, "cents": 20_000, "note": ""}
        self.rows.add(AskingPrice, **asked, made_at=moment(self.day))
        self.step(StepKind.FORWARD, Stage.LISTED)

    def end_listing(self, by: str) -> None:
        if self.listing is not None:
            self.listing |= {"ended_on": self.day, "ended_by": by}
            self.listing = None

    def leave_and_return(self) -> bool:
        how = self.rows.chance.choice(list(Leaving))
        told: dict[str, Any] = {"piece_id": self.id, "how": how, "on_date": self.day, "reason": "worm"}
        told |= {"made_at": moment(self.day), "back_on": None, "back_reason": None, "back_at": None}
        leaving = self.rows.add(LeavingRow, **told)
        self.step(StepKind.OUT, self.stage)
        self.left_as = how
        self.spend_late()
        if not self.rows.happens(0.3) or not self.later(0, 40):
            return False
        leaving |= {"back_on": self.day, "back_reason": "wanted after all", "back_at": moment(self.day)}
        self.step(StepKind.IN_AGAIN, Stage.FINISHED)
        self.left_as = None
        return True

    def sell_and_return(self) -> bool:
        """A sale, and whether the piece is on hand again afterwards."""
        self.take_deposit()
        sale = self.sell()
        self.spend_late()
        if self.rows.happens(0.03):
            self.refund(sale)
            return False
        if not self.rows.happens(0.05) or not self.later(0, 30):
            return False
        told = {"sale_id": sale["id"], "returned_on": self.day, "refund_cents": sale["price_cents"], "reason": "dent"}
        told |= {"tax_refunded_cents": sale["tax_cents"], "fees_back_cents": sale["fees_cents"] // 2}
        told |= {"delivery_back_cents": 0, "made_at": moment(self.day), "struck_at": None, "struck_reason": None}
        self.rows.add(SaleReturn, **told)
        self.step(StepKind.RETURN, Stage.FINISHED)
        return True

    def sell(self) -> Row:
        price = self.rows.chance.randrange(4_000, 60_000)
        delivered = self.rows.happens(0.2)
        sale = self.rows.captured(
            Sale,
            self.day,
            piece_id=self.id,
            listing_id=self.listing["id"] if self.listing else None,
            channel_id=1,
            sold_on=self.day,
            price_cents=price,
            delivery_charged_cents=2_500 if delivered else 0,
            delivery_paid_cents=1_800 if delivered else 0,
            fees_cents=price // 8,
            note="",
            tax_cents=price // 12 if self.rows.happens(0.4) else 0,
            buyer_name="",
            tax_place_id=None,
            tax_rate_ppm=None,
            tax_basis=None,
            channel_tax_cents=0,
            untaxed_reason="",
        )
        if self.standing_deposit is not None:
            self.end_deposit(DepositEnding.APPLIED, sale["id"])
        self.end_listing("sale")
        self.step(StepKind.SALE, Stage.SOLD)
        return sale

    standing_deposit: Row | None = None

    def take_deposit(self) -> None:
        if not self.rows.happens(0.15):
            return
        told = {"piece_id": self.id, "payer": "Somebody", "on_date": self.day, "amount_cents": 2_500, "note": ""}
        self.standing_deposit = self.rows.captured(Deposit, self.day, **told)
        if self.rows.happens(0.3):
            self.later(0, 9)
            self.end_deposit(self.rows.chance.choice((DepositEnding.KEPT, DepositEnding.REFUNDED)), None)

    def end_deposit(self, how: DepositEnding, sale_id: int | None) -> None:
        deposit, self.standing_deposit = self.standing_deposit, None
        if deposit is None:
            return
        told: dict[str, Any] = {"deposit_id": deposit["id"], "how": how, "on_date": self.day, "cents": 2_500}
        told |= {"sale_id": sale_id, "reason": "changed their mind", "made_at": moment(self.day)}
        self.rows.add(DepositEnd, **told, struck_at=None, struck_reason=None)

    def refund(self, sale: Row) -> None:
        if not self.later(1, 60):
            return
        told = {"sale_id": sale["id"], "on_date": self.day, "refund_cents": sale["price_cents"] // 10, "reason": "dent"}
        told |= {"tax_refunded_cents": sale["tax_cents"] // 10, "fees_back_cents": sale["fees_cents"] // 10}
        self.rows.captured(SaleRefund, self.day, **told)

    def spend_late(self) -> None:
        """Now and then something is spent on a piece that is gone."""
        before = self.day
        if self.rows.happens(0.08) and self.later(1, 25):
            self.spend()
        self.day = max(before, self.day)

    def close(self) -> None:
        """Where the piece stands at last; now and then it is written down."""
        self.piece |= {"stage": self.stage, "stage_since": self.since, "left_as": self.left_as}
        if self.stage is not Stage.SOLD and self.left_as is None and self.rows.happens(0.2):
            self.write_down()

    def write_down(self) -> None:
        if self.cents <= 500:
            return
        told = {"piece_id": self.id, "on_date": self.day, "price_expected_cents": 500, "finish_cents": 0}
        told |= {"sell_cents": 0, "cost_cents": self.cents, "cents": self.cents - 500, "reason": "worm"}
        self.rows.captured(WriteDown, self.day, **told)
