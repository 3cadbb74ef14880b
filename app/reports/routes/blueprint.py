"""The one blueprint that every page of the books hangs on."""

from flask import Blueprint

bp = Blueprint("reports", "app.reports", template_folder="templates")
