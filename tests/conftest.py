"""What every test may use."""

import hashlib
import os
import shutil
import sqlite3
import time
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from hypothesis import settings

# The browser's event loop lives in the thread of the test, which also asks the database.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

# No deadlines: on two busy cores a slow example proves nothing. The same
# examples every time where a run must be repeatable.
settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("house")

ROOT = Path(__file__).resolve().parent.parent

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


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Begin with what takes longest, where several share the work; each module keeps its order."""

    def place(item: pytest.Item) -> int:
        return next((at for at, name in enumerate(LONGEST) if item.nodeid.startswith(name)), len(LONGEST))

    if hasattr(config, "workerinput"):
        items.sort(key=place)


def _migrations() -> str:
    """What tells one state of the migrations from another."""
    read = hashlib.sha256()
    for file in sorted(ROOT.glob("*/migrations/*.py")):
        read.update(file.name.encode() + file.read_bytes())
    return read.hexdigest()


@pytest.fixture(scope="session")
def template(request: pytest.FixtureRequest) -> Path | None:
    """Where an empty database lies, or will lie, with every migration in; on SQLite alone.

    tests/run.py names one. Else it is kept between runs until a migration changes.
    """
    cache = getattr(request.config, "cache", None)
    if os.environ.get("DATABASE_URL"):
        return None
    if given := os.environ.get("TEMPLATE_DATABASE"):
        return Path(given)
    return Path(cache.mkdir("database")) / f"{_migrations()}.sqlite3" if cache else None


@pytest.fixture(scope="session")
def django_db_keepdb(django_db_keepdb: bool, template: Path | None) -> bool:
    """A copy of the template is there before it is asked for."""
    return django_db_keepdb or (template is not None and template.exists())


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings: Any, django_db_keepdb: bool, template: Path | None
) -> None:
    """Lay a copy of the template where this process will look for its database."""
    if django_db_keepdb and template is not None and template.exists():
        shutil.copyfile(template, connection.settings_dict["TEST"]["NAME"])


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: Any, django_db_blocker: Any, template: Path | None) -> None:
    """Keep a copy of what was migrated, for the next process; those of other days go."""
    if template is None or template.exists() or template.stem != _migrations():
        return
    own = template.with_suffix(f".{os.getpid()}")
    with django_db_blocker.unblock(), closing(sqlite3.connect(own)) as copy:
        connection.ensure_connection()
        connection.connection.backup(copy)
    for old in template.parent.iterdir():
        if old.stat().st_mtime < time.time() - 24 * 3600:
            old.unlink()
    own.replace(template)
