"""The one cookie: bound to the cipher where there is one, plain where there is none."""

from flask import Flask, request
from flask.sessions import SecureCookieSessionInterface

HOST_ONLY = "__Host-"
"""A browser keeps a cookie whose name begins so only for the host that set it, over https, for every path."""


class CookieByScheme(SecureCookieSessionInterface):
    """Over https the cookie is never sent without a cipher; over http it has another name, for it would be dropped.

    The same browser signs in on both by itself.
    """

    def get_cookie_name(self, app: Flask) -> str:
        """The name for the request being answered."""
        name = super().get_cookie_name(app)
        return HOST_ONLY + name if request.is_secure else name

    def get_cookie_secure(self, app: Flask) -> bool:  # noqa: ARG002
        """Whether the browser may send it over https alone."""
        return request.is_secure
