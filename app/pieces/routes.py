"""Pages of the pieces room."""

from flask import Blueprint

bp = Blueprint("pieces", __name__, template_folder="templates")
