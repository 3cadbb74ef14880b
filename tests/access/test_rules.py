"""Passphrases, the wait after wrong tries, addresses, and how long a sign-in lasts."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.access.rules import (
    FREE_TRIES_IN_ALL,
    FREE_TRIES_PER_ADDRESS,
    LONGEST,
    LONGEST_WAIT_SECONDS,
    SHORTEST,
    SignedIn,
    TooManyTries,
    guess_name,
    is_loopback,
    normalised,
    require_good_passphrase,
    seconds_left,
    token_hash,
    tries_from,
    wait_after,
    wait_in_words,
)
from app.basics.errors import RuleError

T = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
FREE = FREE_TRIES_PER_ADDRESS


def seconds(number: float) -> timedelta:
    return timedelta(seconds=number)


@pytest.mark.parametrize(
    "passphrase",
    [
        "copper kettle on the sill",
        "four lame geese",
        "x7!Kq-zP2%mw$Vb",
        "eine grüne Kommode",
        "三脚の椅子と古い机と緑の棚と鏡台",
        "Bent Nail, seventeen geese",
        "\N{OPEN LOCK}" + "\N{SNOWMAN}\N{UMBRELLA}\N{ANCHOR}" * 2 + "no rules on marks",
        "a" * 8 + "nd then some words",
    ],
)
def test_words_of_any_kind_make_a_passphrase(passphrase: str) -> None:
    require_good_passphrase(passphrase, "Bent Nail Workshop")


@pytest.mark.parametrize("length", [0, 1, 8, SHORTEST - 1])
def test_fewer_than_fifteen_characters_are_refused(length: int) -> None:
    with pytest.raises(RuleError, match="15 characters or more") as refusal:
        require_good_passphrase("kettle sill goose"[:length])
    assert refusal.value.field == "passphrase"


def test_fifteen_and_two_hundred_and_fifty_six_characters_pass_and_one_more_does_not() -> None:
    require_good_passphrase("kettle on sills")
    words = "".join(f"kettle {number} sill goose " for number in range(20))
    require_good_passphrase(words[:LONGEST])
    with pytest.raises(RuleError, match="256 characters at most"):
        require_good_passphrase(words[: LONGEST + 1])


@pytest.mark.parametrize(
    "guessed",
    [
        "tackclothtackcloth",
        "TackCloth Tackcloth!",
        "Bent Nail Workshop",
        "bentnailworkshopbentnailworkshop",
        "bent-nail-workshop-2026",
        "passwordpassword",
        "Password Password 1234",
        "aaaaaaaaaaaaaaaaaa",
        "..................",
        "1234567890123456",
        "qwertyuiopasdfghjkl",
        "poiuytrewqlkjhgfdsa",
        "abcdefghijklmnop",
        "zyxwvutsrqponmlkj",
        "1qaz2wsx3edc4rfv",
        "geese geese geese",
        "abcabcabcabcabcabc",
        "p\u00e1sswordpassw\u00f6rd",
        "letmeinletmein!!",
    ],
)
def test_what_would_be_guessed_early_is_refused(guessed: str) -> None:
    with pytest.raises(RuleError, match="guessed early"):
        require_good_passphrase(guessed, "Bent Nail Workshop")


def test_the_same_letters_from_another_keyboard_are_the_same_passphrase() -> None:
    assert normalised("gru\u0308ne Kommode") == normalised("grüne Kommode")
    assert normalised("\uff47eese") == "geese"


def test_the_first_five_tries_cost_nothing_then_the_wait_doubles_up_to_a_quarter_of_an_hour() -> None:
    assert [wait_after(count, FREE) for count in range(5)] == [0] * 5
    assert [wait_after(count, FREE) for count in range(5, 16)] == [1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 900]
    assert wait_after(10_000, FREE) == LONGEST_WAIT_SECONDS == 900


@given(st.integers(0, 400), st.integers(1, 50))
def test_one_more_wrong_try_never_shortens_the_wait(count: int, free: int) -> None:
    assert wait_after(count, free) <= wait_after(count + 1, free) <= LONGEST_WAIT_SECONDS


def test_the_wait_runs_from_the_last_try_and_runs_out() -> None:
    tries = [T + seconds(number) for number in range(7)]
    last = tries[-1]
    assert seconds_left(tries, FREE, last) == 4
    assert seconds_left(tries, FREE, last + seconds(3.2)) == 1
    assert seconds_left(tries, FREE, last + seconds(4)) == 0


def test_tries_older_than_a_day_are_forgotten() -> None:
    tries = [T] * 9
    assert seconds_left(tries, FREE, T) == 16
    assert seconds_left(tries, FREE, T + timedelta(days=1)) == 0
    assert seconds_left([*tries, T + timedelta(days=1)], FREE, T + timedelta(days=1)) == 0


def test_a_clock_set_back_does_not_lock_the_owner_out() -> None:
    assert seconds_left([T + timedelta(hours=3)] * 6, FREE, T) == 2


@given(st.lists(st.integers(0, 200_000), max_size=30), st.integers(0, 300_000))
def test_the_wait_left_is_never_more_than_the_wait_for_that_many(moments: list[int], later: int) -> None:
    tries = [T + seconds(moment) for moment in moments]
    assert 0 <= seconds_left(tries, FREE, T + seconds(later)) <= wait_after(len(tries), FREE)


def test_all_addresses_together_have_more_free_tries_than_one() -> None:
    assert FREE_TRIES_PER_ADDRESS == 5
    assert FREE_TRIES_IN_ALL > FREE_TRIES_PER_ADDRESS


@pytest.mark.parametrize(
    ("wait", "words"),
    [(1, "1 second"), (2, "2 seconds"), (59, "59 seconds"), (60, "1 minute"), (61, "2 minutes"), (900, "15 minutes")],
)
def test_a_wait_is_told_in_plain_words(wait: int, words: str) -> None:
    assert wait_in_words(wait) == words
    assert TooManyTries(wait).message == f"Too many wrong tries. Wait {words}, then try again."


@pytest.mark.parametrize("address", ["127.0.0.1", "127.8.9.1", "::1", "::ffff:127.0.0.1", "::1%lo"])
def test_this_computer_is_told_by_its_address(address: str) -> None:
    assert is_loopback(address)


@pytest.mark.parametrize("address", ["192.168.1.20", "0.0.0.0", "::", "2001:db8::1", "localhost", "", None, "127.1"])  # noqa: S104
def test_nothing_else_counts_as_this_computer(address: str | None) -> None:
    assert not is_loopback(address)


def test_tries_from_one_household_are_counted_together() -> None:
    assert tries_from("2001:db8:1:2:aaaa::1") == tries_from("2001:db8:1:2:bbbb::9")
    assert tries_from("2001:db8:1:2::1") != tries_from("2001:db8:1:3::1")
    assert tries_from("::ffff:192.168.1.20") == tries_from("192.168.1.20") == "192.168.1.20"
    assert tries_from(None) == tries_from("no address") == "unknown"
    assert len(tries_from("2001:db8:ffff:ffff:ffff:ffff:ffff:ffff")) <= 64


def test_a_sign_in_lasts_thirty_days_and_not_a_second_more() -> None:
    seen = T + timedelta(days=29)
    assert SignedIn(T, seen).is_open(T + timedelta(days=30) - seconds(1))
    assert not SignedIn(T, seen).is_open(T + timedelta(days=30))


def test_fourteen_days_away_end_a_sign_in() -> None:
    assert SignedIn(T, T).is_open(T + timedelta(days=14) - seconds(1))
    assert not SignedIn(T, T).is_open(T + timedelta(days=14))


def test_a_browser_that_was_signed_out_stays_out() -> None:
    assert not SignedIn(T, T, ended_at=T).is_open(T)


def test_a_sighting_is_written_down_every_five_minutes_at_most() -> None:
    assert not SignedIn(T, T).is_due_to_be_noted(T + seconds(299))
    assert SignedIn(T, T).is_due_to_be_noted(T + seconds(300))


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("Something/5.0 (Linux; handheld; K) Mobile Engine/1", "phone browser"),
        ("Something/5.0 (Tablet; rv:1)", "tablet browser"),
        ("Something/5.0 (X11; x86_64) Engine/1", "computer browser"),
        ("", "computer browser"),
    ],
)
def test_a_browser_without_a_name_gets_a_plain_one(said: str, name: str) -> None:
    assert guess_name(said) == name


def test_a_token_is_kept_as_its_hash() -> None:
    assert token_hash("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
