"""The arrows between the layers, held by a machine."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

# Loads every module of a package and prints what else that brought along.
PROBE = """
import importlib, pkgutil, sys
before = set(sys.modules)
package = importlib.import_module(sys.argv[1])
for module in pkgutil.walk_packages(package.__path__, sys.argv[1] + "."):
    importlib.import_module(module.name)
own = tuple(sys.argv[1:])
for name in sorted(set(sys.modules) - before):
    top = name.partition(".")[0]
    if top not in sys.stdlib_module_names and not (name + ".").startswith(tuple(o + "." for o in own)):
        print(name)
"""


def brought_along(package: str) -> list[str]:
    """Modules outside the package and the standard library that importing all of it loads."""
    done = subprocess.run(
        [sys.executable, "-c", PROBE, package],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    parents = {package.rpartition(".")[0]}
    return [name for name in done.stdout.split() if name not in parents]


def test_contracts_hold() -> None:
    done = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_rules_load_nothing_but_themselves() -> None:
    assert brought_along("scoring.rules") == []


def test_the_simulator_loads_no_framework() -> None:
    assert not {name.partition(".")[0] for name in brought_along("analytics.table")} & {
        "django",
        "rest_framework",
    }


def test_diamonds_load_nothing_but_the_rules() -> None:
    loaded = brought_along("analytics.aim.diamonds")
    assert not [name for name in loaded if name.split(".")[0] not in ("analytics", "scoring")]


def test_probe_sees_a_framework() -> None:
    assert "django" in brought_along("scoring.templatetags")
