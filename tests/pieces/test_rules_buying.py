"""How pieces come in: facts, kinds of purchase, hauls shared to the cent, sets split."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.quantities import Units
from app.basics.words import fold
from app.pieces.rules import (
    DEFAULT_SOURCES,
    FORM_WORDS,
    Age,
    Facts,
    Form,
    OwnedPiece,
    PurchaseKind,
    Share,
    SplitMethod,
    SplitPart,
    Stage,
    changed_facts,
    folded_words,
    is_lead_possible,
    kind_of_purchase,
    require_amounts,
    require_capture_id,
    require_covers_parts,
    require_owned,
    require_parts,
    require_split,
    share_haul,
    share_split,
    sound_facts,
)
from app.web.silhouettes import FORMS

AMOUNTS = st.integers(0, 10**9)


def facts(**said: object) -> Facts:
    return Facts(**{"form": Form.CHEST, **said})  # type: ignore[arg-type]


def test_every_form_has_a_silhouette_of_its_own() -> None:
    assert {form.value for form in Form} == set(FORMS)
    assert set(FORM_WORDS) == set(Form)


def test_a_piece_without_a_title_goes_by_its_form() -> None:
    assert facts().name == "Chest of drawers"
    assert facts(title="Grandpa's chest").name == "Grandpa's chest"


def test_words_are_cleaned_and_colours_made_small() -> None:
    sound = sound_facts(facts(title="  Oak \t chest ", finish_colour="#7A8F6A", notes="a\r\nb "), 2026)
    assert (sound.title, sound.finish_colour, sound.notes) == ("Oak chest", "#7a8f6a", "a\nb")


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"title": "x" * 121}, "title"),
        ({"materials": "x" * 201}, "materials"),
        ({"notes": "x" * 4001}, "notes"),
        ({"finish_words": "x" * 201}, "finish_words"),
        ({"finish_colour": "sage"}, "finish_colour"),
        ({"finish_colour": "#7a8f6"}, "finish_colour"),
        ({"count": 0}, "count"),
        ({"count": 1000}, "count"),
        ({"width_mm": 0}, "width_mm"),
        ({"height_mm": 20_001}, "height_mm"),
        ({"year": 2027}, "year"),
        ({"year": 1499}, "year"),
        ({"year": 1965, "age": Age.AFTER_1978}, "year"),
        ({"year": 1990, "age": Age.BEFORE_1978}, "year"),
    ],
)
def test_unsound_facts_are_refused_at_their_field(said: dict[str, object], field: str) -> None:
    with pytest.raises(RuleError) as refusal:
        sound_facts(facts(**said), 2026)
    assert refusal.value.field == field


@pytest.mark.parametrize("age", Age)
def test_the_year_of_the_ban_fits_every_age(age: Age) -> None:
    assert sound_facts(facts(year=1978, age=age), 2026).year == 1978


def test_lead_is_possible_unless_the_piece_is_known_to_be_younger() -> None:
    assert [age for age in Age if is_lead_possible(age)] == [Age.BEFORE_1978, Age.UNKNOWN]


def test_changed_facts_are_told_in_words_before_and_after() -> None:
    was, became = facts(width_mm=800), facts(width_mm=813, form=Form.TRUNK, year=1950)
    told = {change.label: (change.was, change.became) for change in changed_facts(was, became, Units.IMPERIAL)}
    assert told == {
        "Form": ("Chest of drawers", "Trunk"),
        "Width": ("31 1/2 in", "32 in"),
        "Year": ("", "1950"),
    }


def test_a_difference_too_small_to_show_is_still_a_change() -> None:
    assert changed_facts(facts(width_mm=800), facts(width_mm=801), Units.IMPERIAL)


def test_searched_words_hold_name_tag_materials_and_notes_without_accents() -> None:
    words = folded_words(facts(title="Cómmode", materials="Pine", notes="from the Älp"), tag="7K4", next_note="Glue")
    assert words.startswith("commode 7k4")
    for one in ("chest of drawers", "pine", "alp", "glue"):
        assert one in words
    assert words == fold(words)


def test_a_free_place_asks_no_money() -> None:
    assert kind_of_purchase(0, is_free_source=True) is PurchaseKind.FREE
    with pytest.raises(RuleError, match="cost nothing") as refusal:
        kind_of_purchase(1, is_free_source=True)
    assert refusal.value.field == "paid"


def test_a_piece_given_at_any_other_place_counts_as_bought_for_nothing() -> None:
    assert kind_of_purchase(0, is_free_source=False) is PurchaseKind.BOUGHT


def test_default_sources_hold_free_ones_and_no_name_twice() -> None:
    names = [name for name, _ in DEFAULT_SOURCES]
    assert len(set(names)) == len(names)
    assert dict(DEFAULT_SOURCES)["Kerb"]
    assert not dict(DEFAULT_SOURCES)["Auction"]


@pytest.mark.parametrize("at", [0, 1, 2])
def test_amounts_below_zero_are_refused(at: int) -> None:
    with pytest.raises(RuleError) as refusal:
        require_amounts(*(-1 if number == at else 0 for number in range(3)))
    assert refusal.value.field == ("paid", "premium", "tax")[at]


@pytest.mark.parametrize("capture_id", ["", "x" * 37])
def test_a_form_without_its_number_saves_nothing(capture_id: str) -> None:
    with pytest.raises(RuleError, match="lost its number"):
        require_capture_id(capture_id)


def test_a_haul_by_guess_is_shared_to_the_cent() -> None:
    # 100.00 by 200 : 100 : 50 is 57.142.., 28.571.., 14.285..: two cents left over go to the largest remainders.
    shares = share_haul(10_000, 1_000, 77, SplitMethod.GUESS, [20_000, 10_000, 5_000], places=2)
    assert [share.price_cents for share in shares] == [5_714, 2_857, 1_429]
    assert sum(share.premium_cents for share in shares) == 1_000
    assert sum(share.tax_cents for share in shares) == 77


@given(AMOUNTS, AMOUNTS, AMOUNTS, st.lists(AMOUNTS, min_size=2, max_size=20), st.sampled_from(SplitMethod))
def test_shares_always_add_up(price: int, premium: int, tax: int, amounts: list[int], split: SplitMethod) -> None:
    if split is SplitMethod.BY_HAND:
        price = sum(amounts)
    if split is SplitMethod.GUESS and not any(amounts):
        amounts = [1, *amounts[1:]]
    shares = share_haul(price, premium, tax, split, list(amounts), places=2)
    assert sum(share.price_cents for share in shares) == price
    assert sum(share.premium_cents for share in shares) == premium
    assert sum(share.tax_cents for share in shares) == tax
    assert min(min(share.price_cents, share.premium_cents, share.tax_cents) for share in shares) >= 0


def test_premium_and_tax_follow_the_shares_by_hand() -> None:
    shares = share_haul(1_000, 100, 10, SplitMethod.BY_HAND, [900, 100], places=2)
    assert shares == [Share(900, 90, 9), Share(100, 10, 1)]


@pytest.mark.parametrize(
    ("amounts", "words"),
    [([900, 50], "0.50 is still missing"), ([900, 175], "0.75 is too much"), ([900, None], "Piece 2 needs its share")],
)
def test_shares_by_hand_that_do_not_add_up_say_by_how_much(amounts: list[int | None], words: str) -> None:
    with pytest.raises(RuleError, match=words) as refusal:
        share_haul(1_000, 0, 0, SplitMethod.BY_HAND, amounts, places=2)
    assert refusal.value.field == "split"


def test_a_difference_is_named_in_the_places_of_the_currency() -> None:
    with pytest.raises(RuleError, match="add up to 950, but the price is 1000: 50 is still missing"):
        share_haul(1_000, 0, 0, SplitMethod.BY_HAND, [900, 50], places=0)


@pytest.mark.parametrize("amounts", [[None, 5], [0, 0]])
def test_guesses_that_are_missing_or_all_nothing_are_refused(amounts: list[int | None]) -> None:
    with pytest.raises(RuleError, match="guess"):
        share_haul(1_000, 0, 0, SplitMethod.GUESS, amounts, places=2)


@pytest.mark.parametrize("count", [0, 1, 201])
def test_a_haul_has_two_pieces_at_least(count: int) -> None:
    with pytest.raises(RuleError):
        require_parts(count)


START, TODAY = date(2024, 1, 1), date(2026, 11, 25)


@pytest.mark.parametrize(
    ("stage", "sourced_on", "cents", "field"),
    [
        (Stage.SOLD, START, 0, "stage"),
        (Stage.LISTED, START, 0, "stage"),
        (Stage.PREPPED, date(2024, 1, 2), 0, "sourced_on"),
        (Stage.PREPPED, date(2026, 11, 26), 0, "sourced_on"),
        (Stage.PREPPED, START, -1, "cost"),
    ],
)
def test_opening_stock_that_cannot_be_is_refused(stage: Stage, sourced_on: date, cents: int, field: str) -> None:
    with pytest.raises(RuleError) as refusal:
        require_owned(OwnedPiece(facts(), stage, sourced_on, cents), START, TODAY)
    assert refusal.value.field == field


@pytest.mark.parametrize("stage", [Stage.SOURCED, Stage.PREPPED, Stage.FINISHED])
def test_a_piece_found_on_the_first_day_may_still_be_opening_stock(stage: Stage) -> None:
    require_owned(OwnedPiece(facts(), stage, START, 0), START, TODAY)


def test_what_was_paid_cannot_fall_below_what_went_to_the_parts() -> None:
    require_covers_parts(50, 100, 50)
    require_covers_parts(120, 100, 200)
    with pytest.raises(RuleError) as refusal:
        require_covers_parts(49, 100, 50)
    assert refusal.value.field == "paid"


PAIR = (SplitPart("Left", 1, 1), SplitPart("Right", 3, 2))


def test_a_set_splits_into_parts_that_make_it_up() -> None:
    require_split(PAIR, 4, Stage.PREPPED, None)


@pytest.mark.parametrize(
    ("parts", "stage"),
    [
        (PAIR[:1], Stage.PREPPED),
        (PAIR, Stage.SOLD),
        (PAIR, Stage.LISTED),
        ((SplitPart("", 0, 1), SplitPart("", 4, 1)), Stage.PREPPED),
        ((SplitPart("", 2, -1), SplitPart("", 2, 1)), Stage.PREPPED),
        ((SplitPart("", 2, 1), SplitPart("", 3, 1)), Stage.PREPPED),
    ],
)
def test_parts_that_do_not_make_the_set_are_refused(parts: tuple[SplitPart, ...], stage: Stage) -> None:
    with pytest.raises(RuleError):
        require_split(parts, 4, stage, None)


@given(AMOUNTS, st.integers(0, 10**5), st.lists(st.integers(0, 1000), min_size=2, max_size=9))
def test_cost_and_minutes_split_without_loss(cents: int, minutes: int, weights: list[int]) -> None:
    shares = share_split([SplitPart("", 1, weight) for weight in weights], cents, minutes)
    assert sum(share.cents for share in shares) == cents
    assert sum(share.minutes for share in shares) == minutes


def test_cost_below_zero_is_not_split() -> None:
    with pytest.raises(RuleError):
        share_split(PAIR, -1, 0)
