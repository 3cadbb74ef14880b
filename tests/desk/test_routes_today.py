"""Today, the first start, what is owned already, and Settings."""

import re
from datetime import date, datetime, timedelta

from freezegun import freeze_time

from app.database.unit_of_work import Ledger
from app.floor.actions import change_price, hold_piece
from app.pieces.actions import note_next
from app.pieces.queries import piece_rows, sources
from app.pieces.rules import Stage
from app.shop.queries import shop_facts
from tests.builders.costs import a_cost
from tests.builders.floor import a_channel, a_listed_piece
from tests.builders.pieces import a_piece
from tests.builders.sales import a_sold_piece
from tests.builders.timelog import a_time
from tests.examining_client import ExaminingClient

TODAY = date(2026, 11, 25)


def test_an_empty_shop_is_told_where_to_begin(client: ExaminingClient) -> None:
    page = client.get("/").text
    assert "Log your first find" in page
    assert "Enter what you own already" in page


def test_the_month_so_far_is_what_sold_less_shop_costs(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece, _sale = a_sold_piece(session, price_cents=4000, sale_price_cents=24_000)
        a_cost(session, None, amount_cents=5000)
        a_time(session, piece.id, minutes=120)
    page = client.get("/").text
    assert "Earned in November" in page
    assert "$150.00" in page
    assert "1 piece" in page
    assert "2 h" in page
    assert "$100.00" in page
    assert 'href="/books/months/2026-11#ladder-head"' in page


def test_a_month_with_a_loss_carries_a_minus(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_cost(session, None, amount_cents=5000)
    page = client.get("/").text
    assert "Earned in November" in page
    assert "Lost" not in page
    assert "\u2212$50.00" in page


def test_what_comes_next_and_a_hold_that_runs_out_are_named(
    client: ExaminingClient, ledger: Ledger, now: datetime
) -> None:
    with ledger.writing() as session:
        note_next(session, a_piece(session).id, "Glue the runner", version=None, now=now)
        held = a_listed_piece(session, title="Tall mirror")
        hold_piece(session, held.id, held_for="Ana", until=TODAY, note="", now=now)
    page = client.get("/").text
    assert "Glue the runner" in page
    assert "Hold runs out today" in page
    assert "for Ana" in page


def test_a_piece_on_the_floor_too_long_is_named(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_listed_piece(session, bought_on=date(2026, 7, 1), listed_on=date(2026, 8, 1), title="Slow sideboard")
        a_listed_piece(session, title="Quick chair")
    page = client.get("/").text
    told = page[page.index("Needs you") :]
    assert "116 days on the floor" in told
    assert "Slow sideboard" in told
    assert "Quick chair" not in told[: told.index("<h2>Next")]


def test_what_was_logged_last_comes_first(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
        a_cost(session, piece.id, amount_cents=1234)
    page = client.get("/").text
    assert "Last logged" in page
    assert "$12.34" in page


def test_a_hold_and_a_changed_price_are_among_what_was_logged_last(
    client: ExaminingClient, ledger: Ledger, now: datetime
) -> None:
    with ledger.writing() as session:
        piece = a_listed_piece(session, asking_cents=15_000)
        later = now + timedelta(minutes=1)
        change_price(session, piece.id, asking_cents=12_345, on_date=TODAY, note="", now=later)
        hold_piece(session, piece.id, held_for="Ana", until=date(2026, 12, 1), note="", now=later)
    page = client.get("/").text
    logged = page[page.index("Last logged") :]
    assert "Price changed, $123.45" in logged
    assert "Held for Ana" in logged
    assert logged.count("Price changed") == 1


def test_what_needs_you_stands_before_what_comes_next(client: ExaminingClient, ledger: Ledger, now: datetime) -> None:
    with ledger.writing() as session:
        for number in range(5):
            note_next(session, a_piece(session).id, f"Sand leg {number}", version=None, now=now)
            a_listed_piece(session, bought_on=date(2026, 7, 1), listed_on=date(2026, 8, number + 1))
    page = client.get("/").text
    assert page.index("Earned in") < page.index("Needs you") < page.index("<h2>Next") < page.index("Last logged")
    assert page.count("Sand leg") == 3
    assert "All on the bench" in page
    assert "All 5 that sit too long" in page


def test_today_reminds_of_a_backup_only_when_there_is_something_to_lose(
    client: ExaminingClient, ledger: Ledger, now: datetime
) -> None:
    assert "backup" not in client.get("/").text
    with ledger.writing() as session:
        a_piece(session)
    assert "No backup was ever made." in client.get("/").text
    client.post_form("/settings/safekeeping/backup", {}, from_page="/settings/safekeeping")
    with freeze_time(now + timedelta(days=8)):
        assert "backup" not in client.get("/").text.partition('tabindex="-1"')[2]
    with freeze_time(now + timedelta(days=9)):
        assert "The last backup is 9 days old." in client.get("/").text


def test_today_asks_no_more_queries_for_ten_times_the_pieces(client: ExaminingClient, ledger: Ledger) -> None:
    def fill(number: int) -> None:
        with ledger.writing() as session:
            for _ in range(number):
                piece = a_piece(session, stage=Stage.PREPPED)
                a_time(session, piece.id, minutes=1)
                a_sold_piece(session)
                a_listed_piece(session, bought_on=date(2026, 7, 1), listed_on=date(2026, 8, 1))

    fill(1)
    client.get("/")
    asked = client.queries
    fill(9)
    client.get("/")
    assert client.queries == asked


def start_fields(**fields: str) -> dict[str, str]:
    usual = {
        "name": "Bent Nail Workshop",
        "currency": "USD",
        "time_zone": "America/Denver",
        "units": "imperial",
        "started_on": "2026-11-25",
    }
    return usual | fields


def test_a_new_shop_is_led_to_its_start_and_on_to_what_is_owned(bare_client: ExaminingClient, ledger: Ledger) -> None:
    assert bare_client.get("/", status=303).location == "/start"
    answer = bare_client.post_form("/start", start_fields())
    assert answer.location == "/start/own"
    page = bare_client.get("/start/own").text
    assert "What you own already" in page
    assert "Later" in page
    with ledger.reading() as session:
        facts = shop_facts(session)
        assert facts is not None
        assert (facts.name, facts.currency, facts.started_on) == ("Bent Nail Workshop", "USD", TODAY)
        assert len(sources(session)) > 5


def test_the_start_page_offers_every_currency_and_zone(bare_client: ExaminingClient) -> None:
    page = bare_client.get("/start").text
    assert '<option selected value="USD">' in page
    assert all(f'value="{code}"' in page for code in ("EUR", "GBP", "JPY", "CAD", "KWD"))
    assert page.index('value="America/New_York"') < page.index('value="Africa/Abidjan"')


def test_a_shop_without_a_name_is_asked_for_one(bare_client: ExaminingClient, ledger: Ledger) -> None:
    answer = bare_client.post_form("/start", start_fields(name=" "))
    assert answer.status_code == 422
    assert "Give your shop a name" in answer.text
    with ledger.reading() as session:
        assert shop_facts(session) is None


def test_a_shop_that_is_open_does_not_start_again(client: ExaminingClient) -> None:
    assert client.get("/start", status=303).location == "/"


def own_fields(client: ExaminingClient, **fields: str) -> dict[str, str]:
    """Every box of the page as a browser sends it, the stage of each row untouched."""
    names = re.findall(r'name="(piece_\d+_\w+)"', client.get("/start/own").text)
    return {name: "sourced" if name.endswith("_stage") else "" for name in names} | fields


def test_what_is_owned_is_entered_a_few_rows_at_a_time(client: ExaminingClient, ledger: Ledger) -> None:
    rows = {"piece_1_form": "chest", "piece_1_stage": "finished", "piece_1_sourced_on": "2023-05-01"}
    fields = own_fields(client, **rows, piece_1_cost="80")
    assert client.post_form("/start/own", fields).location == "/start/own"
    with ledger.reading() as session:
        [piece] = piece_rows(session)
    page = client.get("/start/own").text
    assert piece.stage is Stage.FINISHED
    assert piece.tag in page
    assert "Done" in page


def test_once_some_are_entered_a_short_set_of_empty_rows_follows(client: ExaminingClient) -> None:
    assert client.get("/start/own").text.count('<fieldset class="row-card"') == 5
    rows = {"piece_1_form": "chest", "piece_1_stage": "prepped", "piece_1_sourced_on": "2023-05-01"}
    client.post_form("/start/own", own_fields(client, **rows, piece_1_since="2023-06-01"))
    page = client.get("/start/own").text
    assert page.count('<fieldset class="row-card"') == 2
    assert page.index(">Done<") < page.index("row-card")


def test_an_owned_piece_may_be_on_the_floor_already(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        channel = a_channel(session)
    rows = {"piece_1_form": "chest", "piece_1_stage": "listed", "piece_1_sourced_on": "2023-05-01"}
    fields = own_fields(client, **rows, piece_1_asking="150", channels=str(channel.id))
    assert client.post_form("/start/own", fields).status_code == 303
    assert "$150.00" in client.get("/floor").text


def test_an_owned_piece_found_after_the_start_is_refused_at_its_day(client: ExaminingClient, ledger: Ledger) -> None:
    rows = {"piece_2_form": "chest", "piece_2_sourced_on": "2025-05-01"}
    answer = client.post_form("/start/own", own_fields(client, **rows))
    assert answer.status_code == 422
    assert '<a href="#piece_2_sourced_on">Piece 2: Your books began' in answer.text
    with ledger.reading() as session:
        assert piece_rows(session) == []


def test_settings_lead_everywhere_and_say_what_is_running(client: ExaminingClient) -> None:
    page = client.get("/settings").text
    for path in ("shop", "sources", "channels", "safekeeping", "phones", "passphrase"):
        assert f'href="/settings/{path}"' in page
    assert "Everything is kept in" in page
    assert "sqlite" not in page


def test_the_shops_facts_are_put_right(client: ExaminingClient, ledger: Ledger) -> None:
    fields = {"name": "Straight Nail", "time_zone": "Europe/Paris", "units": "metric", "sits_too_long_days": "90"}
    assert client.post_form("/settings/shop", fields).location == "/settings"
    with ledger.reading() as session:
        facts = shop_facts(session)
    assert facts is not None
    assert (facts.name, facts.units.value, facts.sits_too_long_days) == ("Straight Nail", "metric", 90)


def test_two_edits_of_the_shop_clash_and_both_are_shown(client: ExaminingClient) -> None:
    fields = {"name": "Mine", "time_zone": "America/Denver", "units": "imperial", "sits_too_long_days": "60"}
    answer = client.post_form("/settings/shop", {**fields, "version": "0"})
    assert answer.status_code == 409
    assert 'value="Mine"' in answer.text
    assert "Bent Nail Workshop" in answer.text
