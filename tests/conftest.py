"""What every test may use."""

import os

import pytest
from hypothesis import settings

# The browser's event loop lives in the thread of the test, which also asks the database.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

# No deadlines: on two busy cores a slow example proves nothing. The same
# examples every time where a run must be repeatable.
settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("house")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests that commit find what the migrations put there, whatever ran before them.

    Such a test empties the tables when it is done; the next one gets them back
    as they were after the migrations.
    """
    for item in items:
        marker = item.get_closest_marker("django_db")
        wanted = dict(marker.kwargs) if marker else {}
        if wanted.get("transaction") or "live_server" in getattr(item, "fixturenames", ()):
            wanted |= {"transaction": True, "serialized_rollback": True}
            item.add_marker(pytest.mark.django_db(**wanted), append=False)
