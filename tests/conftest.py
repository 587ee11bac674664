"""What every test may use."""

import os
import shutil
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

# The browser's event loop lives in the thread of the test, which also asks the database.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

# No deadlines: on two busy cores a slow example proves nothing. The same
# examples every time where a run must be repeatable.
settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("house")

# An empty database with every migration in, for all who need one on SQLite; tests/run.py makes it.
TEMPLATE = os.environ.get("TEMPLATE_DATABASE", "")

# Where a worker is busy longest, so that no other waits for it at the end.
LONGEST = [
    f"tests/{name}"
    for name in (
        "browser/test_aim_page",
        "browser/test_scoring_page",
        "scoring/test_fuzz",
        "browser/test_scoring_desk",
        "browser/",
        "scoring/test_access",
        "scoring/rules/match/test_properties",
        "scoring/test_races",
        "clubsite/",
        "analytics/aim/",
        "analytics/pages/",
        "published/test_lines",
    )
]


def _copied() -> bool:
    """Whether the template stands for the database that is asked for."""
    return bool(TEMPLATE) and not os.environ.get("DATABASE_URL")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Begin with what takes longest, where several share the work; each module keeps its order."""

    def place(item: pytest.Item) -> int:
        return next((at for at, name in enumerate(LONGEST) if item.nodeid.startswith(name)), len(LONGEST))

    if hasattr(config, "workerinput"):
        items.sort(key=place)


@pytest.fixture(scope="session")
def django_db_keepdb(django_db_keepdb: bool) -> bool:
    """A copy of the template is there before it is asked for."""
    return django_db_keepdb or _copied()


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings: Any) -> None:
    """Lay a copy of the template where this process will look for its database."""
    from django.db import connection

    if _copied():
        shutil.copyfile(TEMPLATE, Path(connection.settings_dict["TEST"]["NAME"]))
