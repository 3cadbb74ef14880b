"""What each error tells the owner."""

import pytest

from app.basics.errors import NotFound, RuleError, StaleEdit, TackclothError


def test_a_rule_error_keeps_its_sentence_and_its_field() -> None:
    error = RuleError("Type the price as a number.", field="price")

    assert error.message == "Type the price as a number."
    assert error.field == "price"
    assert str(error) == error.message


def test_a_rule_error_may_belong_to_the_whole_form() -> None:
    assert RuleError("This month is closed.").field is None


def test_a_stale_edit_says_what_changed_and_keeps_its_present_values() -> None:
    present = {"Title": "Pine chest"}
    error = StaleEdit("piece", present)
    present["Title"] = "Oak chest"

    assert "piece" in error.message
    assert error.now_values == {"Title": "Pine chest"}


def test_what_is_not_found_is_named() -> None:
    assert "piece number 17" in NotFound("piece number 17").message


@pytest.mark.parametrize("error", [RuleError("No."), StaleEdit("piece", {}), NotFound("haul")])
def test_every_error_is_caught_as_one_kind(error: TackclothError) -> None:
    with pytest.raises(TackclothError):
        raise error
