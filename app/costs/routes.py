"""Pages of the costs room."""

from flask import Blueprint

bp = Blueprint("costs", __name__, template_folder="templates")
