"""Starts the web server: prepares database and static files, then hands over to gunicorn."""

import os
import socket
import sys

from django.conf import settings
from django.core.management import call_command

DEFAULT_PORT = 8000


def port() -> int:
    """The port of the environment variable PORT."""
    return int(os.environ.get("PORT") or DEFAULT_PORT)


def host() -> str:
    """This machine alone, unless LAN=1 opens the service to the room."""
    return "0.0.0.0" if settings.LAN else "127.0.0.1"


def is_free(number: int) -> bool:
    """Whether a server could listen on that port now."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host(), number))
        except OSError:
            return False
    return True


def urls(number: int) -> list[str]:
    """Where to look: this machine first, then the addresses other devices use."""
    names = ["localhost"]
    if settings.LAN:
        names += [
            name for name in settings.ALLOWED_HOSTS if name not in ("localhost", "127.0.0.1", "[::1]", "*")
        ]
    return [f"http://{name}:{number}/" for name in names]


def prepare() -> None:
    """Bring the database and the static files up to date; quiet, and safe to repeat."""
    call_command("migrate", interactive=False, verbosity=0)
    call_command("createcachetable", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)


def gunicorn_command(number: int) -> list[str]:
    """The server's command line.

    One process on SQLite: more writers would only wait longer for its one lock.
    """
    workers = "1" if settings.SQLITE else os.environ.get("WEB_CONCURRENCY") or "2"
    return [
        *[sys.executable, "-m", "gunicorn", "clubsite.wsgi", "--bind", f"{host()}:{number}"],
        *["--worker-class", "gthread", "--threads", "4", "--workers", workers],
        *["--config", "python:clubsite.workers", "--log-level", "error", "--no-control-socket"],
    ]


def serve(number: int) -> None:
    """Become the web server; does not return."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubsite.settings")
    os.chdir(settings.BASE_DIR)
    sys.stdout.flush()
    command = gunicorn_command(number)
    os.execv(command[0], command)
