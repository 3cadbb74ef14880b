"""Pages of the photos room."""

from flask import Blueprint

bp = Blueprint("photos", __name__, template_folder="templates")
