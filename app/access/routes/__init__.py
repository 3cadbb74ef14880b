"""Pages of the door: signing in, the passphrase, phones and their pairing, the certificate."""

from app.access.routes import certificate, pairing, passphrase, phones
from app.access.routes.blueprint import bp
from app.access.routes.door import OPEN_ENDPOINTS, refuse_strange_addresses, require_sign_in
from app.access.routes.phones import count_captures_by

__all__ = [
    "OPEN_ENDPOINTS",
    "bp",
    "certificate",
    "count_captures_by",
    "pairing",
    "passphrase",
    "phones",
    "refuse_strange_addresses",
    "require_sign_in",
]
