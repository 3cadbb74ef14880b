"""The one blueprint that every page of the desk hangs on."""

from flask import Blueprint

bp = Blueprint("desk", "app.desk", template_folder="templates")
