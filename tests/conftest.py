"""What every test may use."""

import os

from hypothesis import settings

# The browser's event loop lives in the thread of the test, which also asks the database.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

# No deadlines: on two busy cores a slow example proves nothing. The same
# examples every time where a run must be repeatable.
settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("house")
