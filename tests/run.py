"""Everything that must hold before a change is shared: `.venv/bin/python tests/run.py`.

Lint, layers, migrations, settings, types; then every test on SQLite, and beside it
those marked `both_databases` once more on PostgreSQL, told of when both are through.
All of it runs, whatever fails on the way, and the last line sums up. Arguments are
handed to pytest.
"""

import os
import signal
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ElementTree
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

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
    "TEMPLATE_DATABASE",
    "TIME_ZONE",
    "TRUSTED_ORIGINS",
    "WORKER",
)
BARE = {name: value for name, value in os.environ.items() if name not in OURS}
BARE["PYTHONPATH"] = str(ROOT)
# Several processes load the same modules; what one of them compiled the others need only read.
BARE.pop("PYTHONDONTWRITEBYTECODE", None)
# What is drawn at random is the same each time: whether a change passes depends on the change.
BARE.setdefault("CI", "true")
BOTH = "both_databases"
NONE_SELECTED = 5  # pytest's answer then; fine only when a part was asked for

# Longest first, as they run two at a time.
CHECKS: list[tuple[str, list[str | Path], dict[str, str]]] = [
    ("types", [BIN / "mypy"], {}),
    # Compiled here once, not by every process of the tests at the same time.
    ("simulator", [PYTHON, "manage.py", "warm_kernels"], {}),
    # So too the tests themselves, and every migration: `database` makes what each process copies.
    ("collection", [PYTHON, "-m", "pytest", "-n", "0", "--collect-only", "-q"], {}),
    ("database", [PYTHON, "manage.py", "migrate", "--settings=tests.settings", "--verbosity=0"], {}),
    ("deployment", [PYTHON, "manage.py", "check", "--deploy", "--fail-level", "WARNING"], {"HTTPS": "1"}),
    ("migrations", [PYTHON, "manage.py", "makemigrations", "--check", "--dry-run"], {}),
    ("layers", [BIN / "lint-imports"], {}),
    ("lint", [BIN / "ruff", "check", "."], {}),
    ("format", [BIN / "ruff", "format", "--check", "."], {}),
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
    told = f"{name:<12}{'ok' if done.returncode == 0 else 'FAILED':<8}{time.monotonic() - begun:.1f} s\n"
    # In one piece: another check may be telling its own.
    print(told + (done.stdout if done.returncode else ""), end="", flush=True)
    return done.returncode == 0


class Run:
    """One run of pytest, under way.

    `partly`: a part was asked for, which may hold no test. `quiet`: what it says waits until it has ended.
    `workers`: processes beside its own; at 0 that one does all.
    """

    def __init__(
        self,
        folder: Path,
        workers: int,
        arguments: list[str],
        *,
        partly: bool,
        quiet: bool = False,
        **environ: str,
    ) -> None:
        self.folder = folder
        self.partly = partly
        command: list[str] = [PYTHON, "-m", "pytest", "-n", str(workers)]
        command += ["--dist", "loadscope", "--no-loadscope-reorder"]
        command += [f"--junit-xml={folder / 'report.xml'}", *arguments]
        self.lines = (folder / "lines").open("w+") if quiet else None
        self.process = subprocess.Popen(
            command, cwd=ROOT, env={**BARE, **environ}, stdout=self.lines, stderr=self.lines
        )

    def passed(self, counts: Counter[str]) -> bool:
        """Wait for the end, tell what was kept back, add up the counts, answer whether all passed."""
        code = self.process.wait()
        if self.lines:
            self.lines.seek(0)
            print(self.lines.read(), flush=True)
        report = self.folder / "report.xml"
        if report.exists():
            for suite in ElementTree.parse(report).getroot().iter("testsuite"):
                for kind in ("tests", "failures", "errors", "skipped"):
                    counts[kind] += int(suite.get(kind, 0))
        return code in ((0, NONE_SELECTED) if self.partly else (0,))


@contextmanager
def pytest(workers: int, arguments: list[str], **how: Any) -> Iterator[Run]:
    """Start a Run. It ends with the block at the latest."""
    with tempfile.TemporaryDirectory() as folder:
        run = Run(Path(folder), workers, arguments, **how)
        try:
            yield run
        finally:
            if run.process.poll() is None:
                run.process.terminate()
                run.process.wait()
            if run.lines:
                run.lines.close()


def files_that_mark() -> list[str]:
    """The files that name the mark of both databases: only they need be read for the second run."""
    files = sorted((ROOT / "tests").rglob("test_*.py"))
    return [str(file.relative_to(ROOT)) for file in files if f"mark.{BOTH}" in file.read_text("utf-8")]


def chooses(arguments: list[str]) -> bool:
    """Whether the arguments name files, folders or tests of their own."""
    return any((ROOT / argument.partition("::")[0]).exists() for argument in arguments)


@contextmanager
def on_postgresql(arguments: list[str]) -> Iterator[Run | None]:
    """Start the second run, on a database of its own; None where there is none, having said why."""
    narrowed = arguments if chooses(arguments) else arguments + files_that_mark()
    with ExitStack() as stack:
        try:
            address = stack.enter_context(postgresql())
        except RuntimeError as missing:
            print(missing, flush=True)
            yield None
            return
        how = {"partly": bool(arguments), "quiet": True, "DATABASE_URL": address}
        yield stack.enter_context(pytest(0, ["-m", BOTH, *narrowed], **how))


def closing_line(counts: Counter[str], seconds: float) -> str:
    """The sum of both runs, as pytest itself would close."""
    bad = counts["failures"] + counts["errors"]
    good = counts["tests"] - bad - counts["skipped"]
    parts = [(counts["failures"], "failed"), (good, "passed"), (counts["skipped"], "skipped")]
    parts.append((counts["errors"], "error" if counts["errors"] == 1 else "errors"))
    told = ", ".join(f"{number} {word}" for number, word in parts if number)
    return f" {told or 'no tests ran'} in {seconds:.2f}s ".center(80, "=")


def checked(template: Path, *, whole: bool) -> list[bool]:
    """Run all checks, two at a time, and leave an empty database in `template`.

    Reading all tests beforehand spares time only where the whole of them runs.
    """
    with ThreadPoolExecutor(2) as two:
        waiting = []
        for name, command, environ in CHECKS:
            if name == "collection" and not whole:
                continue
            place = {"DATABASE_URL": f"sqlite:///{template}"} if name == "database" else {}
            waiting.append(two.submit(passed, name, command, **environ, **place))
        return [one.result() for one in waiting]


def main(arguments: list[str]) -> int:
    with tempfile.TemporaryDirectory() as folder:
        return everything(arguments, Path(folder) / "template.sqlite3")


def everything(arguments: list[str], template: Path) -> int:
    begun = time.monotonic()
    counts: Counter[str] = Counter()
    say("Checks")
    results = checked(template, whole=not arguments)
    try:
        say(f"Browser: {chromium()}")
    except RuntimeError as missing:
        print(missing)
        results.append(False)
    say("All tests on SQLite")
    how = {"TEMPLATE_DATABASE": str(template)} if template.exists() else {}
    with pytest(3, arguments, partly=bool(arguments), **how) as first, on_postgresql(arguments) as second:
        results.append(first.passed(counts))
        say("Tests that matter on both databases, on PostgreSQL")
        results.append(second is not None and second.passed(counts))
    say("Together")
    if not all(results):
        print("Something above failed.")
    print(closing_line(counts, time.monotonic() - begun))
    return 0 if all(results) and counts["tests"] else 1


if __name__ == "__main__":
    # Told to stop, it still stops the database it started.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    sys.exit(main(sys.argv[1:]))
