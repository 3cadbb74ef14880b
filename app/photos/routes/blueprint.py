"""The blueprint that the pages of the photos room hang on."""

from flask import Blueprint

bp = Blueprint("photos", __name__, template_folder="../templates")
