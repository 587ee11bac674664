"""The drawing library that is served: the version the figures are written for, and unchanged."""

from __future__ import annotations

import hashlib
import json
import re
from importlib.resources import files
from pathlib import Path

FOLDER = Path(__file__).parents[3] / "analytics" / "static" / "analytics" / "vendor"
TOLD = json.loads((FOLDER / "plotly.json").read_text())
VERSION = re.compile(r"plotly\.js[^\n]*? v(\d+\.\d+\.\d+)")


def version_of(head: str) -> str:
    found = VERSION.search(head)
    assert found
    return found.group(1)


def test_the_served_library_is_of_the_version_the_figures_are_written_for() -> None:
    inside = files("plotly").joinpath("package_data", "plotly.min.js").read_text()[:300]
    served = (FOLDER / TOLD["file"]).read_text()[:300]
    assert version_of(inside) == version_of(served) == TOLD["version"]
    assert f"plotly.js {TOLD['version']} " in (FOLDER / "plotly.css").read_text()


def test_the_served_library_is_as_it_was_published() -> None:
    assert hashlib.sha256((FOLDER / TOLD["file"]).read_bytes()).hexdigest() == TOLD["sha256"]
    assert "MIT License" in (FOLDER / "LICENSE.plotly.txt").read_text()
