"""The blueprint that the pages of sales hang on."""

from flask import Blueprint

bp = Blueprint("sales", __name__, template_folder="../templates")

# A page that asks whether to record is fetched anew by Back, so that it can say when that was done.
NEVER_KEPT = {"Cache-Control": "no-store"}
