"""A row is struck out once, with a reason that is kept."""

import pytest

from app.basics.errors import RuleError
from app.basics.striking import AlreadyStruck, reason_to_keep, require_not_struck
from app.basics.words import REASON_LIMIT


def test_a_row_is_struck_out_once() -> None:
    require_not_struck("line", None)
    with pytest.raises(AlreadyStruck, match="This line is struck out already: entered twice"):
        require_not_struck("line", "entered twice")


@pytest.mark.parametrize("blank", ["", " \n\t ", "\N{ZERO WIDTH SPACE}"])
def test_a_blank_reason_is_asked_for_in_the_words_given(blank: str) -> None:
    with pytest.raises(RuleError, match=r"Say what was wrong\.") as refused:
        reason_to_keep(blank, "Say what was wrong.")
    assert refused.value.field == "reason"


def test_a_reason_is_kept_clean_and_within_its_limit() -> None:
    assert reason_to_keep("  wrong\n piece ") == "wrong piece"
    assert len(reason_to_keep("x" * REASON_LIMIT)) == REASON_LIMIT
    with pytest.raises(RuleError, match="at most") as refused:
        reason_to_keep("x" * (REASON_LIMIT + 1))
    assert refused.value.field == "reason"
