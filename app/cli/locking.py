"""`passphrase` and `reset-tries`: what the owner can do at the computer itself."""

import click

from app.access import actions
from app.access.rules import SHORTEST
from app.basics import clock
from app.cli.ground import Shopfront, opened_ledger, require_shop
from app.database.unit_of_work import Ledger
from app.shop.queries import shop_facts


@click.command(short_help="Set the passphrase.")
@click.pass_obj
def passphrase(front: Shopfront) -> None:
    """Set the passphrase; the old one is not asked for, and every browser is signed out."""
    settings = front.settings()
    typed = ask_for_passphrase()
    with opened_ledger(settings) as ledger:
        lock(ledger, typed)


def ask_for_passphrase() -> str:
    """A new passphrase, typed twice without being shown."""
    words = f"New passphrase ({SHORTEST} characters or more)"
    return str(click.prompt(words, hide_input=True, confirmation_prompt="The same again"))


def lock(ledger: Ledger, typed: str) -> None:
    """Set the passphrase and say so; refuses one that is too easy (RuleError)."""
    with ledger.writing() as session:
        facts = shop_facts(session)
        name = "" if facts is None else facts.name
        actions.set_passphrase(session, typed, shop_name=name, now=clock.now())
    click.echo("The passphrase is set. Every browser has to sign in with it.")


@click.command("reset-tries", short_help="Forget wrong tries of the passphrase.")
@click.pass_obj
def reset_tries(front: Shopfront) -> None:
    """Forget all wrong tries of the passphrase, so that nobody has to wait."""
    settings = front.settings()
    require_shop(settings)
    with opened_ledger(settings) as ledger, ledger.writing() as session:
        count = actions.reset_tries(session)
    click.echo(f"Forgotten: {count} wrong {'try' if count == 1 else 'tries'}.")
