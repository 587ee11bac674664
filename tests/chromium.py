"""Finds a Chromium for the browser tests, or gets one where that is allowed."""

import functools
import os
import shutil
import subprocess
from pathlib import Path

NAMES = ["chromium", "chromium-browser", "google-chrome"]
MAC = [
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
]
HELP = (
    "The browser tests need Chromium. On Debian or Ubuntu: sudo apt-get install -y chromium. "
    "Anywhere else: .venv/bin/playwright install chromium. Then run the tests again."
)


def installed() -> str | None:
    """The path of a browser on this machine, or None."""
    found = [path for name in NAMES if (path := shutil.which(name))]
    found += [path for path in MAC if Path(path).exists()]
    return found[0] if found else _playwrights_own()


def _playwrights_own() -> str | None:
    """What `playwright install chromium` left in its usual folder."""
    folders = [os.environ.get("PLAYWRIGHT_BROWSERS_PATH", ""), "~/.cache/ms-playwright"]
    folders.append("~/Library/Caches/ms-playwright")
    for folder in filter(None, folders):
        below = Path(folder).expanduser()
        for pattern in ("chromium-*/chrome-linux*/chrome", "chromium-*/chrome-mac*/*.app/Contents/MacOS/*"):
            if found := sorted(below.glob(pattern)):
                return str(found[-1])
    return None


@functools.cache
def chromium() -> str:
    """The path of a browser; installs Debian's when root; RuntimeError says what to do otherwise."""
    path = installed()
    if path is None and os.geteuid() == 0 and shutil.which("apt-get"):
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        subprocess.run(["apt-get", "update", "-qq"], env=quiet, check=False)
        get = ["apt-get", "install", "-y", "-qq", "--no-install-recommends", "chromium", "fonts-dejavu-core"]
        subprocess.run(get, env=quiet, check=False, stdout=subprocess.DEVNULL)
        path = installed()
    if path is None:
        raise RuntimeError(HELP)
    return path
