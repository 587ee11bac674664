"""What every test may use."""

import os

# The browser's event loop lives in the thread of the test, which also asks the database.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
