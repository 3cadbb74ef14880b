"""Make a browser trust the certificate of a test's shop, under a home folder that is thrown away."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

NAME = "shop of the test"


def require_certutil() -> str:
    """Where the tool is that writes a list of authorities; without it the test is left out, under CI failed."""
    found = shutil.which("certutil")
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail("no certutil on this machine, and under CI that is a failure")
        pytest.skip("no certutil on this machine; it comes with the tools of NSS")
    return found


def trust(home: Path, ca_pem: Path) -> None:
    """Let browsers with this home folder trust an authority."""
    certutil, folder = require_certutil(), home / ".pki" / "nssdb"
    if not folder.exists():
        folder.mkdir(parents=True)
        _run(certutil, "-N", "-d", f"sql:{folder}", "--empty-password")
    _run(certutil, "-A", "-d", f"sql:{folder}", "-n", NAME, "-t", "C,,", "-a", "-i", str(ca_pem))


def _run(*words: str) -> None:
    subprocess.run(words, check=True, capture_output=True)
