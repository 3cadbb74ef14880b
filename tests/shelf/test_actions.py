"""Buying, using, counting, taking parts off and striking out: what each is charged, and what is refused."""

from dataclasses import replace
from datetime import date, datetime
from io import BytesIO
from pathlib import Path

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError, StaleEdit
from app.basics.striking import AlreadyStruck
from app.photos.queries import photo_by_id
from app.photos.rules import Shows
from app.photos.store import keep
from app.pieces.actions import strike_find
from app.shelf.actions import (
    add_material,
    buy_material,
    correct_material,
    strike_count,
    strike_purchase,
    strike_use,
    use_material,
)
from app.shelf.models import Material, ShelfCharge
from app.shelf.queries import facts_of, plan_with, shelf_findings, shelf_value
from app.shelf.rules import (
    NEWEST,
    ChargeKind,
    ClosedCharge,
    MaterialClass,
    MaterialFacts,
    NewPurchase,
    NewUse,
    NotAsShown,
    NothingBought,
    RowKind,
    ShelfRow,
    TooMuchOff,
    Unit,
    mark_of,
)
from app.shop.actions import keep_closed
from app.shop.rules import MonthFigures, MonthIsClosed
from tests.builders.photos import photo_bytes
from tests.builders.pieces import a_piece
from tests.builders.sales import a_sold_piece
from tests.builders.shelf import (
    BOUGHT,
    USED,
    a_count,
    a_material,
    a_purchase,
    a_stocked_material,
    a_use,
    some_parts,
)


def charges(session: Session) -> list[tuple[ChargeKind, int | None, int]]:
    """Every charge that is kept: its kind, its piece, its cents."""
    kept = session.scalars(select(ShelfCharge).order_by(ShelfCharge.on_date, ShelfCharge.id))
    return [(charge.kind, charge.piece_id, charge.cents) for charge in kept]


def close(session: Session, *months: Month, now: datetime) -> None:
    """Close months, with figures that do not matter here."""
    for month in months:
        keep_closed(session, month, MonthFigures(0, 0, 0, 0, 0), first=months[0], now=now)


def is_proven(session: Session) -> bool:
    """Whether every identity of the shelf holds."""
    return all(found.holds for found in shelf_findings(session))


def test_a_use_costs_the_piece_its_share_with_the_tax_in_it(session: Session) -> None:
    piece, material = a_piece(session), a_material(session)
    a_purchase(session, material, cents=2_000, tax_cents=160)
    use = a_use(session, material, piece.id)
    assert charges(session) == [(ChargeKind.USE, piece.id, 540)]
    assert (shelf_value(session, date(2026, 11, 9)), shelf_value(session, use.on_date)) == (2_160, 1_620)
    assert shelf_value(session, date(2026, 11, 1)) == 0
    assert is_proven(session)


def test_a_use_for_the_shop_is_charged_to_no_piece(session: Session) -> None:
    a_use(session, a_stocked_material(session))
    assert charges(session) == [(ChargeKind.USE, None, 500)]


def test_the_same_capture_sent_twice_is_one_row(session: Session, now: datetime) -> None:
    material = a_stocked_material(session)
    new = NewUse(material.id, None, 1_000, USED)
    first = use_material(session, new, capture_id="a-phone-1", now=now)
    assert use_material(session, new, capture_id="a-phone-1", now=now).id == first.id
    assert len(charges(session)) == 1
    with pytest.raises(RuleError, match="lost its number"):
        use_material(session, new, capture_id="", now=now)


def test_what_was_never_bought_by_that_day_cannot_be_used_or_counted(session: Session) -> None:
    material = a_material(session)
    for act in (lambda: a_use(session, material), lambda: a_count(session, material, 1)):
        with pytest.raises(NothingBought, match="Nothing of it was bought by 10 November 2026") as refused:
            act()
        assert refused.value.field == "quantity"
    a_purchase(session, material, on_date=date(2026, 11, 11))
    with pytest.raises(NothingBought):
        a_use(session, material)
    assert charges(session) == []


def test_quantities_of_nothing_and_costs_below_nothing_are_refused_at_their_fields(session: Session) -> None:
    material = a_stocked_material(session)
    fields = []
    for act in (
        lambda: a_purchase(session, material, 0),
        lambda: a_use(session, material, milli=0),
        lambda: a_count(session, material, -1),
        lambda: a_purchase(session, material, cents=-1),
        lambda: a_purchase(session, material, tax_cents=-1),
    ):
        with pytest.raises(RuleError) as refused:
            act()
        fields.append(refused.value.field)
    assert fields == ["quantity", "quantity", "quantity", "price", "tax"]


@pytest.mark.parametrize("day", [date(2026, 11, 26), date(2023, 12, 31)])
def test_days_to_come_and_days_before_the_books_are_refused(session: Session, day: date) -> None:
    material = a_stocked_material(session)
    for act in (
        lambda: a_purchase(session, material, on_date=day),
        lambda: a_use(session, material, on_date=day),
        lambda: a_count(session, material, 1, on_date=day),
    ):
        with pytest.raises(RuleError) as refused:
            act()
        assert refused.value.field == "on_date"


def test_a_struck_piece_is_refused_and_a_sold_one_is_not(session: Session, now: datetime) -> None:
    material, mistake = a_stocked_material(session), a_piece(session)
    strike_find(session, mistake.id, reason="logged twice", version=None, now=now)
    with pytest.raises(RuleError, match="struck out"):
        a_use(session, material, mistake.id)
    sold, _sale = a_sold_piece(session)
    a_use(session, material, sold.id, on_date=date(2026, 11, 24))
    assert charges(session) == [(ChargeKind.USE, sold.id, 500)]
    with pytest.raises(NotFound):
        a_use(session, material, 99)


def test_a_use_beyond_what_is_left_is_settled_on_the_day_of_the_next_purchase(session: Session) -> None:
    piece, material = a_piece(session), a_stocked_material(session)
    a_use(session, material, piece.id, 1_100_000)
    assert charges(session) == [(ChargeKind.USE, piece.id, 2_200)]
    assert shelf_value(session, USED) == -200
    a_purchase(session, material, 1_000_000, 3_000, on_date=date(2026, 11, 20))
    assert charges(session)[1:] == [(ChargeKind.SETTLEMENT, piece.id, 100)]
    assert session.scalars(select(ShelfCharge.on_date)).all() == [USED, date(2026, 11, 20)]
    assert shelf_value(session, date(2026, 11, 20)) == 2_700
    assert is_proven(session)


def test_a_count_charges_the_shop_what_is_missing(session: Session) -> None:
    material = a_stocked_material(session)
    a_count(session, material, 900_000)
    a_count(session, material, 950_000, on_date=date(2026, 11, 11))
    assert charges(session) == [(ChargeKind.COUNT, None, 200), (ChargeKind.COUNT, None, -100)]
    assert is_proven(session)


def test_a_backdated_row_must_show_what_it_changes_before_it_is_saved(session: Session, now: datetime) -> None:
    piece, material = a_piece(session), a_stocked_material(session)
    a_use(session, material, piece.id)
    new = NewPurchase(material.id, 1_000_000, 4_000, date(2026, 11, 5))
    with pytest.raises(NotAsShown):
        buy_material(session, new, capture_id="late", agreed="", now=now)
    assert charges(session) == [(ChargeKind.USE, piece.id, 500)]
    row = ShelfRow(RowKind.BOUGHT, NEWEST, new.on_date, new.milli, new.price_cents)
    (change,) = (plan := plan_with(session, material.id, row)).others
    assert (change.charge.piece_id, change.was, change.becomes) == (piece.id, 500, 750)
    buy_material(session, new, capture_id="late", agreed=mark_of(plan.others), now=now)
    assert charges(session) == [(ChargeKind.USE, piece.id, 750)]
    assert is_proven(session)


def test_what_changes_nothing_else_is_saved_at_once(session: Session, now: datetime) -> None:
    material = a_stocked_material(session)
    a_use(session, material, on_date=date(2026, 11, 5))
    use_material(session, NewUse(material.id, None, 1_000, USED), capture_id="next", agreed="", now=now)
    new = NewPurchase(material.id, 1_000_000, 4_000, date(2026, 11, 11))
    buy_material(session, new, capture_id="more", agreed="", now=now)
    assert len(charges(session)) == 2
    with pytest.raises(NotAsShown):
        # Within a day what was bought comes before what was used, so this changes the use of that day.
        buy_material(session, replace(new, on_date=USED), capture_id="same-day", agreed="", now=now)


def test_its_own_settlement_is_no_change_of_another(session: Session, now: datetime) -> None:
    material = a_stocked_material(session)
    a_use(session, material, milli=1_500_000)
    new = NewPurchase(material.id, 1_000_000, 4_000, date(2026, 11, 12))
    buy_material(session, new, capture_id="more", agreed="", now=now)
    assert [kind for kind, *_ in charges(session)] == [ChargeKind.USE, ChargeKind.SETTLEMENT]


def test_charges_that_do_not_change_are_not_written_anew(session: Session) -> None:
    material = a_stocked_material(session)
    a_use(session, material, on_date=date(2026, 11, 4))
    a_use(session, material, on_date=date(2026, 11, 20))
    early, late = session.scalars(select(ShelfCharge).order_by(ShelfCharge.on_date)).all()
    a_purchase(session, material, 500_000, 4_000, on_date=date(2026, 11, 10))
    kept = session.scalars(select(ShelfCharge).order_by(ShelfCharge.on_date)).all()
    assert kept[0] is early
    assert kept[1] is not late
    assert [charge.cents for charge in kept] == [500, 1_100]


def test_striking_a_use_gives_its_cost_back_and_charges_the_later_ones_anew(session: Session, now: datetime) -> None:
    piece, material = a_piece(session), a_stocked_material(session)
    wrong = a_use(session, material, piece.id, 900_000)
    a_purchase(session, material, 1_000_000, 5_100, on_date=date(2026, 11, 12))
    a_use(session, material, piece.id, 100_000, on_date=date(2026, 11, 15))
    assert charges(session)[-1] == (ChargeKind.USE, piece.id, 482)
    with pytest.raises(NotAsShown):
        strike_use(session, wrong.id, reason="wrong piece", agreed="", now=now)
    strike_use(session, wrong.id, reason=" wrong piece ", now=now)
    assert wrong.struck_reason == "wrong piece"
    assert charges(session) == [(ChargeKind.USE, piece.id, 355)]
    assert is_proven(session)


def test_a_purchase_on_which_others_rest_stays(session: Session, now: datetime) -> None:
    material = a_material(session)
    first = a_purchase(session, material)
    use = a_use(session, material)
    with pytest.raises(NothingBought, match="The use of 10 November 2026 would be left with nothing bought before it"):
        strike_purchase(session, first.id, reason="twice", now=now)
    assert first.struck_at is None
    strike_use(session, use.id, reason="twice", now=now)
    strike_purchase(session, first.id, reason="twice", now=now)
    assert (charges(session), shelf_value(session, USED)) == ([], 0)


def test_what_is_struck_out_cannot_be_struck_again(session: Session, now: datetime) -> None:
    material = a_stocked_material(session)
    count = a_count(session, material, 1)
    strike_count(session, count.id, reason="miscounted", now=now)
    with pytest.raises(AlreadyStruck):
        strike_count(session, count.id, reason="again", now=now)
    with pytest.raises(RuleError, match="Say why"):
        strike_use(session, a_use(session, material).id, reason=" ", now=now)
    for strike in (strike_purchase, strike_use, strike_count):
        with pytest.raises(NotFound):
            strike(session, 99, reason="x", now=now)


def test_nothing_in_a_closed_month_is_entered_or_struck_out(session: Session, now: datetime) -> None:
    material = a_material(session)
    october = date(2026, 10, 5)
    bought = a_purchase(session, material, on_date=october)
    used = a_use(session, material, on_date=october)
    counted = a_count(session, material, 700_000, on_date=october)
    close(session, Month(2026, 10), now=now)
    before = charges(session)
    for act in (
        lambda: a_purchase(session, material, on_date=october),
        lambda: a_use(session, material, on_date=october),
        lambda: a_count(session, material, 1, on_date=october),
        lambda: some_parts(session, material, a_piece(session).id, on_date=october),
        lambda: strike_purchase(session, bought.id, reason="x", now=now),
        lambda: strike_use(session, used.id, reason="x", now=now),
        lambda: strike_count(session, counted.id, reason="x", now=now),
    ):
        with pytest.raises(MonthIsClosed):
            act()
    assert charges(session) == before
    a_use(session, material)
    assert charges(session)[: len(before)] == before


def test_a_frozen_charge_that_no_longer_fits_stops_everything(session: Session, now: datetime) -> None:
    material = a_material(session)
    a_purchase(session, material, on_date=date(2026, 10, 5))
    a_use(session, material, on_date=date(2026, 10, 6))
    close(session, Month(2026, 10), now=now)
    session.scalars(select(ShelfCharge)).one().cents += 1
    session.flush()
    with pytest.raises(ClosedCharge):
        a_use(session, material)
    assert not is_proven(session)


def test_parts_leave_the_piece_at_a_value_it_stands_at(session: Session) -> None:
    piece = a_piece(session)
    pulls = a_material(session, "Old pulls", klass=MaterialClass.HARDWARE, unit=Unit.EACH)
    taken = some_parts(session, pulls, piece.id, 4_000, 800)
    assert (taken.from_piece_id, taken.price_cents, taken.tax_cents) == (piece.id, 800, 0)
    assert shelf_value(session, USED) == 800
    for cents in (801, -1):
        with pytest.raises(TooMuchOff) as refused:
            some_parts(session, pulls, piece.id, cents=cents, stands_at_cents=800)
        assert refused.value.field == "value"
    with pytest.raises(RuleError, match="before the day it was found"):
        some_parts(session, pulls, piece.id, on_date=date(2026, 9, 30))
    some_parts(session, pulls, piece.id, cents=0, stands_at_cents=-5)


def test_nothing_is_taken_off_a_piece_that_is_not_here(session: Session) -> None:
    pulls = a_material(session, "Old pulls", klass=MaterialClass.HARDWARE, unit=Unit.EACH)
    sold, _sale = a_sold_piece(session)
    with pytest.raises(RuleError, match="It is sold"):
        some_parts(session, pulls, sold.id)


def test_a_receipt_is_kept_with_its_purchase(session: Session, now: datetime, tmp_path: Path) -> None:
    material = a_material(session)
    stored = keep(tmp_path, BytesIO(photo_bytes()), "receipt.jpg")
    new = NewPurchase(material.id, 1_000, 500, BOUGHT, tax_cents=40, bought_at="paint store", note="two")
    bought = buy_material(session, new, capture_id="one", receipt=stored, now=now)
    assert bought.receipt_photo_id is not None
    assert photo_by_id(session, bought.receipt_photo_id).shows is Shows.RECEIPT
    assert (bought.tax_cents, bought.bought_at, bought.note) == (40, "paint store", "two")


def sage(**said: object) -> MaterialFacts:
    """Facts of a paint, but for what is said."""
    facts = {"name": "Sage paint", "klass": MaterialClass.PAINT, "unit": Unit.ML}
    return MaterialFacts(**{**facts, **said})  # type: ignore[arg-type]


def test_a_material_is_kept_as_it_was_said(session: Session, now: datetime) -> None:
    facts = sage(
        name="  Sage   paint ",
        colour="#7A8F6A",
        sheen="eggshell",
        volume_solids_hundredths=3_800,
        reorder_milli=250_000,
        note="shake well",
    )
    material = add_material(session, facts, now=now)
    assert facts_of(material) == sage(
        colour="#7a8f6a", sheen="eggshell", volume_solids_hundredths=3_800, reorder_milli=250_000, note="shake well"
    )


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"name": " "}, "name"),
        ({"name": "SAGE Paint"}, "name"),
        ({"colour": "green"}, "colour"),
        ({"volume_solids_hundredths": 10_001}, "solids"),
        ({"reorder_milli": -1}, "reorder"),
    ],
)
def test_what_is_no_material_is_refused_at_its_field(
    session: Session, now: datetime, said: dict[str, object], field: str
) -> None:
    a_material(session)
    with pytest.raises(RuleError) as refused:
        add_material(session, sage(**{"name": "Other paint", **said}), now=now)
    assert refused.value.field == field


def test_a_material_is_put_right_on_its_own_version(session: Session) -> None:
    material = a_material(session)
    correct_material(session, material.id, sage(name="Moss paint", unit=Unit.G), version=1)
    with pytest.raises(StaleEdit) as stale:
        correct_material(session, material.id, sage(), version=1)
    assert (stale.value.version, stale.value.now_values["Name"]) == (2, "Moss paint")
    a_purchase(session, material)
    with pytest.raises(RuleError, match="how it is measured cannot change") as refused:
        correct_material(session, material.id, sage(unit=Unit.ML), version=2)
    assert refused.value.field == "unit"
    correct_material(session, material.id, sage(unit=Unit.G, is_put_away=True), version=2)
    assert session.scalars(select(Material.is_put_away)).all() == [True]
    with pytest.raises(NotFound):
        correct_material(session, 99, sage(), version=1)
