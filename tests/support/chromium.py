"""Where the machine's own browser is: none is downloaded for the tests."""

import os
import shutil
from pathlib import Path

NONE_FOUND = "no Chromium found: install it or set SHEDGRADE_CHROMIUM"

# What the browser leaves out. Of such lists the last given counts, so what Playwright leaves out stands here again.
_WITHOUT = (
    # The list below the address bar, which a headless window built too, in a process of its own, as soon as it opened
    # (Chromium 156): half of what opening a page took.
    "WebUIOmniboxPopup",
    "WebUIOmniboxAimPopup",
    # Playwright's: http stays http, leaving a page and painting the next are as they were, storage is one for a site,
    # and nobody outside is asked.
    "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable",
    "AvoidUnnecessaryBeforeUnloadCheckSync",
    "DestroyProfileOnBrowserClose",
    "PaintHolding",
    "ThirdPartyStoragePartitioning",
    "AvoidCorsURLLoaderRestartOnRedirect",
    "LensOverlay",
    "MediaRouter",
    "OptimizationHints",
    "NetworkTimeServiceQuerying",
    "AimEnabled",
    "PreconnectToSearch",
)

# No sandbox: the tests may run as root. The rest keeps the browser from asking the network for anything of its own.
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    f"--disable-features={','.join(_WITHOUT)}",
]

_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


def find_chromium() -> Path | None:
    """The browser that SHEDGRADE_CHROMIUM names, else the first one on the path."""
    named = os.environ.get("SHEDGRADE_CHROMIUM")
    found = (shutil.which(name) for name in ([named] if named else _NAMES))
    return next((Path(path) for path in found if path), None)
