"""`open` the shop on this computer."""

import os
import sys
import webbrowser
from collections.abc import Sequence

import click
from flask import Flask

from app.basics.errors import RuleError
from app.basics.settings import HIGHEST_PORT, Settings
from app.cli.ground import Shopfront, path_in_words
from app.cli.network import is_loopback
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


def show_in_browser(url: str) -> None:
    """Open a browser window at an address, where there is a screen to open one on."""
    has_screen = sys.platform in {"win32", "darwin"} or {"DISPLAY", "WAYLAND_DISPLAY"} & set(os.environ)
    if has_screen:
        webbrowser.open(url)
