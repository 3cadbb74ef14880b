"""The blueprint of the room."""

from flask import Blueprint

bp = Blueprint("bench", __name__, template_folder="../templates")
