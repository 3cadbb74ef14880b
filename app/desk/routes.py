"""Pages of the desk room."""

from flask import Blueprint

bp = Blueprint("desk", __name__, template_folder="templates")
