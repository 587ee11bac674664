"""Everything that must hold before a change is shared: `.venv/bin/python tests/run.py`.

Lint, layers, migrations, settings, types; then every test on SQLite, and those
marked `both_databases` once more on PostgreSQL. All of it runs, whatever fails
on the way, and the last line sums up. Arguments are handed to pytest.
"""

import os
import signal
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ElementTree
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from tests.chromium import chromium  # noqa: E402
from tests.databases import postgresql  # noqa: E402

BIN = Path(sys.executable).parent
PYTHON = sys.executable
# The tests see the machine's settings, never those of the shell that starts them.
OURS = (
    "ALLOWED_HOSTS",
    "DATABASE_URL",
    "DEBUG",
    "HTTPS",
    "LAN",
    "PROXIES",
    "TIME_ZONE",
    "TRUSTED_ORIGINS",
    "WORKER",
)
BARE = {name: value for name, value in os.environ.items() if name not in OURS}
BARE["PYTHONPATH"] = str(ROOT)
NONE_SELECTED = 5  # pytest's answer then; fine only when a part was asked for

CHECKS: list[tuple[str, list[str | Path], dict[str, str]]] = [
    ("lint", [BIN / "ruff", "check", "."], {}),
    ("format", [BIN / "ruff", "format", "--check", "."], {}),
    ("layers", [BIN / "lint-imports"], {}),
    ("migrations", [PYTHON, "manage.py", "makemigrations", "--check", "--dry-run"], {}),
    ("deployment", [PYTHON, "manage.py", "check", "--deploy", "--fail-level", "WARNING"], {"HTTPS": "1"}),
    ("types", [BIN / "mypy"], {}),
]


def say(text: str) -> None:
    print(f"\n--- {text}", flush=True)


def passed(name: str, command: list[str | Path], **environ: str) -> bool:
    """Run one check and say how it went; its output is shown only when it fails."""
    begun = time.monotonic()
    done = subprocess.run(
        command,
        cwd=ROOT,
        env={**BARE, **environ},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    print(
        f"{name:<12}{'ok' if done.returncode == 0 else 'FAILED':<8}{time.monotonic() - begun:.1f} s",
        flush=True,
    )
    if done.returncode:
        print(done.stdout, flush=True)
    return done.returncode == 0


def pytest(counts: Counter[str], chosen: list[str], *arguments: str, **environ: str) -> bool:
    """Run pytest on all tests or those chosen, add up what it counted, answer whether all passed."""
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        command = [PYTHON, "-m", "pytest", "-n", "3", "--dist", "loadscope", f"--junit-xml={report}"]
        done = subprocess.run([*command, *arguments, *chosen], cwd=ROOT, env={**BARE, **environ})
        if report.exists():
            for suite in ElementTree.parse(report).getroot().iter("testsuite"):
                for kind in ("tests", "failures", "errors", "skipped"):
                    counts[kind] += int(suite.get(kind, 0))
    return done.returncode in ((0, NONE_SELECTED) if chosen else (0,))


def closing_line(counts: Counter[str], seconds: float) -> str:
    """The sum of both runs, as pytest itself would close."""
    bad = counts["failures"] + counts["errors"]
    good = counts["tests"] - bad - counts["skipped"]
    parts = [(counts["failures"], "failed"), (good, "passed"), (counts["skipped"], "skipped")]
    parts.append((counts["errors"], "error" if counts["errors"] == 1 else "errors"))
    told = ", ".join(f"{number} {word}" for number, word in parts if number)
    return f" {told or 'no tests ran'} in {seconds:.2f}s ".center(80, "=")


def main(arguments: list[str]) -> int:
    begun = time.monotonic()
    counts: Counter[str] = Counter()
    say("Checks")
    results = [passed(name, command, **environ) for name, command, environ in CHECKS]
    try:
        say(f"Browser: {chromium()}")
    except RuntimeError as missing:
        print(missing)
        results.append(False)
    say("All tests on SQLite")
    results.append(pytest(counts, arguments))
    say("Tests that matter on both databases, on PostgreSQL")
    with postgresql() as address:
        results.append(pytest(counts, arguments, "-m", "both_databases", DATABASE_URL=address))
    say("Together")
    if not all(results):
        print("Something above failed.")
    print(closing_line(counts, time.monotonic() - begun))
    return 0 if all(results) and counts["tests"] else 1


if __name__ == "__main__":
    # Told to stop, it still stops the database it started.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    sys.exit(main(sys.argv[1:]))
