"""Pages of the reports room."""

from flask import Blueprint

bp = Blueprint("reports", __name__, template_folder="templates")
