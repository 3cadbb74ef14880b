"""Pages of the safekeeping room."""

from flask import Blueprint

bp = Blueprint("safekeeping", __name__, template_folder="templates")
