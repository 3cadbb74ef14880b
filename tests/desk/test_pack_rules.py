"""The words of a listing: only what is known, what was done part by part, what a buyer should read."""

from dataclasses import dataclass

import pytest

from app.desk.formats.pack import image_names
from app.desk.rules.pack import (
    BUYER_WORDS,
    Offer,
    PackFacts,
    WorkSaid,
    in_pack_order,
    likely_photos,
    listing_words,
    product_data,
    work_words,
)
from app.photos.rules import Shows
from app.pieces.rules import Age, Condition, Facts, Form
from app.recipes.rules import CAUTIONS, Aim, LeadTest, Part, Product, Task

BARE = PackFacts("7K3", Facts(Form.CHEST))
KNOWN = PackFacts(
    "7K3",
    Facts(
        Form.CHEST,
        title="Oak chest",
        count=2,
        width_mm=800,
        depth_mm=457,
        height_mm=762,
        condition=Condition.B,
        materials="oak",
        age=Age.BEFORE_1978,
        year=1952,
        finish_words="sage over oak",
        notes="The neighbour's; do not tell",
    ),
    work=(
        WorkSaid(Task.CLEAN, Part.WHOLE, Aim.DEGREASE, Product.CLEANER),
        WorkSaid(Task.HARDWARE, Part.WHOLE, Aim.TAKE_OFF),
        WorkSaid(Task.PAINT, Part.BODY, None, Product.WATERBORNE_PAINT),
        WorkSaid(Task.PAINT, Part.BODY, None, Product.WATERBORNE_PAINT),
        WorkSaid(Task.WAX, Part.TOP, None, Product.PASTE_WAX),
        WorkSaid(Task.PHOTOGRAPH, Part.WHOLE),
    ),
    cautions=("old_paint_sold", "tip_over", "recalls"),
    price="Price: $240.00",
)


@dataclass(frozen=True)
class Picture:
    id: int
    shows: Shows


def test_a_piece_of_which_nothing_is_known_is_its_form_and_its_tag() -> None:
    assert listing_words(BARE) == "Chest of drawers\n\nTag 7K3"


def test_all_that_is_known_is_said_and_nothing_else() -> None:
    assert listing_words(KNOWN).split("\n\n") == [
        "Oak chest\nChest of drawers, set of 2",
        (
            "Size: W 31 1/2 x D 18 x H 30 in (W 80 x D 45.7 x H 76.2 cm)\nMade of: oak\nMade: 1952\n"
            "When it came in: sound, light wear"
        ),
        (
            "What was done\n- All of it: cleaned\n- Body: painted with waterborne paint (2 coats)\n- Top: waxed\n"
            "- Finish: sage over oak"
        ),
        f"Please read\n- {BUYER_WORDS['old_paint_sold']}\n- {BUYER_WORDS['tip_over']}",
        "Price: $240.00\nTag 7K3",
    ]


def test_the_owners_notes_and_what_was_paid_stay_in_the_shop() -> None:
    assert "neighbour" not in listing_words(KNOWN)


def test_an_age_that_is_not_known_is_not_said() -> None:
    assert "Made" not in listing_words(BARE)
    assert "Made: before 1978" in listing_words(PackFacts("7K3", Facts(Form.CHEST, age=Age.BEFORE_1978)))


@pytest.mark.parametrize(
    ("test", "words"),
    [
        (LeadTest.NONE, ""),
        (LeadTest.NEGATIVE, "only a laboratory can prove that there is none"),
        (LeadTest.POSITIVE, "A test for lead found some"),
    ],
)
def test_a_lead_test_is_told_with_its_limit(test: LeadTest, words: str) -> None:
    said = listing_words(PackFacts("7K3", Facts(Form.CHEST), lead_test=test))
    assert words in said
    assert ("lead" in said) is bool(words)


def test_every_caution_for_a_buyer_is_one_there_is() -> None:
    assert set(BUYER_WORDS) <= {caution.key for caution in CAUTIONS}


def test_a_coat_without_its_product_is_still_a_coat() -> None:
    steps = [WorkSaid(Task.CLEAR_COAT, Part.TOP)] * 3
    assert work_words(steps) == ["Top: clear coated (3 coats)"]


def test_work_that_comes_back_is_told_once() -> None:
    steps = [WorkSaid(task, Part.WHOLE) for task in (Task.SAND, Task.PRIME, Task.SAND)]
    assert work_words(steps) == ["All of it: sanded, primed"]


def test_a_hundred_photos_sort_in_their_order() -> None:
    assert image_names(2) == ["01.jpg", "02.jpg"]
    assert image_names(120) == sorted(image_names(120))


def test_photos_for_listing_lead_and_receipts_stay_home() -> None:
    shown = [Shows.FOUND, Shows.FINISHED, Shows.RECEIPT, Shows.LISTING, Shows.DURING, Shows.FINISHED]
    ordered = in_pack_order([Picture(number, shows) for number, shows in enumerate(shown)])
    assert [picture.id for picture in ordered] == [3, 1, 5, 0, 4]
    assert [picture.id for picture in likely_photos(ordered)] == [3, 1, 5]
    assert [picture.id for picture in likely_photos(ordered[3:])] == [0, 4]


def test_the_data_for_machines_name_their_kinds_in_full() -> None:
    data = product_data(KNOWN, "words", ["01.jpg"], Offer("240.00", "USD"))
    assert data == {
        "@context": "https://schema.org",
        "@type": "Product",
        "name": "Oak chest",
        "description": "words",
        "sku": "7K3",
        "itemCondition": "https://schema.org/RefurbishedCondition",
        "image": ["01.jpg"],
        "offers": {
            "@type": "Offer",
            "price": "240.00",
            "priceCurrency": "USD",
            "availability": "https://schema.org/InStock",
            "itemCondition": "https://schema.org/RefurbishedCondition",
        },
    }


@pytest.mark.parametrize(
    ("condition", "kind"), [(None, "Used"), (Condition.B, "Used"), (Condition.D, "Damaged"), (Condition.E, "Damaged")]
)
def test_a_piece_as_it_came_is_used_or_damaged(condition: Condition | None, kind: str) -> None:
    data = product_data(PackFacts("7K3", Facts(Form.CHEST, condition=condition)), "words", [], None)
    assert data["itemCondition"] == f"https://schema.org/{kind}Condition"
    assert not {"image", "offers"} & set(data)
