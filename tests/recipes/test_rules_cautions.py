"""Cautions: sourced and dated, law only where it was confirmed, and only those that matter at each place."""

import re
from datetime import date

import pytest

from app.pieces.rules import Age, Caution, Form
from app.recipes.rules import (
    CAUTIONS,
    Aim,
    LeadTest,
    OldFinish,
    Product,
    StepFacts,
    Surface,
    Task,
    Way,
    cautions_for_buying,
    cautions_for_listing,
    cautions_for_step,
    must_not_be_sold,
    speaks_of_paint,
)
from tests.recipes.steps import clean, clear, dust, paint, sand, stain, step, strip, wax

AFTER, BEFORE = Age.AFTER_1978, Age.BEFORE_1978
CLAIMS_LAW = re.compile(
    r"\b(law|lawful|unlawful|legal|illegal|barred|bars?|bans?|banned|prohibit\w*|forbidden|must|required?|binds?)\b"
)


def keys(cautions: tuple[Caution, ...]) -> list[str]:
    return [caution.key for caution in cautions]


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda one: one.key)
def test_every_caution_names_its_source_its_day_and_who_decides(caution: Caution) -> None:
    assert caution.checked_on == date(2026, 11, 26)
    assert caution.source
    assert "http" not in caution.source
    assert caution.words.endswith(".")
    assert re.search(r"(decides?|know|knows)\b.*\.$", caution.defer)
    assert not caution.title.endswith(".")


@pytest.mark.parametrize("caution", [one for one in CAUTIONS if not one.is_confirmed], ids=lambda one: one.key)
def test_what_is_not_confirmed_claims_no_law(caution: Caution) -> None:
    said = f"{caution.title} {caution.words} {caution.defer}".lower()
    assert CLAIMS_LAW.findall(said) == []


def test_no_two_cautions_share_a_key_and_each_is_shown_somewhere() -> None:
    assert len({one.key for one in CAUTIONS}) == len(CAUTIONS)
    words = "recalled crib bunk toy box padded seat mirror ivory lamp built-in worm two-part"
    shown = {*cautions_for_buying(Form.WARDROBE, BEFORE, words)}
    shown |= {*cautions_for_listing(Form.WARDROBE, BEFORE, words, is_painted=True)}
    for each in (strip(), sand(), paint(Product.OIL_PAINT, way=Way.SPRAY), step(Task.CLEAR_COAT, note="two-part")):
        shown |= {*cautions_for_step(each, Surface())}
    assert {one.key for one in shown} == {one.key for one in CAUTIONS}


def test_what_was_not_confirmed_is_not_said() -> None:
    said = " ".join(f"{one.words} {one.source}" for one in CAUTIONS)
    # Figures the reference gives from memory only.
    for figure in ("0.009 %", "2029", "2025, ", "28 Apr 2026", "5,000 ppm", "0.1 %", "16 CFR 1501", "16 CFR 1201"):
        assert figure not in said
    (nmp,) = [one for one in CAUTIONS if one.key == "nmp"]
    assert not nmp.is_confirmed
    assert "was not found" in nmp.source


@pytest.mark.parametrize(
    ("facts", "surface", "expected"),
    [
        (sand(), Surface(), ["lead", "wood_dust"]),
        (sand(), Surface(age=AFTER), ["wood_dust"]),
        (sand(), Surface(lead_test=LeadTest.NEGATIVE), ["wood_dust"]),
        (sand(), Surface(age=AFTER, lead_test=LeadTest.POSITIVE), ["lead", "wood_dust"]),
        (sand(), Surface(OldFinish.BARE), ["wood_dust"]),
        (step(Task.DISTRESS), Surface(age=BEFORE), ["lead"]),
        (strip(), Surface(age=AFTER), ["methylene_chloride", "nmp", "chemicals", "masks", "waste"]),
        (stain(Product.OIL_STAIN), Surface(), ["oily_rags"]),
        (clear(Product.OIL_FINISH, way=Way.RAG), Surface(), ["oily_rags"]),
        (clear(Product.LACQUER, way=Way.SPRAY), Surface(), ["chemicals", "spraying", "masks"]),
        (paint(way=Way.SPRAY), Surface(), ["spraying", "masks"]),
        (clean(Aim.REMOVE_WAX), Surface(), ["chemicals"]),
        (clean(Aim.BLEACH), Surface(), ["chemicals"]),
        (clear(note="two-part, 4:1 with hardener"), Surface(), ["hardeners"]),
        (clean(), Surface(is_damp=True, has_live_insects=True), []),
        (clean(), Surface(), []),
        (dust(), Surface(), []),
        (paint(), Surface(), []),
        (wax(), Surface(), []),
    ],
)
def test_a_step_carries_what_can_hurt_in_it_alone(facts: StepFacts, surface: Surface, expected: list[str]) -> None:
    assert keys(cautions_for_step(facts, surface)) == expected


@pytest.mark.parametrize(
    ("form", "age", "words", "expected"),
    [
        (Form.TABLE, AFTER, "Oak table", []),
        (Form.TABLE, BEFORE, "Oak table", ["lead"]),
        (Form.TABLE, Age.UNKNOWN, "", ["lead"]),
        (Form.WARDROBE, AFTER, "Pine wardrobe", ["lifting"]),
        (Form.BED, AFTER, "Iron bed", ["recalls"]),
        (Form.BED, AFTER, "Bunk bed", ["bunk_beds", "recalls"]),
        (Form.OTHER, AFTER, "Bunk", ["bunk_beds", "recalls"]),
        (Form.OTHER, AFTER, "Drop-side crib", ["cribs", "children", "recalls"]),
        (Form.OTHER, AFTER, "Cradle", ["cribs", "children", "recalls"]),
        (Form.BED, BEFORE, "Baby's bed", ["children", "lead", "recalls"]),
        (Form.BED, AFTER, "Kids' bed", ["children", "recalls"]),
        (Form.CHAIR, AFTER, "Child's chair", ["children", "recalls"]),
        (Form.CHAIR, AFTER, "High chair", ["children", "recalls"]),
        (Form.CHEST, BEFORE, "Toy box", ["toy_boxes", "children", "lead", "recalls"]),
        (Form.OTHER, AFTER, "Box of toys", ["children", "recalls"]),
        (Form.CHAIR, AFTER, "Recalled stool", ["recalled"]),
        (Form.CHAIR, AFTER, "Stool, not recalled", []),
        (Form.CHAIR, AFTER, "Chair, seat to be re-covered", ["upholstery"]),
        (Form.CHEST, AFTER, "Pine, woodworm in the feet", ["insects"]),
        (Form.MIRROR, AFTER, "", ["glass"]),
        (Form.SIDE_TABLE, AFTER, "Round table with a glass top", ["glass"]),
        (Form.DESK, AFTER, "Rosewood desk", ["protected"]),
        (Form.OTHER, AFTER, "Brass floor lamp", ["electrical"]),
        (Form.SIDEBOARD, BEFORE, "Built-in sideboard", ["lead", "built_in", "lifting"]),
    ],
)
def test_a_piece_being_bought_carries_what_belongs_to_it(form: Form, age: Age, words: str, expected: list[str]) -> None:
    assert keys(cautions_for_buying(form, age, words)) == expected


@pytest.mark.parametrize("words", ["cottage chest", "kidney-shaped desk", "toyon box", "scribbled on", "glass knobs"])
def test_a_word_inside_another_is_no_hint(words: str) -> None:
    assert cautions_for_buying(Form.DESK, AFTER, words) == ()


def test_a_piece_that_tested_free_of_lead_carries_no_lead_caution() -> None:
    assert cautions_for_buying(Form.TABLE, BEFORE, lead_test=LeadTest.NEGATIVE) == ()
    assert keys(cautions_for_buying(Form.TABLE, BEFORE, lead_test=LeadTest.POSITIVE)) == ["lead"]


@pytest.mark.parametrize("form", [Form.CHEST, Form.DRESSER, Form.WARDROBE])
def test_clothing_storage_can_tip_over_unless_it_is_known_to_be_low(form: Form) -> None:
    assert keys(cautions_for_listing(form, BEFORE, is_painted=False)) == ["tip_over"]
    assert keys(cautions_for_listing(form, BEFORE, is_painted=False, height_mm=686)) == ["tip_over"]
    assert cautions_for_listing(form, BEFORE, is_painted=False, height_mm=685) == ()


@pytest.mark.parametrize("form", [Form.BOOKCASE, Form.CABINET, Form.NIGHTSTAND])
def test_other_furniture_can_tip_over_where_it_is_known_to_be_tall(form: Form) -> None:
    assert cautions_for_listing(form, BEFORE, is_painted=False) == ()
    assert keys(cautions_for_listing(form, BEFORE, is_painted=False, height_mm=1800)) == ["tip_over"]


@pytest.mark.parametrize(
    ("form", "age", "words", "expected"),
    [
        (Form.DRESSER, AFTER, "", ["tip_over", "recalls"]),
        (Form.BED, AFTER, "", ["recalls"]),
        (Form.TABLE, AFTER, "painted pine", []),
        (Form.TABLE, BEFORE, "oak", ["old_paint_sold"]),
        (
            Form.CHEST,
            BEFORE,
            "Toy box",
            ["toy_boxes", "children", "old_paint_sold", "tip_over", "small_parts", "recalls"],
        ),
        (Form.BED, AFTER, "Child's bed", ["children", "small_parts", "recalls"]),
        (Form.TABLE, BEFORE, "Old PAINT on the legs", ["old_paint_sold"]),
        (Form.CHAIR, AFTER, "padded seat", ["upholstery", "state_tags"]),
        (Form.CHAIR, AFTER, "for a nursery", ["children", "small_parts", "recalls"]),
        (Form.OTHER, AFTER, "cot", ["children", "small_parts", "recalls"]),
        (Form.OTHER, AFTER, "Box with ivory keyhole plates", ["protected"]),
        (Form.CABINET, AFTER, "Lit cabinet, wired", ["electrical"]),
    ],
)
def test_a_piece_being_listed_carries_what_belongs_to_it(form: Form, age: Age, words: str, expected: list[str]) -> None:
    assert keys(cautions_for_listing(form, age, words)) == expected


@pytest.mark.parametrize("age", [BEFORE, Age.UNKNOWN])
def test_a_painted_piece_that_may_be_old_says_so_to_the_buyer(age: Age) -> None:
    assert keys(cautions_for_listing(Form.TABLE, age, is_painted=True)) == ["old_paint_sold"]
    assert keys(cautions_for_listing(Form.TABLE, age, is_painted=None)) == ["old_paint_sold"]
    assert keys(cautions_for_listing(Form.TABLE, age, "white paint", is_painted=False)) == ["old_paint_sold"]
    assert cautions_for_listing(Form.TABLE, age, is_painted=False) == ()
    assert cautions_for_listing(Form.TABLE, age, is_painted=True, lead_test=LeadTest.NEGATIVE) == ()
    assert cautions_for_listing(Form.TABLE, AFTER, is_painted=True) == ()


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("Old cot, drop side", ["cribs"]),
        ("Drop-sided bed", ["cribs"]),
        ("Crib, recalled", ["recalled", "cribs"]),
        ("Child's bed", []),
        ("Bunk bed", []),
        ("never recalled", []),
    ],
)
def test_what_must_not_be_sold_is_told_from_the_owners_words(words: str, expected: list[str]) -> None:
    assert keys(must_not_be_sold(words)) == expected


def test_words_speak_of_paint_in_any_case() -> None:
    assert speaks_of_paint("oak", "two coats of ENAMEL")
    assert not speaks_of_paint("oak", "oiled", "")
