"""A shop that lives at random: every act goes through the real actions, refusals and all."""

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from typing import Any, TypeAlias
from uuid import UUID

from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, precondition, rule
from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app.basics.errors import RuleError
from app.costs.actions import add_cost, strike_cost
from app.costs.models import CostLine
from app.costs.rules import PIECE_KINDS, SHOP_KINDS, NewCost
from app.desk.actions import leave_piece, step_back_piece, strike_find
from app.floor.actions import change_price, correct_listed_on, hold_piece, list_piece
from app.pieces import actions as pieces
from app.pieces.models import Piece
from app.pieces.queries import steps_of
from app.pieces.rules import (
    Facts,
    Form,
    HaulPart,
    Leaving,
    NewFind,
    NewHaul,
    OwnedPiece,
    SplitMethod,
    SplitPart,
    Stage,
    last_standing,
    undoable_step,
)
from app.reports.queries import stock_of_piece
from app.sales.actions import record_return, record_sale, strike_return, strike_sale
from app.sales.models import Sale, SaleReturn
from app.sales.rules import NewReturn, NewSale
from app.timelog.actions import add_time, strike_time
from app.timelog.models import TimeEntry
from app.timelog.queries import minutes_of
from app.timelog.rules import Activity, NewTime
from tests.conftest import NOW, SHOP

Told: TypeAlias = dict[str, Any]

BEGINNING = date(2026, 6, 1)
TODAY = date(2026, 11, 25)

amounts = st.integers(0, 30_000)
pairs = st.tuples(amounts, amounts)
spans = st.integers(0, 9)
picks = st.integers(0, 999)
days = st.integers(0, (TODAY - BEGINNING).days).map(lambda number: BEGINNING + timedelta(days=number))
early_days = st.integers(0, 40).map(lambda number: BEGINNING + timedelta(days=number))
hand_stages = st.sampled_from([Stage.SOURCED, Stage.PREPPED, Stage.FINISHED])


class ShopWalk(RuleBasedStateMachine):
    """The acts of a shop; `session` is given by the test and never committed."""

    session: Session

    def __init__(self) -> None:
        super().__init__()
        self.captures = 0

    def act(self, deed: Callable[[], object]) -> None:
        """Do it, or leave everything as it was when the rules refuse."""
        mark = self.session.begin_nested()
        try:
            deed()
        except RuleError:
            mark.rollback()
            self.session.expire_all()
        else:
            mark.commit()

    def capture(self) -> str:
        self.captures += 1
        return str(UUID(int=self.captures))

    def one_of(self, wanted: Select[Any], pick: int) -> Any:
        """One of what a query finds, the newest rather more often; None when it finds nothing."""
        found: Sequence[Any] = self.session.scalars(wanted).all()
        return found[-1 - pick % len(found)] if found else None

    def piece(self, pick: int, *where: Any) -> Piece | None:
        found: Piece | None = self.one_of(select(Piece).where(*where).order_by(Piece.id), pick)
        return found

    def day_of(self, piece: Piece, span: int) -> date:
        """A day some days after the piece's last step, as far as it has come yet."""
        last = last_standing(steps_of(self.session, piece.id)).on_date
        return min(last + timedelta(days=span), TODAY)

    @initialize(on=early_days, price=amounts, count=st.integers(1, 4))
    def begin(self, on: date, price: int, count: int) -> None:
        self.find(on, price, 0, 0, count)

    @rule(on=early_days, price=amounts, premium=amounts, tax=amounts, count=st.integers(1, 5))
    def find(self, on: date, price: int, premium: int, tax: int, count: int) -> None:
        find = NewFind(Facts(Form.CHAIR, count=count), None, on, price, premium, tax)
        self.act(lambda: pieces.log_find(self.session, find, capture_id=self.capture(), now=NOW))

    @rule(on=early_days, price=amounts, premium=amounts, tax=amounts, guesses=st.lists(amounts, min_size=2, max_size=4))
    def haul(self, on: date, price: int, premium: int, tax: int, guesses: list[int]) -> None:
        parts = tuple(HaulPart(Facts(Form.DESK), guess_cents=guess) for guess in guesses)
        split = SplitMethod.GUESS if any(guesses) else SplitMethod.EQUAL
        haul = NewHaul(None, on, price, premium, tax, split, parts)
        self.act(lambda: pieces.log_haul(self.session, haul, capture_id=self.capture(), now=NOW))

    @rule(cost=amounts, stage=hand_stages)
    def own_already(self, cost: int, stage: Stage) -> None:
        owned = OwnedPiece(Facts(Form.BED), stage, SHOP.started_on, cost)
        self.act(lambda: pieces.enter_owned(self.session, owned, capture_id=self.capture(), now=NOW))

    @rule(pick=picks, on=days, cents=amounts, kind=st.sampled_from(PIECE_KINDS))
    def spend(self, pick: int, on: date, cents: int, kind: Any) -> None:
        piece = self.piece(pick)
        if piece is not None:
            new = NewCost(piece.id, kind, cents, on)
            self.act(lambda: add_cost(self.session, new, capture_id=self.capture(), now=NOW))

    @rule(on=days, cents=amounts, kind=st.sampled_from(SHOP_KINDS))
    def spend_on_shop(self, on: date, cents: int, kind: Any) -> None:
        new = NewCost(None, kind, cents, on)
        self.act(lambda: add_cost(self.session, new, capture_id=self.capture(), now=NOW))

    @rule(pick=picks)
    def strike_a_cost(self, pick: int) -> None:
        line = self.one_of(select(CostLine).order_by(CostLine.id), pick)
        if line is not None:
            self.act(lambda: strike_cost(self.session, line.id, reason="typed twice", now=NOW))

    @rule(pick=picks, on=days, minutes=st.integers(1, 300))
    def work(self, pick: int, on: date, minutes: int) -> None:
        piece = self.piece(pick)
        if piece is not None:
            new = NewTime(piece.id, Activity.SANDING, on, minutes)
            self.act(lambda: add_time(self.session, new, capture_id=self.capture(), now=NOW))

    @rule(pick=picks)
    def strike_some_time(self, pick: int) -> None:
        entry = self.one_of(select(TimeEntry).order_by(TimeEntry.id), pick)
        if entry is not None:
            self.act(lambda: strike_time(self.session, entry.id, reason="another day", now=NOW))

    @rule(pick=picks)
    def strike_a_find(self, pick: int) -> None:
        piece = self.piece(pick)
        if piece is not None:
            self.act(lambda: self.strike_find_of(piece))

    def strike_find_of(self, piece: Piece) -> None:
        strike_find(self.session, piece.id, reason="logged twice", version=None, now=NOW)

    @rule(pick=picks)
    def undo_a_slip(self, pick: int) -> None:
        piece = self.piece(pick)
        slip = undoable_step(steps_of(self.session, piece.id)) if piece is not None else None
        if piece is not None and slip is not None:
            self.act(lambda: pieces.undo_step(self.session, piece.id, slip.id, now=NOW))

    @rule(pick=picks, back=st.integers(0, 60))
    def redate_a_listing(self, pick: int, back: int) -> None:
        piece = self.piece(pick)
        if piece is not None:
            on = TODAY - timedelta(days=back)
            self.act(lambda: correct_listed_on(self.session, piece.id, on, version=None, now=NOW))

    @rule(pick=picks, to_stage=hand_stages, span=spans, forward=st.booleans())
    def step(self, pick: int, to_stage: Stage, span: int, *, forward: bool) -> None:
        piece = self.piece(pick, Piece.stage != Stage.SOLD)
        if piece is None:
            return
        told: Told = {"on_date": self.day_of(piece, span), "version": None, "now": NOW}
        if forward:
            self.act(lambda: pieces.step_forward(self.session, piece.id, to_stage, **told))
        else:
            self.act(lambda: step_back_piece(self.session, piece.id, to_stage, reason="other colour", **told))

    @rule(pick=picks, span=spans, cents=amounts)
    def offer(self, pick: int, span: int, cents: int) -> None:
        piece = self.piece(pick, Piece.stage != Stage.SOLD)
        if piece is not None:
            on, channels = self.day_of(piece, span), ()
            told: Told = {
                "asking_cents": cents,
                "channel_ids": channels,
                "on_date": on,
                "version": None,
                "now": NOW,
            }
            self.act(lambda: list_piece(self.session, piece.id, **told))

    @rule(pick=picks, cents=amounts, hold=st.booleans())
    def move_price(self, pick: int, cents: int, *, hold: bool) -> None:
        piece = self.piece(pick, Piece.stage == Stage.LISTED)
        if piece is None:
            return
        if hold:
            self.act(lambda: hold_piece(self.session, piece.id, held_for="a", until=TODAY, note="", now=NOW))
        else:
            told: Told = {"asking_cents": cents, "on_date": TODAY, "note": "", "now": NOW}
            self.act(lambda: change_price(self.session, piece.id, **told))

    @rule(
        pick=picks, span=spans, price=amounts, delivery=st.tuples(amounts, amounts), taken=st.tuples(amounts, amounts)
    )
    def sell(self, pick: int, span: int, price: int, delivery: tuple[int, int], taken: tuple[int, int]) -> None:
        piece = self.piece(pick, Piece.stage != Stage.SOLD)
        if piece is not None:
            fees, tax = (min(cents, price) for cents in taken)
            new = NewSale(piece.id, self.day_of(piece, span), None, price, *delivery, fees, tax)
            self.act(lambda: record_sale(self.session, new, capture_id=self.capture(), now=NOW))

    @rule(pick=picks)
    @precondition(lambda self: self.session.scalar(select(Sale.id).limit(1)) is not None)
    def strike_a_sale(self, pick: int) -> None:
        sale = self.one_of(select(Sale).order_by(Sale.id), pick)
        self.act(lambda: strike_sale(self.session, sale.id, reason="it was another piece", now=NOW))

    @rule(pick=picks, span=spans, share=st.tuples(*(st.integers(0, 100) for _ in range(4))), to_stage=hand_stages)
    @precondition(lambda self: self.session.scalar(select(Sale.id).limit(1)) is not None)
    def take_back(self, pick: int, span: int, share: tuple[int, ...], to_stage: Stage) -> None:
        sale = self.one_of(select(Sale).order_by(Sale.id), pick)
        brought = (sale.price_cents + sale.delivery_charged_cents, sale.tax_cents, sale.fees_cents)
        shares = zip((*brought, sale.delivery_paid_cents), share, strict=True)
        refund, tax, fees, delivery = (cents * part // 100 for cents, part in shares)
        on = min(sale.sold_on + timedelta(days=span), TODAY)
        new = NewReturn(sale.id, on, refund, tax, fees, delivery, "it wobbles", to_stage)
        self.act(lambda: record_return(self.session, new, now=NOW))

    @rule(pick=picks)
    @precondition(lambda self: self.session.scalar(select(SaleReturn.id).limit(1)) is not None)
    def strike_a_return(self, pick: int) -> None:
        came_back = self.one_of(select(SaleReturn).order_by(SaleReturn.id), pick)
        self.act(lambda: strike_return(self.session, came_back.id, reason="they kept it", now=NOW))

    @rule(pick=picks, how=st.sampled_from(Leaving), span=spans)
    def let_go(self, pick: int, how: Leaving, span: int) -> None:
        piece = self.piece(pick, Piece.left_as.is_(None))
        if piece is not None:
            told: Told = {"on_date": self.day_of(piece, span), "reason": "", "version": None, "now": NOW}
            self.act(lambda: leave_piece(self.session, piece.id, how, **told))

    @rule(pick=picks, span=spans)
    def bring_back(self, pick: int, span: int) -> None:
        piece = self.piece(pick, Piece.left_as.is_not(None))
        if piece is not None:
            told: Told = {
                "on_date": self.day_of(piece, span),
                "reason": "wanted after all",
                "version": None,
                "now": NOW,
            }
            self.act(lambda: pieces.bring_back(self.session, piece.id, **told))

    @rule(pick=picks, span=spans, worths=st.lists(st.integers(1, 9_000), min_size=2, max_size=3))
    def split(self, pick: int, span: int, worths: list[int]) -> None:
        piece = self.piece(pick, Piece.count >= len(worths), Piece.struck_at.is_(None))
        if piece is None:
            return
        counts = [1] * (len(worths) - 1)
        counts = [piece.count - len(counts), *counts]
        parts = [SplitPart("", count, worth) for count, worth in zip(counts, worths, strict=True)]
        told: Told = {
            "cents": stock_of_piece(self.session, piece.id),
            "minutes": minutes_of(self.session, [piece.id]).get(piece.id, 0),
            "on_date": self.day_of(piece, span),
        }
        self.act(lambda: pieces.split_off(self.session, piece.id, parts, version=None, now=NOW, **told))

    @rule(pick=picks, price=amounts, earlier=st.integers(-5, 5))
    def pay_otherwise(self, pick: int, price: int, earlier: int) -> None:
        piece = self.piece(pick)
        if piece is not None:
            told: Told = {
                "price_cents": price,
                "premium_cents": 0,
                "tax_cents": price // 10,
                "reason": "misread",
            }
            on = piece.sourced_on - timedelta(days=earlier)
            self.act(lambda: pieces.correct_paid(self.session, piece.id, on_date=on, version=None, now=NOW, **told))

    @rule(pick=picks, which=picks, shift=st.integers(-6, 6), found=st.integers(-4, 4))
    def date_otherwise(self, pick: int, which: int, shift: int, found: int) -> None:
        piece = self.piece(pick)
        if piece is None:
            return
        steps = steps_of(self.session, piece.id)
        step = steps[which % len(steps)]
        told: Told = {
            "sourced_on": piece.sourced_on + timedelta(days=found if which % 3 == 0 else 0),
            "step_dates": {step.id: min(step.on_date + timedelta(days=shift), TODAY)},
        }
        self.act(lambda: pieces.correct_dates(self.session, piece.id, version=None, now=NOW, **told))
