"""Open pages of the shop's certificate: what it is, how a phone is made to trust it, and the file itself."""

from flask import Response, current_app, render_template
from flask.typing import ResponseReturnValue

from app.access import queries, store
from app.access.routes.blueprint import bp
from app.basics.settings import Settings
from app.web.frame import ledger
from app.web.saving import found

CERTIFICATE_TYPE = "application/x-x509-ca-cert"


def trusted_here() -> store.Trust | None:
    """What phones are asked to trust here; None while the shop was never shared."""
    settings: Settings = current_app.extensions["tackcloth_settings"]
    return store.what_to_trust(settings.data_dir)


@bp.get("/certificate")
def certificate() -> ResponseReturnValue:
    with ledger().reading() as session:
        home = queries.home_address(session)
    return render_template("access/certificate.html", trust=trusted_here(), home=home)


@bp.get("/certificate/shop.crt")
def certificate_file() -> ResponseReturnValue:
    trust = found(trusted_here())
    return Response(trust.der, content_type=CERTIFICATE_TYPE, headers={"Cache-Control": "no-store"})
