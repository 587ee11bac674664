"""The check values of the statistics, and how close a figure must come to them.

Most were computed with general libraries and have no published source; `about` in the file says
with which. Those that go back to a published text carry a `source` of their own.
"""

import json
from pathlib import Path

import pytest

CHECKS = json.loads(Path(__file__).with_name("data").joinpath("statistics.json").read_text("utf-8"))


def near(value, tolerance=1e-6):
    """Absolute 1e-6, and relative 1e-6 below a thousandth."""
    return pytest.approx(value, abs=tolerance if _big(value) else 0.0, rel=tolerance)


def _big(value):
    return not isinstance(value, float) or abs(value) >= 1e-3 or value == 0.0
