"""The addresses at which the shop is found on the home network: where, enciphered or not, and for which page."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Home:
    """The shop's permanent host and port; one port further it answers without a cipher."""

    host: str
    port: int

    @property
    def plain_port(self) -> int:
        """Where a phone is answered that does not trust the certificate yet."""
        return self.port + 1

    @property
    def url(self) -> str:
        """What every address of a page over https begins with; without a slash at its end."""
        return f"https://{self.host}:{self.port}"

    def secure(self, path: str = "/") -> str:
        """A page over https."""
        return self.url + path

    def plain(self, path: str = "/") -> str:
        """The same page, not enciphered."""
        return f"http://{self.host}:{self.plain_port}{path}"
