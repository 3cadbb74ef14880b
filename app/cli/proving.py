"""`check`: prove on the real ledger that the books hold together."""

import click

from app.basics import clock
from app.basics.dates import local_day
from app.basics.errors import RuleError
from app.basics.money import currency_places, money_plain
from app.basics.settings import Settings
from app.cli.ground import Shopfront, opened_ledger, require_shop
from app.reports.queries import prove_ledger
from app.reports.rules import Finding
from app.safekeeping.formats import print_of
from app.safekeeping.rules import BadBackup
from app.shop.queries import shop_facts


@click.command(short_help="Prove that the books hold together.")
@click.pass_context
def check(ctx: click.Context) -> None:
    """Prove that the books hold together; ends with 1 when something does not."""
    front: Shopfront = ctx.obj
    settings = front.settings()
    require_shop(settings)
    with opened_ledger(settings) as ledger, ledger.reading() as session:
        facts = shop_facts(session)
        if facts is None:
            raise RuleError("This shop was never set up, so there is nothing to prove.")
        findings = prove_ledger(session, local_day(clock.now(), facts.time_zone))
    places = currency_places(facts.currency)
    for finding in findings:
        click.echo(_line(finding, places))
    broken = sum(not finding.holds for finding in findings)
    click.echo(f"{len(findings) - broken} of {len(findings)} hold.")
    if not _file_is_sound(settings) or broken:
        ctx.exit(1)


def _line(finding: Finding, places: int) -> str:
    sides = [_figure(finding, side, places) for side in (finding.left, finding.right)]
    verdict, sign = ("holds ", "=") if finding.holds else ("BROKEN", "is not")
    said = f"{verdict}  {finding.name}: {sides[0]} {sign} {sides[1]}"
    return f"{said} ({', '.join(finding.tags)})" if finding.tags else said


def _figure(finding: Finding, side: int, places: int) -> str:
    # With tags the sides count pieces; without, they are money, and nothing is nothing in both.
    return str(side) if finding.tags or not side else money_plain(side, places)


def _file_is_sound(settings: Settings) -> bool:
    if settings.database_url:
        return True
    try:
        print_of(settings.ledger_file)
    except BadBackup:
        click.echo("BROKEN  The ledger file itself is damaged. Restore the last backup: `tackcloth restore`")
        return False
    click.echo("holds   The ledger file itself is sound.")
    return True
