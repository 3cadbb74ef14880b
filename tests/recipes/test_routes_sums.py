"""Pages of the sums: what they answer, what they say to bad input, and that every box keeps what was typed."""

import re
from dataclasses import replace
from html import unescape
from itertools import product
from urllib.parse import urlencode

import pytest
from markupsafe import escape

from app.basics.quantities import Units
from app.database.unit_of_work import Ledger
from app.pieces.rules import Form
from app.recipes.models import MaterialLabel
from app.shelf.rules import MaterialClass
from app.shop.actions import correct_shop
from tests.builders.pieces import NOW, a_piece
from tests.builders.shelf import a_material, a_stocked_material
from tests.conftest import SHOP
from tests.examining_client import ExaminingClient, Page
from tests.whole.test_bad_input import BAD, TYPED_IN

LABEL_RULES = "What the label or the data sheet says goes before every figure here."
CHEST = {"form": "chest", "width_mm": "36", "depth_mm": "18", "height_mm": "48"}
MOST_TYPED = 3000
"""What still fits into an address."""
THIN = ("thin", "paint", "total", "solids", "stock", "strong", "weak", "first", "second", "third", "jar")
ASKED = {
    "/sums/need": {**CHEST, "product": "waterborne_paint", "coats": "2", "way": "brush", "ratio": "1:4"},
    "/sums/parts": {"ratio": "1:4", "total": "500 ml", "have": "", "of": "0"},
    "/sums/thin": {
        "thin": "10",
        "paint": "500 ml",
        "total": "",
        "solids": "38",
        "stock": "100 ml",
        "strong": "100",
        "weak": "20",
        "first": "100 ml",
        "second": "400 ml",
        "third": "",
        "jar": "250 ml",
    },
    "/sums/shellac": {"cut": "2", "alcohol": "1 pint", "flakes": "", "stock": "8 fl oz", "weaker": "1"},
    "/sums/coverage": {"solids": "38", "film": "1.5", "state": "dry", "thin": "", "loss": "", "way": ""},
    "/sums/air": {"temperature": "70", "humidity": "50", "surface": "", "base": "oil"},
}


def asked(client: ExaminingClient, path: str, **said: str | list[str]) -> str:
    """The words of the page that answers, without its marks."""
    html = client.get(f"{path}?{urlencode(said, doseq=True)}").text
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html.split("<main")[1])).split())


def test_the_sums_are_listed_and_each_opens_without_an_answer(client: ExaminingClient) -> None:
    links = Page(client.get("/sums").text).links
    assert set(ASKED) <= set(links)
    for path in ASKED:
        page = client.get(path).text
        assert 'id="answer"' not in page
        assert "There is a problem" not in page
        assert page.count(LABEL_RULES) == 1


@pytest.mark.parametrize("path", ASKED)
def test_every_sum_answers_under_an_address_that_can_be_sent_on(client: ExaminingClient, path: str) -> None:
    page = client.get(f"{path}?{urlencode(ASKED[path])}").text
    assert 'id="answer"' in page
    assert page.count(LABEL_RULES) == 1
    assert f'action="{path}#answer"' in page


@pytest.mark.parametrize("path", ASKED)
def test_no_box_breaks_its_page_or_loses_what_is_typed(client: ExaminingClient, path: str) -> None:
    page = Page(client.get(f"{path}?{urlencode(ASKED[path])}").text)
    filled = page.forms[-1]["filled"]
    boxes = {str(box["name"]) for box in page.controls if box.get("type") in TYPED_IN}
    lost = []
    for name, (what, typed) in product(filled, BAD.items()):
        answer = client.get(f"{path}?{urlencode({**filled, name: typed[:MOST_TYPED]})}").text
        if name in boxes and str(escape(typed[:MOST_TYPED])) not in answer:
            lost.append((name, what))
    assert boxes
    assert lost == []


@pytest.mark.parametrize("path", ASKED)
def test_a_choice_that_is_not_offered_breaks_nothing(client: ExaminingClient, path: str) -> None:
    page = Page(client.get(f"{path}?{urlencode(ASKED[path])}").text)
    names = {str(box["name"]) for box in page.controls if box.get("type") != "text"} | {"faces", "faces_of"}
    assert {"/sums/need": "form", "/sums/air": "base", "/sums/parts": "of"}.get(path, "faces") in names
    for name in names:
        client.get(f"{path}?{urlencode({**ASKED[path], name: 'nonsense'})}")


def test_a_mix_from_a_total_and_from_what_is_left(client: ExaminingClient) -> None:
    words = asked(client, "/sums/parts", ratio="1:3", total="500 ml", have="", of="0")
    assert "Paint 1 part, 25% 4.2 fl oz 125 ml" in words
    assert "Water 3 parts, 75% 12.7 fl oz 375 ml" in words
    words = asked(client, "/sums/parts", ratio="1:4", total="", have="90 ml", of="0")
    assert "Together 15.2 fl oz 450 ml" in words
    words = asked(client, "/sums/parts", ratio="4:1:10%", total="550 ml", have="", of="0")
    assert "Thinner 9.09% of the mix 1.7 fl oz 50 ml" in words
    assert "First part 4 parts, 72.7" in words


@pytest.mark.parametrize(("ratio", "warns"), [("1:4", False), ("4:1:1", True), ("4:1:10%", True)])
def test_a_mix_names_its_parts_and_its_units_and_warns_of_hardener_where_there_may_be_one(
    client: ExaminingClient, ratio: str, *, warns: bool
) -> None:
    page = client.get(f"/sums/parts?{urlencode({'ratio': ratio, 'total': '16', 'of': '0'})}").text
    assert ("polyurethane hardener" in page) is warns
    assert ('<option selected value="0">Paint</option>' in page) is not warns
    assert ('<option value="1">Second part</option>' in page) is warns
    assert "How much to make, in fl oz" in page
    assert "Or what you have, in fl oz" in page


def test_a_number_alone_is_said_to_be_metric_in_a_metric_shop(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        correct_shop(session, replace(SHOP, units=Units.METRIC, version=1), now=NOW)
    assert "How much to make, in ml" in client.get("/sums/parts").text


def test_no_spray_gun_is_offered_for_wax(client: ExaminingClient) -> None:
    paint = client.get(f"/sums/need?{urlencode({**CHEST, 'product': 'waterborne_paint', 'way': 'spray'})}").text
    assert "Spray gun" in paint
    wax = client.get(f"/sums/need?{urlencode({**CHEST, 'product': 'paste_wax', 'way': 'spray'})}").text
    assert "Spray gun" not in wax
    assert 'id="answer"' in wax
    assert "There is a problem" not in wax


def test_paint_is_thinned_from_what_is_there_or_to_a_wished_amount(client: ExaminingClient) -> None:
    words = asked(client, "/sums/thin", thin="10", paint="500 ml", solids="38")
    assert "Paint 16.9 fl oz 500 ml Thinner 1.7 fl oz 50 ml Together 18.6 fl oz 550 ml" in words
    assert "Solids in the mix 34.55%" in words
    assert "weak film" not in words
    words = asked(client, "/sums/thin", thin="25", total="500 ml")
    assert "Paint 13.5 fl oz 400 ml Thinner 3.4 fl oz 100 ml" in words
    assert "Solids in the mix" not in words
    assert "Thinned by more than 10%, a full waterborne coat gets a weak film" in words


def test_a_concentrate_is_diluted_and_a_mix_fills_a_jar(client: ExaminingClient) -> None:
    words = asked(client, "/sums/thin", stock="100 ml", strong="50", weak="10")
    assert "From 50% to 10% Concentrate 3.4 fl oz 100 ml Add 13.5 fl oz 400 ml Together 16.9 fl oz 500 ml" in words
    words = asked(client, "/sums/thin", first="400 ml", second="100 ml", third="50 ml", jar="275 ml")
    assert "First part 6.76 fl oz 200 ml Second part 1.69 fl oz 50 ml Third part 0.85 fl oz 25 ml" in words
    words = asked(client, "/sums/thin", first="100 ml", third="100 ml", jar="1 l")
    assert "First part 16.9 fl oz 500 ml Third part 16.9 fl oz 500 ml" in words


@pytest.mark.parametrize(
    ("path", "said", "words"),
    [
        ("/sums/parts", {"total": "", "have": ""}, "Say how much to make"),
        ("/sums/parts", {"have": "90 ml"}, "Type one of the two"),
        ("/sums/parts", {"ratio": "1-4"}, "with colons between them"),
        ("/sums/parts", {"ratio": ""}, "Type the parts"),
        ("/sums/parts", {"total": "", "have": "90 ml", "of": "3"}, "none of that part"),
        ("/sums/parts", {"total": "0"}, "more than nothing"),
        ("/sums/thin", dict.fromkeys(THIN, ""), "Type what you thin, dilute or fill a jar with"),
        ("/sums/thin", {"thin": ""}, "Type by how much it is thinned"),
        ("/sums/thin", {"paint": ""}, "Type one of the two"),
        ("/sums/thin", {"total": "1 qt"}, "Type one of the two"),
        ("/sums/thin", {"paint": "0"}, "some paint to thin"),
        ("/sums/thin", {"paint": "", "total": "0"}, "more than nothing"),
        ("/sums/thin", {"stock": ""}, "how much of the concentrate"),
        ("/sums/thin", {"strong": ""}, "how strong it is"),
        ("/sums/thin", {"weak": ""}, "what strength it is brought to"),
        ("/sums/thin", {"strong": "10"}, "cannot make it stronger"),
        ("/sums/thin", {"second": ""}, "at least two parts"),
        ("/sums/thin", {"jar": ""}, "how much the jar holds"),
        ("/sums/thin", {"first": "0", "second": "0"}, "more than 0"),
        ("/sums/shellac", {"cut": "9"}, "at most 8"),
        ("/sums/shellac", {"weaker": ""}, "Type the cut it is to be thinned to"),
        ("/sums/shellac", {"weaker": "2"}, "only makes a cut weaker"),
        ("/sums/shellac", {"flakes": "4 oz"}, "Type one of the two"),
        ("/sums/shellac", {"alcohol": "", "stock": ""}, "how much alcohol or flake"),
        ("/sums/coverage", {"solids": "0"}, "above 0 %"),
        ("/sums/coverage", {"film": "0"}, "Such a film cannot be"),
        ("/sums/coverage", {"loss": "30", "way": "spray"}, "not both"),
        ("/sums/coverage", {"loss": "100"}, "less than 100 %"),
        ("/sums/air", {"humidity": "140"}, "from 0 to 100"),
        ("/sums/air", {"humidity": "0"}, "as dry as 0 %"),
        ("/sums/air", {"temperature": "200"}, "-40 to 60"),
        ("/sums/air", {"temperature": ""}, "Type the temperature"),
        ("/sums/air", {"surface": "200"}, "-40 to 60"),
        ("/sums/need", {"form": ""}, "Say what it is"),
        ("/sums/need", {"depth_mm": ""}, "Its depth is needed"),
        ("/sums/need", {"tag": "ZZZ"}, "No piece has that tag number"),
        ("/sums/need", {"coats": "0"}, "from 1 to 12"),
        ("/sums/need", {"ratio": "1:4:10%", "thin": "10"}, "Leave one of the two empty"),
        ("/sums/need", {"faces_of": "chest"}, "Tick at least one face"),
        ("/sums/need", {"spread": "0"}, "more than nothing"),
    ],
)
def test_bad_input_is_told_at_its_box_and_nothing_is_answered(
    client: ExaminingClient, path: str, said: dict[str, str], words: str
) -> None:
    page = client.get(f"{path}?{urlencode({**ASKED[path], **said})}").text
    assert "There is a problem" in page
    assert words in unescape(page)
    assert 'id="answer"' not in page


def test_an_answer_in_metric_for_a_shop_that_measures_so(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        correct_shop(session, replace(SHOP, units=Units.METRIC, version=1), now=NOW)
    words = asked(client, "/sums/air", temperature="20", humidity="50", base="waterborne")
    assert "Dew point 9.3 °C 48.7 °F" in words
    words = asked(client, "/sums/need", area="2.9", coats="2")
    assert "Surface 2.9 m²" in words
    assert "m² a litre" in words


def test_damp_cold_air_is_spoken_against_with_the_origin_of_each_rule(client: ExaminingClient) -> None:
    words = asked(client, "/sums/air", temperature="49", humidity="90", base="waterborne")
    assert words.index("Stop") < words.index("Take care")
    assert "borrowed from metal painting practice" in words
    assert "USDA Wood Handbook, chapter 16" in words
    assert "4 times as long" in words
    assert "Better wait for other air" in words
    assert "Nothing in this air speaks against it." in asked(client, "/sums/air", **ASKED["/sums/air"])


def test_how_much_for_a_piece_by_its_tag(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_piece(session, title="Oak chest", width_mm=914, depth_mm=457, height_mm=1219).tag
    page = client.get(f"/sums/need?tag={tag.lower()}").text
    assert f'href="/pieces/{tag}"' in page
    words = asked(client, "/sums/need", tag=tag)
    assert "Top, 4.5 ft²" in words
    assert "Surface 28.5 ft²" in words
    assert "Mix 24.1 fl oz (713 ml)" in words


def test_a_face_is_switched_off_and_another_form_begins_anew(client: ExaminingClient) -> None:
    only: dict[str, str | list[str]] = {**CHEST, "faces": ["top", "front"], "faces_of": "chest"}
    assert "Surface 16.5 ft²" in asked(client, "/sums/need", **only)
    assert "Surface 20.5 ft²" in asked(
        client, "/sums/need", **{**only, "form": "trunk", "height_mm": "20", "depth_mm": "20"}
    )


def test_a_piece_without_its_depth_asks_for_it_and_takes_what_is_typed(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_piece(session, width_mm=914, height_mm=1219).tag
    assert "Its depth is needed" in asked(client, "/sums/need", tag=tag)
    assert "Surface 28.5 ft²" in asked(client, "/sums/need", tag=tag, depth_mm="18")


def test_a_set_counts_all_its_pieces_and_chairs_lose_more_of_a_spray(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_piece(session, form=Form.CHAIR, count=4).tag
    words = asked(client, "/sums/need", tag=tag, way="spray")
    assert "4 alike 58.6 ft²" in words
    assert "40%" in words
    assert "exhaust to the outside" in words
    assert "40%" not in asked(client, "/sums/need", area="58.6", way="spray")


def test_paint_from_the_shelf_has_its_cost_and_its_labels_rate(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        sage = a_stocked_material(session, "Sage paint")
        a_stocked_material(session, "Degreaser", klass=MaterialClass.CLEANER)
        a_material(session, "Never bought")
        session.add(MaterialLabel(material_id=sage.id, spread_hundredths=10_00, made_at=NOW))
        number = str(sage.id)
    page = client.get("/sums/need").text
    assert "Sage paint" in page
    assert "Degreaser" not in page
    assert "Never bought" not in page
    words = asked(client, "/sums/need", area="1 m2", coats="1", ratio="1:4", residue="0", material=number)
    assert "by the label of Sage paint" in words
    # 105.26 ml in all, a fifth of it paint at 2 cents the ml.
    assert "Cost of Sage paint $0.42" in words


def test_an_unasked_box_takes_what_is_usual_and_an_open_bookcase_is_told_of(client: ExaminingClient) -> None:
    words = asked(client, "/sums/need", form="bookcase", width_mm="36", depth_mm="12", height_mm="72")
    assert "Coats two coats for full cover: common practice, no source 2" in words
    assert "Left in can and tool" in words
    assert "two and a half times the surface" in words
    assert "a guess" in words
    assert "Rags wet with oil" in asked(client, "/sums/need", area="10", way="rag")
