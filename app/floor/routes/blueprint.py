"""The blueprint that the pages of the floor hang on."""

from flask import Blueprint

bp = Blueprint("floor", __name__, template_folder="../templates")
