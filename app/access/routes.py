"""Pages of the access room."""

from flask import Blueprint

bp = Blueprint("access", __name__, template_folder="templates")


def require_sign_in() -> None:
    """Let everybody in while no passphrase is set."""
