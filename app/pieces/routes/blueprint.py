"""The one blueprint of the room's pages."""

from flask import Blueprint

bp = Blueprint("pieces", __name__, template_folder="../templates")
