"""`open` the shop on this computer, `share` it with the home network."""

import io
import os
import sys
import webbrowser
from collections.abc import Sequence
from dataclasses import replace

import click
import segno
from flask import Flask

from app.access.queries import passphrase_is_set
from app.basics.errors import RuleError
from app.basics.settings import HIGHEST_PORT, Settings
from app.cli.ground import Shopfront, path_in_words
from app.cli.network import home_address, is_loopback, require_one_address
from app.cli.serving import Counter, serve
from app.factory import create_app
from app.safekeeping.actions import settle
from app.safekeeping.rules import FolderInUse
from app.safekeeping.store import hold_folder, say_where_open

HERE = "127.0.0.1"

port_option = click.option(
    "--port", type=click.IntRange(1, HIGHEST_PORT), help="The port to answer at, if not the usual one."
)
browser_option = click.option("--no-browser", is_flag=True, help="Do not open a browser.")


@click.command("open", short_help="Open the shop on this computer.")
@port_option
@browser_option
@click.pass_obj
def open_shop(front: Shopfront, *, port: int | None, no_browser: bool) -> None:
    """Open the shop on this computer, for this computer alone."""
    settings = front.settings(port=port)
    if not is_loopback(settings.host):
        raise RuleError(f"The settings name the address {settings.host}. `tackcloth share` is for that.")
    try:
        with hold_folder(settings.data_dir):
            settle(settings)
            app = create_app(settings)
            _answer(app, settings, [Counter(settings.host, settings.port)], no_browser=no_browser)
    except FolderInUse as held:
        if held.url is None:
            raise
        click.echo(f"The shop is open already at {held.url}")
        if not no_browser:
            show_in_browser(held.url)


@click.command(short_help="Open the shop for phones on the home network.")
@port_option
@click.option("--host", "hosts", multiple=True, metavar="ADDRESS", help="The address to answer at; may be repeated.")
@click.pass_obj
def share(front: Shopfront, port: int | None, hosts: tuple[str, ...]) -> None:
    """Open the shop for phones on the home network; needs a passphrase."""
    settings = front.settings(port=port)
    with hold_folder(settings.data_dir):
        settle(settings)
        addresses = _addresses(settings, hosts)
        trusted = (*settings.trusted_hosts, *addresses)
        app = create_app(replace(settings, trusted_hosts=trusted))
        try:
            _require_passphrase(app)
            counters = [Counter(host, settings.port) for host in dict.fromkeys((HERE, *addresses))]
            serve(app, counters, ready=lambda open_counters: _tell_shared(settings, open_counters))
        finally:
            app.extensions["tackcloth_ledger"].close()


def _answer(app: Flask, settings: Settings, counters: Sequence[Counter], *, no_browser: bool) -> None:
    def ready(open_counters: Sequence[Counter]) -> None:
        url = open_counters[0].url
        say_where_open(settings.data_dir, url)
        click.echo(f"The shop is open at {url}")
        click.echo(f"It is kept in {path_in_words(settings.data_dir)}. Press Ctrl+C to close it.")
        if not no_browser:
            show_in_browser(url)

    try:
        serve(app, counters, ready=ready)
    finally:
        app.extensions["tackcloth_ledger"].close()


def _addresses(settings: Settings, hosts: Sequence[str]) -> list[str]:
    if hosts:
        return [require_one_address(host) for host in hosts]
    if not is_loopback(settings.host):
        return [require_one_address(settings.host)]
    return [home_address()]


def _require_passphrase(app: Flask) -> None:
    with app.extensions["tackcloth_ledger"].reading() as session:
        if not passphrase_is_set(session):
            raise RuleError("Set a passphrase first: others on the network could open the shop. `tackcloth passphrase`")


def _tell_shared(settings: Settings, counters: Sequence[Counter]) -> None:
    say_where_open(settings.data_dir, counters[0].url)
    click.echo(f"The shop is open on this computer at {counters[0].url}")
    for counter in counters[1:]:
        click.echo(f"On the home network it is open at {counter.url}")
        _draw_square(counter.url)
    click.echo(
        "What goes over the network is not enciphered: somebody else on it could read it, the passphrase too."
        " Share only on a network whose users you trust, never in a public place."
    )
    click.echo(f"It is kept in {path_in_words(settings.data_dir)}. Press Ctrl+C to close it.")


def _draw_square(url: str) -> None:
    drawing = io.StringIO()
    segno.make(url, error="m", micro=False).terminal(drawing, compact=True)
    try:
        click.echo(drawing.getvalue())
    except UnicodeEncodeError:
        click.echo("(This terminal cannot draw the square to scan; type the address instead.)")


def show_in_browser(url: str) -> None:
    """Open a browser window at an address, where there is a screen to open one on."""
    has_screen = sys.platform in {"win32", "darwin"} or {"DISPLAY", "WAYLAND_DISPLAY"} & set(os.environ)
    if has_screen:
        webbrowser.open(url)
