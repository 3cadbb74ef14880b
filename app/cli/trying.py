"""`demo`: a made-up shop to try things in, gone when it is closed."""

import os
import signal
import tempfile
from collections.abc import Sequence
from pathlib import Path

import click

from app.basics import clock
from app.basics.dates import known_zone
from app.basics.settings import DEFAULT_PORT, Settings
from app.cli.serve import HERE, browser_option, port_option, show_in_browser
from app.cli.serving import Counter, free_port, serve
from app.demo.actions import load_demo
from app.factory import create_app


@click.command(short_help="Open a made-up shop to try things in.")
@port_option
@browser_option
def demo(*, port: int | None, no_browser: bool) -> None:
    """Open a made-up shop to try things in; it is thrown away when you close it."""
    signal.signal(signal.SIGTERM, _leave)
    with tempfile.TemporaryDirectory(prefix="tackcloth-demo-", ignore_cleanup_errors=True) as folder:
        settings = Settings(data_dir=Path(folder), is_demo=True)
        app = create_app(settings)
        # Cookies know no ports: under its own name this one does not sign the owner out of the real shop.
        app.config["SESSION_COOKIE_NAME"] = "tackcloth-demo"
        ledger = app.extensions["tackcloth_ledger"]
        try:
            click.echo("Setting up the made-up shop ...")
            with ledger.writing() as session:
                load_demo(session, settings.photo_dir, now=clock.now(), zone=local_zone())
            counter = Counter(HERE, port or free_port(HERE, DEFAULT_PORT))
            serve(app, [counter], ready=lambda counters: _tell(counters, no_browser=no_browser))
        finally:
            ledger.close()


def _tell(counters: Sequence[Counter], *, no_browser: bool) -> None:
    url = counters[0].url
    click.echo(f"The made-up shop is open at {url}")
    click.echo("What you do in it is thrown away when you close it. Press Ctrl+C to close it.")
    if not no_browser:
        show_in_browser(url)


def _leave(_number: int, _frame: object) -> None:
    raise SystemExit(0)


def local_zone(localtime: Path = Path("/etc/localtime")) -> str:
    """This computer's time zone by name, like America/Denver; UTC where it does not say."""
    named = os.environ.get("TZ", "").lstrip(":")
    if known_zone(named):
        return named
    _, _, linked = str(localtime.resolve()).partition("zoneinfo/")
    return linked if known_zone(linked) else "UTC"
