"""Pages that sell a piece: what it sold for, every answer once more, and the sale."""

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import RuleError
from app.basics.quantities import format_rate
from app.floor.queries import ChannelRow
from app.recipes.queries import leaving_of
from app.sales import actions, queries
from app.sales.forms import NO_CHANNEL, NO_PLACE, WHO_COLLECTS, SellForm
from app.sales.queries import DepositRow, SellCard
from app.sales.routes.blueprint import NEVER_KEPT, bp
from app.sales.rules import BASIS_WORDS, NewSale, PlaceOfTax, TaxOfSale, require_sellable
from app.web.filters import day, money, short_day
from app.web.frame import frame, ledger
from app.web.saving import SEE_OTHER, UNPROCESSABLE, save


@bp.get("/pieces/<tag>/sell")
def sell(tag: str) -> ResponseReturnValue:
    card = _card(tag)
    if card.standing_sale is not None:
        flash(f"{card.piece.name} is sold already. This is its sale.")
        return redirect(url_for("sales.sale", sale_id=card.standing_sale.id), SEE_OTHER)
    require_sellable(card.piece.stage, card.piece.left_as)
    return _sell_page(_sell_form(card), card)


@bp.get("/pieces/<tag>/sell/check")
def check(tag: str) -> ResponseReturnValue:
    card = _card(tag)
    if card.standing_sale is not None:
        page = render_template("sales/recorded.html", sale=card.standing_sale, piece=card.piece, came_back=None)
        return page, NEVER_KEPT
    require_sellable(card.piece.stage, card.piece.left_as)
    form = _sell_form(card)
    return _check_page(form, card) if form.is_told else _sell_page(form, card)


@bp.post("/pieces/<tag>/sell/confirm")
def confirm(tag: str) -> ResponseReturnValue:
    card = _card(tag)
    form = _sell_form(card)
    return save(
        form,
        lambda session: actions.record_sale(
            session,
            _agreed(form, card),
            capture_id=str(form.submit_token.data or ""),
            now=clock.now(),
        ),
        to=lambda sale: url_for("sales.sale", sale_id=sale.id),
        again=lambda: _sell_page(form, card),
        done="The sale is recorded.",
    )


def _card(tag: str) -> SellCard:
    with ledger().reading() as session:
        return queries.sell_card(session, tag)


def _sell_form(card: SellCard) -> SellForm:
    listing = card.listing
    chosen = str(listing.channels[0].id) if listing and listing.channels else ""
    form = SellForm.from_request(
        price=listing.asking_cents if listing else None,
        channel=chosen,
        tax_place=str(card.last_place_id or ""),
        deposits=[str(deposit.id) for deposit in card.deposits],
    )
    form.offer("channel", [*((str(row.id), row.name) for row in card.channels), NO_CHANNEL])
    form.offer("tax_place", [*((str(row.id), row.name) for row in card.places), NO_PLACE])
    form.offer("tax_by", WHO_COLLECTS)
    form.offer("deposits", [(str(deposit.id), _deposit_words(deposit)) for deposit in card.deposits])
    return form


def _deposit_words(deposit: DepositRow) -> str:
    return f"{money(deposit.left_cents)} from {deposit.payer}, {short_day(deposit.on_date)}"


def _sell_page(form: SellForm, card: SellCard) -> str:
    with ledger().reading() as session:
        leaving = leaving_of(session, card.piece, clock.now())
    return render_template("sales/sell.html", form=form, card=card, leaving=leaving)


def _proposed(form: SellForm, card: SellCard) -> int:
    return card.fee_proposed(form.channel_id, form.price.data, form.sold_on.data)


def _place(form: SellForm, card: SellCard) -> PlaceOfTax | None:
    return card.place_on(form.tax_place_id, form.sold_on.data)


def _agreed(form: SellForm, card: SellCard) -> NewSale:
    tax = form.tax_of(form.agreed_place(_place(form, card)))
    return form.new_sale(card.piece.id, form.agreed_fees_cents(_proposed(form, card)), tax)


def _check_page(form: SellForm, card: SellCard) -> ResponseReturnValue:
    """Every answer once more with what remains, or the form again with what cannot be."""
    if not form.validate():
        return _sell_page(form, card), UNPROCESSABLE
    place = _place(form, card)
    try:
        tax = form.tax_of(place)
        new = form.new_sale(card.piece.id, form.fees_cents(_proposed(form, card)), tax)
        with ledger().reading() as session:
            queries.check_sale(session, new, frame().today)
    except RuleError as refusal:
        form.refuse(refusal)
        return _sell_page(form, card), UNPROCESSABLE
    form.agree_on(new.fees_cents)
    form.agree_on_rate(place)
    through = card.channel_on(new.channel_id, new.sold_on)
    paid = sum(deposit.left_cents for deposit in card.deposits if deposit.id in new.deposit_ids)
    return render_template(
        "sales/check.html",
        form=form,
        card=card,
        new=new,
        through=through,
        fee_note=_fee_note(form, through),
        place=place,
        tax_note=_tax_note(tax),
        paid=paid,
    ), NEVER_KEPT


def _fee_note(form: SellForm, through: ChannelRow | None) -> str:
    if form.fees.data is not None:
        return "as you typed"
    if through is None:
        return "no channel, so none proposed"
    if through.is_unset:
        return f"no fee is set for {through.name}; write it if it took one"
    since = f" since {day(through.since)}" if through.since else ""
    return f"proposed from what {through.name} takes{since}"


def _tax_note(tax: TaxOfSale) -> str:
    if tax.rate_ppm is None or tax.basis is None:
        return ""
    if not tax.is_worked_out:
        return "as you typed"
    return f"worked out at {format_rate(tax.rate_ppm)}, {BASIS_WORDS[tax.basis].lower()}, delivery taxed too"
