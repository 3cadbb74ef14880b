"""Which addresses the shop may be shared at."""

from pathlib import Path

import pytest

from app.basics.errors import RuleError
from app.cli.network import has_address, is_loopback, require_home, require_one_address
from app.cli.trying import local_zone


@pytest.mark.parametrize("address", ["192.168.1.20", "10.0.0.5", "172.16.9.9", "169.254.3.4"])
def test_addresses_of_home_networks_are_shared_at(address: str) -> None:
    assert require_home(address) == address


def test_an_address_the_world_can_reach_must_be_named_on_purpose() -> None:
    with pytest.raises(RuleError, match=r"--host 8\.8\.8\.8"):
        require_home("8.8.8.8")


def test_a_computer_on_no_network_cannot_share() -> None:
    with pytest.raises(RuleError, match="on no network"):
        require_home("127.0.0.1")


@pytest.mark.parametrize(("host", "kept"), [("192.168.1.20", "192.168.1.20"), (" garage.local ", "garage.local")])
def test_one_address_or_name_is_taken_as_it_is(host: str, kept: str) -> None:
    assert require_one_address(host) == kept


@pytest.mark.parametrize("host", ["0.0.0.0", "", "  "])  # noqa: S104
def test_every_address_at_once_is_refused(host: str) -> None:
    with pytest.raises(RuleError, match="Name one address"):
        require_one_address(host)


@pytest.mark.parametrize("host", ["::", "fd00::1", "[fd00::1]", "192.168.1.20:80"])
def test_addresses_with_colons_are_refused(host: str) -> None:
    with pytest.raises(RuleError, match="with colons"):
        require_one_address(host)


@pytest.mark.parametrize("host", ["g\u00e4rage.local", "a b", "x/y", "evil\u3002example", "u@h", "x" * 254])
def test_what_no_address_can_be_is_refused(host: str) -> None:
    with pytest.raises(RuleError, match="letters a to z"):
        require_one_address(host)


def test_this_computer_knows_which_addresses_it_has() -> None:
    assert has_address("127.0.0.1")
    assert not has_address("192.0.2.77")
    assert not has_address("no-such-name.invalid")


def test_this_computer_is_known_by_its_names() -> None:
    assert all(map(is_loopback, ["localhost", "127.0.0.1", "127.9.9.9"]))
    assert not any(map(is_loopback, ["192.168.1.20", "garage.local", "", "0.0.0.0", "::1"]))  # noqa: S104


def test_the_zone_comes_from_the_system_or_is_utc(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    zone = tmp_path / "zoneinfo" / "America" / "Denver"
    zone.parent.mkdir(parents=True)
    zone.touch()
    linked = tmp_path / "localtime"
    linked.symlink_to(zone)
    monkeypatch.delenv("TZ", raising=False)
    assert local_zone(linked) == "America/Denver"
    assert local_zone(tmp_path / "nothing") == "UTC"
    monkeypatch.setenv("TZ", ":Europe/Paris")
    assert local_zone(linked) == "Europe/Paris"
    monkeypatch.setenv("TZ", "Nowhere/Much")
    assert local_zone(linked) == "America/Denver"
