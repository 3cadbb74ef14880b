"""Setting the passphrase, judging tries, signing in and out."""

from datetime import datetime, timedelta

import pytest
from argon2 import PasswordHasher, extract_parameters
from argon2.low_level import Type
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.access import actions, queries
from app.access.models import Passphrase, SignedInBrowser, WrongTry
from app.access.rules import TooManyTries
from app.basics.errors import NotFound, RuleError

GOOD = "copper kettle on the sill"
OTHER = "seventeen lame geese"
HERE = "192.168.1.20"


def count(session: Session, kind: type[WrongTry | SignedInBrowser]) -> int:
    return session.scalar(select(func.count()).select_from(kind)) or 0


def stored_hash(session: Session) -> str:
    found = queries.passphrase_hash(session)
    assert found is not None
    return found


def test_a_passphrase_is_kept_as_an_argon2id_hash_of_at_least_the_recommended_cost(
    session: Session, now: datetime
) -> None:
    """The OWASP Password Storage cheat sheet asks for 19 MiB and two passes at least."""
    actions.set_passphrase(session, GOOD, now=now)
    kept = stored_hash(session)
    parameters = extract_parameters(kept)
    assert GOOD not in kept
    assert parameters.type is Type.ID
    assert parameters.memory_cost >= 19456
    assert parameters.time_cost >= 2


def test_the_passphrase_matches_and_another_one_does_not(session: Session, now: datetime) -> None:
    actions.set_passphrase(session, "eine gru\u0308ne Kommode", now=now)
    kept = stored_hash(session)
    assert actions.is_match(kept, "eine grüne Kommode")
    assert not actions.is_match(kept, "eine grune Kommode")
    assert not actions.is_match(kept, "")
    assert not actions.is_match(kept, "\ud800" * 15)
    assert not actions.is_match("not a hash", GOOD)


def test_a_new_passphrase_takes_the_old_ones_place_and_signs_everybody_out(session: Session, now: datetime) -> None:
    actions.set_passphrase(session, GOOD, now=now)
    token = actions.sign_in(session, name="garage phone", now=now)
    actions.set_passphrase(session, OTHER, now=now)
    assert session.scalar(select(func.count()).select_from(Passphrase)) == 1
    assert actions.is_match(stored_hash(session), OTHER)
    assert not actions.is_match(stored_hash(session), GOOD)
    assert queries.browser_with_token(session, token, now) is None


def test_a_poor_passphrase_changes_nothing(session: Session, now: datetime) -> None:
    actions.set_passphrase(session, GOOD, now=now)
    with pytest.raises(RuleError):
        actions.set_passphrase(session, "Bent Nail Workshop", shop_name="Bent Nail Workshop", now=now)
    assert actions.is_match(stored_hash(session), GOOD)


def test_a_try_is_counted_before_it_is_judged(session: Session, now: datetime) -> None:
    actions.set_passphrase(session, GOOD, now=now)
    assert actions.is_match(actions.count_try(session, HERE, now=now), GOOD)
    assert count(session, WrongTry) == 1


def test_a_shop_without_a_passphrase_judges_no_try(session: Session, now: datetime) -> None:
    with pytest.raises(RuleError, match="no passphrase"):
        actions.count_try(session, HERE, now=now)


def test_the_sixth_try_must_wait_and_one_that_waits_is_not_counted(session: Session, now: datetime) -> None:
    actions.set_passphrase(session, GOOD, now=now)
    for _ in range(5):
        actions.count_try(session, HERE, now=now)
    for _ in range(3):
        with pytest.raises(TooManyTries) as refusal:
            actions.count_try(session, HERE, now=now)
        assert refusal.value.seconds == 1
    assert count(session, WrongTry) == 5
    actions.count_try(session, HERE, now=now + timedelta(seconds=1))
    with pytest.raises(TooManyTries) as refusal:
        actions.count_try(session, HERE, now=now + timedelta(seconds=1))
    assert refusal.value.seconds == 2


def test_another_address_has_its_own_free_tries_until_all_together_are_too_many(
    session: Session, now: datetime
) -> None:
    actions.set_passphrase(session, GOOD, now=now)
    for household in range(4):
        for _ in range(5):
            actions.count_try(session, f"192.168.1.{household}", now=now)
    with pytest.raises(TooManyTries):
        actions.count_try(session, "192.168.1.99", now=now)


def test_old_tries_are_swept_out(session: Session, now: datetime) -> None:
    actions.set_passphrase(session, GOOD, now=now)
    for _ in range(5):
        actions.count_try(session, HERE, now=now)
    actions.count_try(session, HERE, now=now + timedelta(days=1))
    assert count(session, WrongTry) == 1


def test_tries_are_forgotten_for_the_address_that_knew_the_passphrase_alone(session: Session, now: datetime) -> None:
    actions.set_passphrase(session, GOOD, now=now)
    for address in (HERE, HERE, "192.168.1.66"):
        actions.count_try(session, address, now=now)
    actions.forget_tries(session, HERE)
    assert [row.address for row in session.scalars(select(WrongTry))] == ["192.168.1.66"]
    assert actions.reset_tries(session) == 1
    assert count(session, WrongTry) == 0


def test_a_weaker_hash_is_made_anew_at_sign_in(session: Session, now: datetime) -> None:
    weak = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(GOOD)
    session.add(Passphrase(id=1, hash=weak, set_at=now))
    session.flush()
    assert actions.is_match(weak, GOOD)
    actions.harden_hash(session, weak, GOOD)
    strong = stored_hash(session)
    assert extract_parameters(strong).memory_cost >= 19456
    assert actions.is_match(strong, GOOD)
    actions.harden_hash(session, strong, GOOD)
    assert stored_hash(session) == strong


def test_only_the_hash_of_a_token_is_kept_and_no_two_tokens_are_alike(session: Session, now: datetime) -> None:
    tokens = {actions.sign_in(session, name="garage phone", now=now) for _ in range(50)}
    assert len(tokens) == 50
    assert min(map(len, tokens)) >= 43
    kept = {value for row in session.scalars(select(SignedInBrowser)) for value in vars(row).values()}
    assert not tokens & {value for value in kept if isinstance(value, str)}


def test_a_browser_is_known_by_its_token_until_it_is_signed_out(session: Session, now: datetime) -> None:
    token = actions.sign_in(session, name="garage phone", now=now)
    found = queries.browser_with_token(session, token, now)
    assert found is not None
    assert found.name == "garage phone"
    assert actions.end_browser(session, found.id, now=now) == "garage phone"
    assert queries.browser_with_token(session, token, now) is None
    assert queries.was_signed_in(session, token)
    assert not queries.was_signed_in(session, "another token")
    assert not queries.was_signed_in(session, None)


def test_a_browser_that_was_never_signed_in_cannot_be_ended(session: Session, now: datetime) -> None:
    with pytest.raises(NotFound):
        actions.end_browser(session, 404, now=now)


def test_all_others_can_be_signed_out_at_once(session: Session, now: datetime) -> None:
    tokens = [actions.sign_in(session, name=f"browser {number}", now=now) for number in range(3)]
    mine = queries.browser_with_token(session, tokens[1], now)
    assert mine is not None
    assert actions.end_other_browsers(session, mine.id, now=now) == 2
    assert [row.name for row in queries.open_browsers(session, now)] == ["browser 1"]


def test_browsers_are_listed_with_the_one_seen_last_first_and_without_those_that_ran_out(
    session: Session, now: datetime
) -> None:
    old = actions.sign_in(session, name="old", now=now - timedelta(days=20))
    actions.sign_in(session, name="phone", now=now - timedelta(hours=2))
    laptop = actions.sign_in(session, name="laptop", now=now - timedelta(hours=3))
    found = queries.browser_with_token(session, laptop, now)
    assert found is not None
    actions.note_seen(session, found.id, now=now)
    session.expire_all()
    assert [row.name for row in queries.open_browsers(session, now)] == ["laptop", "phone"]
    assert queries.browser_with_token(session, old, now) is None
