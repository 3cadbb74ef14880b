"""The blueprint of the room."""

from flask import Blueprint

bp = Blueprint("access", __name__, template_folder="../templates")
