"""What a test in a real browser may use: `page`, `live_server`, `axe`, `signed_in`."""

from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from playwright.sync_api import BrowserContext, ConsoleMessage, Page, expect

from tests.chromium import chromium

# A new tab brings the lists below its address bar as pages of their own, which took longer than most tests.
UNSEEN = ["WebUIOmniboxPopup", "WebUIOmniboxAimPopup", "WebUIOmniboxFullPopup"]
# Only the last list of a command line counts, so what playwright turns off is named again.
UNSEEN += [
    "AimEnabled",
    "AvoidUnnecessaryBeforeUnloadCheckSync",
    "DestroyProfileOnBrowserClose",
    "HttpsUpgrades",
]
UNSEEN += ["HttpsFirstBalancedModeAutoEnable", "LensOverlay", "MediaRouter", "NetworkTimeServiceQuerying"]
UNSEEN += ["OptimizationHints", "PaintHolding", "PreconnectToSearch", "ThirdPartyStoragePartitioning"]
# What is waited for comes in time on a busy machine too; what has come is not waited for.
expect.set_options(timeout=30_000)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {
        **browser_type_launch_args,
        "executable_path": chromium(),
        # No picture is looked at: drawing without a graphics chip would cost a quarter of every test.
        "args": ["--disable-gpu", "--disable-software-rasterizer", "--disable-features=" + ",".join(UNSEEN)],
    }


@pytest.fixture
def context(context: BrowserContext) -> BrowserContext:
    """A first page loads all of the site: on a busy machine that takes a while."""
    context.set_default_timeout(120_000)
    return context


@pytest.fixture
def complaints(page: Page) -> list[str]:
    """What the browser's console complains of, blocked scripts and styles included."""
    heard: list[str] = []

    def listen(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            heard.append(message.text)

    page.on("console", listen)
    page.on("pageerror", lambda error: heard.append(str(error)))
    return heard


@pytest.fixture
def axe() -> Callable[[Page], list[str]]:
    """Checks a page for accessibility; answers one line a finding, so a test asserts == []."""

    def check(page: Page) -> list[str]:
        found = Axe().run(page).response["violations"]
        return [f"{one['id']}: {one['help']} ({', '.join(n['html'] for n in one['nodes'])})" for one in found]

    return check


@pytest.fixture
def signed_in(context: BrowserContext, live_server: Any) -> Callable[[Any], None]:
    """Signs a user in without the form."""

    def sign_in(user: Any) -> None:
        client = Client()
        client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
        cookie = client.cookies[settings.SESSION_COOKIE_NAME]
        context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])

    return sign_in
