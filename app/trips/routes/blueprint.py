"""The blueprint that the pages of the trips hang on."""

from flask import Blueprint

bp = Blueprint("trips", __name__, template_folder="../templates")
