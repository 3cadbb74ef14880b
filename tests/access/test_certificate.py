"""The shop's certificate: what it vouches for, when it is made anew, and that its key stays where it is."""

import logging
import stat
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address
from pathlib import Path
from zipfile import ZipFile

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509 import verification
from cryptography.x509.oid import ExtendedKeyUsageOID

from app.access import rules, store
from app.access.rules import authority_is_due, certificate_is_due, local_name, names_for, reach_for
from app.basics.errors import RuleError
from app.basics.settings import Settings
from app.safekeeping.actions import back_up
from tests.builders.safekeeping import a_kept_shop

HOST, COMPUTER, SHOP = "192.168.1.20", "Bench.lan", "Bent Nail Workshop"
NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
DAY = timedelta(days=1)


def made(folder: Path, host: str = HOST, *, now: datetime = NOW) -> tuple[x509.Certificate, x509.Certificate]:
    """The authority's certificate and the shop's."""
    shop = store.ready_certificate(folder, host, COMPUTER, SHOP, now=now)
    trust = store.what_to_trust(folder)
    assert trust is not None
    return x509.load_der_x509_certificate(trust.der), x509.load_pem_x509_certificate(shop.read_bytes())


def verified(authority: x509.Certificate, shop: x509.Certificate, host: str, *, now: datetime = NOW) -> None:
    """Hold the shop's certificate against its authority by the rules of the web."""
    address = rules.address_of(host)
    subject = x509.DNSName(host) if address is None else x509.IPAddress(IPv4Address(address))
    checks = verification.PolicyBuilder().store(verification.Store([authority])).time(now)
    checks.build_server_verifier(subject).verify(shop, [])


@pytest.mark.parametrize(
    ("host", "covered"),
    [
        ("192.168.1.20", True),
        ("10.9.8.7", True),
        ("172.31.0.1", True),
        ("169.254.1.1", True),
        ("127.0.0.9", True),
        ("garage.local", True),
        ("LOCALHOST", True),
        ("172.32.0.1", False),
        ("8.8.8.8", False),
        ("example.com", False),
        ("notlocal", False),
        ("evil-local", False),
    ],
)
def test_an_authority_vouches_for_what_is_inside_a_house(host: str, covered: bool) -> None:  # noqa: FBT001
    assert reach_for(HOST).covers(host) is covered


@pytest.mark.parametrize("host", ["8.8.8.8", "shop.home.example"])
def test_an_address_elsewhere_is_added_by_itself_alone(host: str) -> None:
    reach = reach_for(host)
    assert reach.covers(host)
    assert not reach.covers("8.8.8.9")
    assert not reach.covers("example")


def test_the_names_are_the_address_the_computer_and_this_very_computer() -> None:
    assert names_for(HOST, COMPUTER) == (HOST, "bench.local", "localhost", "127.0.0.1")
    assert names_for("Bench.local", COMPUTER) == ("bench.local", "localhost", "127.0.0.1")
    assert names_for("127.0.0.1", "my_computer") == ("127.0.0.1", "localhost")
    assert [local_name(name) for name in ("", "localhost", "-x", "g\u00e4rage", "x" * 64)] == [None] * 5


def test_it_is_made_anew_with_sixty_days_left_or_for_other_names() -> None:
    names = names_for(HOST, COMPUTER)
    assert not certificate_is_due(NOW + 61 * DAY, names, names, NOW)
    assert certificate_is_due(NOW + 60 * DAY, names, names, NOW)
    assert certificate_is_due(NOW + 300 * DAY, names, names_for("10.0.0.5", COMPUTER), NOW)
    assert not certificate_is_due(NOW + 300 * DAY, tuple(reversed(names)), names, NOW)


def test_the_authority_is_made_anew_before_it_could_end_before_a_certificate() -> None:
    reach = reach_for(HOST)
    assert not authority_is_due(NOW + 398 * DAY, reach, HOST, NOW)
    assert authority_is_due(NOW + 396 * DAY, reach, HOST, NOW)
    assert authority_is_due(NOW + 3000 * DAY, reach, "8.8.8.8", NOW)
    assert not authority_is_due(NOW + 3000 * DAY, reach, "10.0.0.5", NOW)


def test_what_phones_ask_of_a_certificate_is_in_it(tmp_path: Path) -> None:
    authority, shop = made(tmp_path)
    kind = authority.extensions.get_extension_for_class(x509.BasicConstraints)
    assert (kind.critical, kind.value.ca, kind.value.path_length) == (True, True, 0)
    bounds = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert bounds.critical
    assert len(bounds.value.permitted_subtrees or []) == 7
    assert 3651 <= (authority.not_valid_after_utc - NOW).days <= 3653
    assert shop.not_valid_after_utc - shop.not_valid_before_utc == 397 * DAY
    uses = shop.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(uses) == [ExtendedKeyUsageOID.SERVER_AUTH]
    key = shop.public_key()
    assert isinstance(key, ec.EllipticCurvePublicKey)
    assert key.curve.name == "secp256r1"
    assert shop.signature_hash_algorithm is not None
    assert shop.signature_hash_algorithm.name == "sha256"
    for host in (HOST, "bench.local", "localhost", "127.0.0.1"):
        verified(authority, shop, host)
    for host in ("192.168.1.21", "example.com", "other.local"):
        with pytest.raises(verification.VerificationError):
            verified(authority, shop, host)


def test_a_phone_whose_clock_is_slow_trusts_both_at_once(tmp_path: Path) -> None:
    authority, shop = made(tmp_path)
    verified(authority, shop, HOST, now=NOW - timedelta(minutes=59))
    for certificate in (authority, shop):
        assert certificate.not_valid_before_utc == NOW - timedelta(hours=1)


def test_the_authority_cannot_vouch_for_the_rest_of_the_world(tmp_path: Path) -> None:
    authority, _ = made(tmp_path)
    pair = store._read(tmp_path / store.FOLDER / store.AUTHORITY_FILE)
    assert pair is not None
    for host in ("example.com", "8.8.8.8"):
        forged = store._make_shop(pair, (host,), NOW).certificate
        with pytest.raises(verification.VerificationError):
            verified(authority, forged, host)


def test_it_is_made_anew_in_time_and_for_another_address_while_the_authority_stays(tmp_path: Path) -> None:
    authority, first = made(tmp_path)
    assert made(tmp_path) == (authority, first)
    assert made(tmp_path, now=NOW + 330 * DAY) == (authority, first)
    later, renewed = made(tmp_path, now=NOW + 340 * DAY)
    assert (later, renewed == first) == (authority, False)
    verified(authority, renewed, HOST, now=NOW + 341 * DAY)
    stays, moved = made(tmp_path, "10.0.0.5", now=NOW + 340 * DAY)
    assert stays == authority
    verified(authority, moved, "10.0.0.5", now=NOW + 341 * DAY)


def test_another_authority_is_made_only_where_the_old_one_may_not_vouch(tmp_path: Path) -> None:
    authority, _ = made(tmp_path)
    other, shop = made(tmp_path, "8.8.8.8")
    assert other != authority
    verified(other, shop, "8.8.8.8")
    old, _ = made(tmp_path, "8.8.8.8", now=NOW + 3400 * DAY)
    assert old != other


def test_keys_are_for_the_owner_alone(tmp_path: Path) -> None:
    made(tmp_path)
    folder = tmp_path / store.FOLDER
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    files = sorted(folder.iterdir())
    assert [path.name for path in files] == [store.AUTHORITY_FILE, store.SHOP_FILE]
    assert {stat.S_IMODE(path.stat().st_mode) for path in files} == {0o600}


def test_a_spoilt_file_is_told_and_not_written_over(tmp_path: Path) -> None:
    made(tmp_path)
    path = tmp_path / store.FOLDER / store.AUTHORITY_FILE
    path.write_bytes(b"nothing of the kind")
    for act in (lambda: made(tmp_path), lambda: store.what_to_trust(tmp_path)):
        with pytest.raises(RuleError, match=r"authority\.pem cannot be read"):
            act()
    assert path.read_bytes() == b"nothing of the kind"


def test_no_backup_and_no_log_holds_a_key(data_dir: Path, tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    a_kept_shop(data_dir)
    with caplog.at_level(logging.DEBUG):
        made(data_dir)
        sheet = back_up(Settings(data_dir=data_dir), tmp_path / "backup.zip", NOW)
    keys = [path.read_bytes() for path in (data_dir / store.FOLDER).iterdir()]
    with ZipFile(sheet.path) as held:
        assert not [name for name in held.namelist() if "certificate" in name or name.endswith(".pem")]
        for name in held.namelist():
            body = held.read(name)
            assert b"PRIVATE KEY" not in body
            assert not [key for key in keys if key[60:200] in body]
    assert "PRIVATE KEY" not in caplog.text
