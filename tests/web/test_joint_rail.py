"""The joint rail says where a piece stands, in shapes and in words."""

import re

import pytest
from jinja2 import Environment, PackageLoader, StrictUndefined

from app.web.joint_rail import Joint, JointRail, StageMark

LABELS = ("Sourced", "Prepped", "Finished", "Listed", "Sold")


def a_rail(*states: str, left_text: str | None = None, stepped_back: str = "") -> JointRail:
    marks = tuple(
        StageMark(label.lower(), label, state, "9 May" if state in {"cut", "here"} else None, label == stepped_back)
        for label, state in zip(LABELS, states, strict=True)
    )
    return JointRail(marks, left_text)


def shapes(joint: Joint) -> list[str]:
    return [line.css for line in joint.lines]


def words(rail: JointRail) -> list[str]:
    env = Environment(loader=PackageLoader("app.web"), autoescape=True, undefined=StrictUndefined)
    module = env.get_template("web/joint_rail.html").module
    written = str(module.joint_rail(rail))  # type: ignore[attr-defined]
    items = re.findall(r"<li.*?</li>", written, flags=re.DOTALL)
    plain = [re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", item)).strip() for item in items]
    return [text.replace(" ,", ",") for text in plain]


def test_done_present_and_coming_stages_have_different_shapes() -> None:
    done, _, here, ahead, _ = a_rail("cut", "cut", "here", "ahead", "ahead").joints
    assert shapes(done) == shapes(here) == ["joint-pins", "joint-tail"]
    assert done.lines[1].path != here.lines[1].path
    assert shapes(ahead) == ["joint-pins", "joint-scribed"]


def test_a_skipped_stage_is_hatched_as_waste_and_says_so() -> None:
    rail = a_rail("cut", "skipped", "here", "ahead", "ahead")
    assert shapes(rail.joints[1])[-1] == "joint-waste"
    assert rail.joints[1].notes == ("skipped",)


def test_stepping_back_leaves_a_kerf_and_its_words() -> None:
    rail = a_rail("cut", "here", "ahead", "ahead", "ahead", stepped_back="Finished")
    assert shapes(rail.joints[2])[-1] == "joint-kerf"
    assert rail.joints[2].notes == ("stepped back",)
    assert all("joint-kerf" not in shapes(joint) for joint in rail.joints if joint.key != "finished")


def test_the_kerf_sits_in_the_tail_where_the_tail_is() -> None:
    raised = a_rail("cut", "here", "ahead", "ahead", "ahead", stepped_back="Prepped").joints[1]
    seated = a_rail("cut", "cut", "here", "ahead", "ahead", stepped_back="Prepped").joints[1]
    assert raised.lines[-1].path != seated.lines[-1].path


def test_leaving_without_a_sale_ends_the_rail_with_a_plain_cut() -> None:
    rail = a_rail("cut", "here", "ahead", "ahead", "ahead", left_text="Scrapped")
    assert [joint.label for joint in rail.joints] == ["Sourced", "Prepped", "Scrapped"]
    assert [joint.state for joint in rail.joints] == ["cut", "cut", "left"]
    assert shapes(rail.joints[-1]) == ["joint-end", "joint-waste"]
    assert rail.present_label == "Scrapped"


def test_the_present_word_is_the_stage_the_piece_is_at() -> None:
    assert a_rail("cut", "cut", "here", "ahead", "ahead").present_label == "Finished"
    assert a_rail("here", "ahead", "ahead", "ahead", "ahead").present_label == "Sourced"


def test_a_state_nobody_knows_is_refused() -> None:
    with pytest.raises(ValueError, match="cut, here, ahead, skipped"):
        StageMark("sold", "Sold", "almost")


def test_a_reader_hears_every_stage_with_its_state_in_order() -> None:
    said = words(a_rail("cut", "skipped", "here", "ahead", "ahead", stepped_back="Finished"))
    assert said == [
        "Sourced, done 9 May",
        "Prepped skipped",
        "Finished, now 9 May stepped back",
        "Listed, not yet",
        "Sold, not yet",
    ]


def test_a_reader_hears_how_the_piece_left() -> None:
    assert words(a_rail("cut", "here", "ahead", "ahead", "ahead", left_text="Given away"))[-1] == (
        "Given away, left without a sale"
    )


def test_the_small_rail_carries_the_present_word_and_hides_its_drawing() -> None:
    env = Environment(loader=PackageLoader("app.web"), autoescape=True, undefined=StrictUndefined)
    module = env.get_template("web/joint_rail.html").module
    mini = str(module.joint_rail_mini(a_rail("cut", "here", "ahead", "ahead", "ahead")))  # type: ignore[attr-defined]
    assert mini.count('aria-hidden="true"') == mini.count("<svg") == 5
    assert ">Prepped</span>" in mini
