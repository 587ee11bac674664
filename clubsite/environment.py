"""Reads the environment for `settings`: switches, lists, the secret key, own addresses."""

import os
import secrets
import socket
from collections.abc import Mapping
from pathlib import Path

YES = {"1", "true", "yes", "on"}


def switch(name: str, default: bool = False, environ: Mapping[str, str] = os.environ) -> bool:
    """Whether a variable says yes; unset or empty gives `default`."""
    value = environ.get(name, "").strip().lower()
    return value in YES if value else default


def listed(name: str, default: str = "", environ: Mapping[str, str] = os.environ) -> list[str]:
    """The comma-separated parts of a variable, without blanks."""
    return [part.strip() for part in environ.get(name, default).split(",") if part.strip()]


def secret_key(path: Path) -> str:
    """The key kept in `path`; written on first use, readable by its owner alone.

    Two processes that start together agree: the file is created exclusively,
    and the one that comes second reads what the first wrote.
    """
    if not path.exists():
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        draft = path.with_name(f"{path.name}.{os.getpid()}")
        descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "w") as file:
            file.write(secrets.token_urlsafe(64))
        try:
            # A link is made whole or not at all, so nobody reads half a key.
            os.link(draft, path)
        except FileExistsError:
            pass
        finally:
            draft.unlink()
    return path.read_text().strip()


def own_addresses() -> list[str]:
    """Names and addresses under which other devices in the room reach this machine."""
    name = socket.gethostname()
    found = [name, f"{name}.local"]
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Choosing a route sends nothing; 192.0.2.1 is reserved for documentation.
            probe.connect(("192.0.2.1", 9))
            found.append(probe.getsockname()[0])
        except OSError:
            pass
    return found
