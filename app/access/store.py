"""The shop's own certificate: made on this computer, kept in the data folder, never in a backup.

Each file holds a key with its certificate, so that a crash cannot part them.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Network
from pathlib import Path
from typing import Final

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from app.access import rules
from app.basics.errors import RuleError
from app.basics.files import OWNER_ALONE, write_whole

FOLDER: Final = "certificate"
AUTHORITY_FILE: Final = "authority.pem"
SHOP_FILE: Final = "shop.pem"
MOST_LETTERS: Final = 64
# A phone whose clock is a little slow must not take the certificate, or its authority, for one of tomorrow.
SLOW_CLOCKS: Final = timedelta(hours=1)


@dataclass(frozen=True)
class Trust:
    """What a phone is asked to trust: the authority's certificate as it is downloaded, and its fingerprint."""

    der: bytes
    fingerprint: str


@dataclass(frozen=True)
class _Pair:
    key: ec.EllipticCurvePrivateKey
    certificate: x509.Certificate


def ready_certificate(data_dir: Path, host: str, computer: str, shop_name: str, *, now: datetime) -> Path:
    """The file with the shop's key and certificate for `host`, made anew where it is due.

    `computer` is this computer's own name, `shop_name` what a phone shows of the authority. Raises RuleError when a
    file that is there cannot be read.
    """
    folder = data_dir / FOLDER
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    authority = _read(folder / AUTHORITY_FILE)
    if authority is None or _authority_is_due(authority.certificate, host, now):
        authority = _make_authority(host, shop_name, now)
        _write(folder / AUTHORITY_FILE, authority)
    names = rules.names_for(host, computer)
    shop = _read(folder / SHOP_FILE)
    if shop is None or not _is_from(authority, shop) or _shop_is_due(shop.certificate, names, now):
        _write(folder / SHOP_FILE, _make_shop(authority, names, now))
    return folder / SHOP_FILE


def what_to_trust(data_dir: Path) -> Trust | None:
    """The authority's certificate, or None while the shop was never shared; raises RuleError for a spoilt file."""
    authority = _read(data_dir / FOLDER / AUTHORITY_FILE)
    if authority is None:
        return None
    der = authority.certificate.public_bytes(serialization.Encoding.DER)
    return Trust(der, rules.fingerprint_in_words(authority.certificate.fingerprint(hashes.SHA256())))


def _authority_is_due(certificate: x509.Certificate, host: str, now: datetime) -> bool:
    return rules.authority_is_due(certificate.not_valid_after_utc, _reach_of(certificate), host, now)


def _shop_is_due(certificate: x509.Certificate, names: tuple[str, ...], now: datetime) -> bool:
    held = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    written = [*held.get_values_for_type(x509.DNSName), *map(str, held.get_values_for_type(x509.IPAddress))]
    return rules.certificate_is_due(certificate.not_valid_after_utc, written, names, now)


def _reach_of(certificate: x509.Certificate) -> rules.Reach:
    held = certificate.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    names = tuple(one.value for one in held if isinstance(one, x509.DNSName))
    networks = tuple(one.value for one in held if isinstance(one, x509.IPAddress))
    return rules.Reach(names, tuple(one for one in networks if isinstance(one, IPv4Network)))


def _is_from(authority: _Pair, shop: _Pair) -> bool:
    try:
        shop.certificate.verify_directly_issued_by(authority.certificate)
    except Exception:  # noqa: BLE001 - every way of not being from there means the same: it is made anew
        return False
    return True


def _make_authority(host: str, shop_name: str, now: datetime) -> _Pair:
    key = ec.generate_private_key(ec.SECP256R1())
    name = _name(f"{shop_name or 'Tackcloth'}, own authority")
    reach = rules.reach_for(host)
    allowed = [*map(x509.DNSName, reach.names), *map(x509.IPAddress, reach.networks)]
    begins = now - SLOW_CLOCKS
    built = _begun(name, name, key, begins, begins + rules.AUTHORITY_FOR)
    built = built.add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
    built = built.add_extension(_usage(signs_certificates=True), critical=True)
    built = built.add_extension(x509.NameConstraints(permitted_subtrees=allowed, excluded_subtrees=None), critical=True)
    return _Pair(key, built.sign(key, hashes.SHA256()))


def _make_shop(authority: _Pair, names: tuple[str, ...], now: datetime) -> _Pair:
    key = ec.generate_private_key(ec.SECP256R1())
    begins = now - SLOW_CLOCKS
    built = _begun(_name(names[0]), authority.certificate.subject, key, begins, begins + rules.CERTIFICATE_FOR)
    built = built.add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
    built = built.add_extension(_usage(signs_certificates=False), critical=True)
    built = built.add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
    built = built.add_extension(x509.SubjectAlternativeName([_general(name) for name in names]), critical=False)
    issuer = authority.certificate.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    identifier = x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(issuer)
    built = built.add_extension(identifier, critical=False)
    return _Pair(key, built.sign(authority.key, hashes.SHA256()))


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, begins: datetime, ends: datetime
) -> x509.CertificateBuilder:
    built = x509.CertificateBuilder(issuer, subject, key.public_key(), x509.random_serial_number())
    built = built.not_valid_before(begins).not_valid_after(ends)
    return built.add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        encipher_only=False,
        decipher_only=False,
    )


def _name(words: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, words[-MOST_LETTERS:])])


def _general(name: str) -> x509.GeneralName:
    address = rules.address_of(name)
    return x509.DNSName(name) if address is None else x509.IPAddress(address)


def _write(path: Path, pair: _Pair) -> None:
    key = pair.key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    write_whole(path, key + pair.certificate.public_bytes(serialization.Encoding.PEM), mode=OWNER_ALONE)


def _read(path: Path) -> _Pair | None:
    if not path.exists():
        return None
    try:
        body = path.read_bytes()
        key = serialization.load_pem_private_key(body, password=None)
        certificate = x509.load_pem_x509_certificate(body)
    except ValueError as trouble:
        raise _spoilt(path) from trouble
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise _spoilt(path)
    return _Pair(key, certificate)


def _spoilt(path: Path) -> RuleError:
    return RuleError(
        f"The file {path} cannot be read. Take it away: `tackcloth share` makes another, and if it is the"
        " authority's, every phone has to trust the new one."
    )
