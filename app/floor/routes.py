"""Pages of the floor room."""

from flask import Blueprint

bp = Blueprint("floor", __name__, template_folder="templates")
