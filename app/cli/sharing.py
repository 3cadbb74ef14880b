"""`share` the shop with the home network: enciphered, at one address that stays."""

import io
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import click
import segno

from app.access.actions import settle_at
from app.access.queries import home_address as known_home
from app.access.queries import passphrase_is_set
from app.access.rules import Home, local_name
from app.access.store import ready_certificate, what_to_trust
from app.basics import clock
from app.basics.errors import RuleError
from app.basics.settings import HIGHEST_PORT, Settings
from app.cli.ground import Shopfront, opened_ledger, path_in_words
from app.cli.locking import ask_for_passphrase, lock
from app.cli.network import computer_name, has_address, home_address, is_loopback, require_one_address
from app.cli.serve import HERE, port_option
from app.cli.serving import Counter, serve
from app.database.unit_of_work import Ledger
from app.factory import create_app
from app.safekeeping.actions import settle
from app.safekeeping.store import hold_folder, say_where_open
from app.shop.queries import shop_facts

MOVED = (
    "The shop's address is another one now. Phones do not find it at the old one any more: pair each anew. What still"
    " waits on a phone is saved to a file from the old icon there, and loaded at home, before that icon is deleted."
    " Tags that were printed name the old address: print them anew."
)


@dataclass(frozen=True)
class Asked:
    """What the command was told about the address: the host and the port, where they were named."""

    host: str | None
    port: int | None
    is_move: bool

    def differs_from(self, home: Home) -> bool:
        """Tell whether another address was named than this one."""
        return (self.host or home.host) != home.host or (self.port or home.port) != home.port


@click.command(short_help="Open the shop for phones on the home network.")
@port_option
@click.option("--host", metavar="ADDRESS", help="The address to answer at, if not the one written down.")
@click.option("--move", is_flag=True, help="Change the shop's permanent address.")
@click.pass_obj
def share(front: Shopfront, *, port: int | None, host: str | None, move: bool) -> None:
    """Open the shop for phones on the home network; needs a passphrase."""
    settings = front.settings(port=port)
    with hold_folder(settings.data_dir):
        settle(settings)
        asked = Asked(_named_host(settings, host), port, move)
        with opened_ledger(settings) as ledger:
            before, home = _home(ledger, asked, settings)
            _require_passphrase(ledger)
            certificate = _certificate(ledger, settings, home)
        _serve(settings, home, certificate, is_moved=before not in {None, home})


def _named_host(settings: Settings, host: str | None) -> str | None:
    if host is not None:
        bare = require_one_address(host)
        return HERE if bare == "localhost" else bare
    return None if is_loopback(settings.host) else require_one_address(settings.host)


def _home(ledger: Ledger, asked: Asked, settings: Settings) -> tuple[Home | None, Home]:
    """The address written down, and the one to answer at now."""
    with ledger.reading() as session:
        known = known_home(session)
    if known is None or asked.is_move:
        home = Home(asked.host or home_address(), asked.port or (known.port if known else settings.port))
    elif asked.differs_from(known):
        raise RuleError(
            f"The shop's address is {known.secure()}; phones and printed tags know it by that. To change it for good,"
            " say so with --move."
        )
    else:
        home = known
    if home.plain_port > HIGHEST_PORT:
        raise RuleError(f"The shop takes two ports, one after the other. Choose one below {HIGHEST_PORT}.")
    if not has_address(home.host):
        raise _is_elsewhere(home, is_known=home == known)
    return known, home


def _is_elsewhere(home: Home, *, is_known: bool) -> RuleError:
    if not is_known:
        return RuleError(f"This computer does not have the address {home.host}.")
    return RuleError(
        f"The shop's address is {home.host}, and this computer does not have it now. Phones look for the shop there"
        " and nowhere else. In the router's settings, reserve that address for this computer (it may be called a fixed"
        " or static lease), then join the network again. If the address is gone for good, `tackcloth share --host"
        " ADDRESS --move` changes it; phones are paired anew then."
    )


def _require_passphrase(ledger: Ledger) -> None:
    """See that the shop is locked before anybody else can come; at a terminal a passphrase is asked for."""
    with ledger.reading() as session:
        if passphrase_is_set(session):
            return
    if not is_at_terminal():
        raise RuleError("Set a passphrase first: others on the network could open the shop. `tackcloth passphrase`")
    click.echo("Others on the network could open the shop, so it needs a passphrase first.")
    while True:
        try:
            lock(ledger, ask_for_passphrase())
        except RuleError as refusal:
            click.echo(refusal.message)
        else:
            return


def is_at_terminal() -> bool:
    """Tell whether somebody sits at the keyboard and can be asked."""
    return sys.stdin.isatty()


def _certificate(ledger: Ledger, settings: Settings, home: Home) -> Path:
    with ledger.reading() as session:
        facts = shop_facts(session)
    name = "" if facts is None else facts.name
    return ready_certificate(settings.data_dir, home.host, computer_name(), name, now=clock.now())


def _counters(home: Home, certificate: Path) -> list[Counter]:
    """This computer's own, the enciphered one, and the plain one for phones that do not trust the certificate yet."""
    here = Counter(HERE, home.plain_port if is_loopback(home.host) else home.port)
    return list(dict.fromkeys((here, Counter(home.host, home.port, certificate), Counter(home.host, home.plain_port))))


def _serve(settings: Settings, home: Home, certificate: Path, *, is_moved: bool) -> None:
    own = local_name(computer_name())
    trusted = dict.fromkeys((*settings.trusted_hosts, home.host, *((own,) if own else ())))
    app = create_app(replace(settings, trusted_hosts=tuple(trusted)))
    ledger: Ledger = app.extensions["tackcloth_ledger"]

    def ready(counters: Sequence[Counter]) -> None:
        # Only an address at which the shop has really answered is kept for good.
        with ledger.writing() as session:
            if known_home(session) != home:
                settle_at(session, home, now=clock.now())
        say_where_open(settings.data_dir, counters[0].url)
        if is_moved:
            click.echo(MOVED)
        _tell(settings, home, counters[0].url)

    try:
        serve(app, _counters(home, certificate), ready=ready)
    finally:
        ledger.close()


def _tell(settings: Settings, home: Home, here: str) -> None:
    trust = what_to_trust(settings.data_dir)
    first = home.plain("/certificate")
    click.echo(f"The shop is open on this computer at {here}")
    click.echo(f"Phones at home find it at {home.secure()}")
    click.echo(f"The first time, open this on the phone and trust the shop's certificate there: {first}")
    _draw_square(first)
    click.echo(f"Its fingerprint (SHA-256), to compare: {trust.fingerprint if trust else ''}")
    click.echo("Then pair the phone: on this computer, under Settings, Phones, Pair a phone.")
    click.echo(
        f"A phone that does not trust the certificate is answered at {home.plain()} as well. What goes over that is not"
        " enciphered: somebody else on the network could read it, the passphrase too. Share only on a network whose"
        " users you trust, never in a public place."
    )
    click.echo(f"It is kept in {path_in_words(settings.data_dir)}. Press Ctrl+C to close it.")


def _draw_square(url: str) -> None:
    drawing = io.StringIO()
    segno.make(url, error="m", micro=False).terminal(drawing, compact=True)
    try:
        click.echo(drawing.getvalue())
    except UnicodeEncodeError:
        click.echo("(This terminal cannot draw the square to scan; type the address instead.)")
