"""Settings: where everything is set, what is running, and the shop's facts."""

from importlib.metadata import PackageNotFoundError, version

from flask import current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.desk.forms.settings import ShopFactsForm
from app.desk.routes.blueprint import bp
from app.desk.routes.start import zone_choices
from app.shop.actions import correct_shop
from app.shop.queries import shop_facts
from app.web.frame import ledger
from app.web.saving import found, save


@bp.get("/settings")
def settings() -> ResponseReturnValue:
    running = current_app.extensions["tackcloth_settings"]
    return render_template("desk/settings.html", data_dir=running.data_dir, version=_version())


@bp.route("/settings/shop", methods=["GET", "POST"], endpoint="shop_facts")
def shop_facts_page() -> ResponseReturnValue:
    with ledger().reading() as session:
        present = found(shop_facts(session))
    form = ShopFactsForm.from_request(obj=present).offer("time_zone", zone_choices())

    def again() -> str:
        return render_template("desk/shop_facts.html", form=form, present=present)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: correct_shop(session, form.facts(present), now=clock.now()),
        to=lambda _nothing: url_for("desk.settings"),
        again=again,
        done="The shop's facts are saved.",
    )


def _version() -> str:
    try:
        return version("tackcloth")
    except PackageNotFoundError:
        return "run from its own folder, not installed"
