"""Where the machine's own browser is: none is downloaded for the tests."""

import os
import shutil
from pathlib import Path

NONE_FOUND = "no Chromium found: install it or set SHEDGRADE_CHROMIUM"

# No sandbox: the tests may run as root. The rest keeps the browser from asking the network for anything of its own.
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


def find_chromium() -> Path | None:
    """The browser that SHEDGRADE_CHROMIUM names, else the first one on the path."""
    named = os.environ.get("SHEDGRADE_CHROMIUM")
    found = (shutil.which(name) for name in ([named] if named else _NAMES))
    return next((Path(path) for path in found if path), None)
