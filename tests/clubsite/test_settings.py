"""The settings as a machine would see them, read in a process of their own."""

import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
PROBE = """
import json, sys
from clubsite import settings
print(json.dumps({name: getattr(settings, name, None) for name in sys.argv[1:]}, default=str))
"""


def run(folder: Path, *command: str, **environ: str) -> subprocess.CompletedProcess[str]:
    bare = {"PATH": os.environ["PATH"], "DATA_DIR": str(folder)}
    return subprocess.run(
        [sys.executable, *command], cwd=ROOT, env=bare | environ, capture_output=True, text=True, timeout=60
    )


def settings_of(folder: Path, *names: str, **environ: str) -> dict:
    done = run(folder, "-c", PROBE, *names, **environ)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


# All checks, over HTTPS, are a part of each test run; here those alone that tell HTTP from HTTPS.
SECURITY = ("manage.py", "check", "--deploy", "--tag", "security", "--fail-level", "WARNING")


def test_deployment_check_is_clean_over_https(tmp_path: Path) -> None:
    done = run(tmp_path, *SECURITY, HTTPS="1")
    assert done.returncode == 0, done.stderr


def test_deployment_check_complains_without_https(tmp_path: Path) -> None:
    done = run(tmp_path, *SECURITY)
    assert done.returncode != 0
    assert "security.W012" in done.stderr


def test_laptop_is_closed_and_quiet_when_nothing_is_set(tmp_path: Path) -> None:
    found = settings_of(tmp_path, "DEBUG", "ALLOWED_HOSTS", "HTTPS")
    assert found == {"DEBUG": False, "ALLOWED_HOSTS": ["localhost", "127.0.0.1", "[::1]"], "HTTPS": False}


def test_lan_adds_this_machine(tmp_path: Path) -> None:
    found = settings_of(tmp_path, "ALLOWED_HOSTS", LAN="1")["ALLOWED_HOSTS"]
    assert len(found) > 3
    assert "*" not in found


def test_secret_key_is_made_once_and_is_the_owners_alone(tmp_path: Path) -> None:
    first = settings_of(tmp_path, "SECRET_KEY")["SECRET_KEY"]
    assert len(first) >= 50
    assert settings_of(tmp_path, "SECRET_KEY")["SECRET_KEY"] == first
    assert stat.S_IMODE((tmp_path / "secret_key").stat().st_mode) == 0o600
    assert settings_of(tmp_path, "SECRET_KEY", SECRET_KEY="given")["SECRET_KEY"] == "given"


def test_sqlite_waits_for_the_lock_and_for_the_disk(tmp_path: Path) -> None:
    options = settings_of(tmp_path, "DATABASES")["DATABASES"]["default"]["OPTIONS"]
    assert options["transaction_mode"] == "IMMEDIATE"
    assert "synchronous=FULL" in options["init_command"]


def test_postgresql_has_a_pool_and_a_cache_that_all_processes_share(tmp_path: Path) -> None:
    address = "postgresql://club@localhost/ledger"
    found = settings_of(tmp_path, "DATABASES", "CACHES", DATABASE_URL=address)
    assert found["DATABASES"]["default"]["OPTIONS"]["pool"]
    assert found["CACHES"]["default"]["BACKEND"].endswith("DatabaseCache")


@pytest.mark.parametrize("name", ["SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE", "SECURE_SSL_REDIRECT"])
def test_https_secures(tmp_path: Path, name: str) -> None:
    assert settings_of(tmp_path, name, HTTPS="1")[name] is True
    assert not settings_of(tmp_path, name)[name]


def test_unused_variables_need_no_value(tmp_path: Path) -> None:
    found = settings_of(tmp_path, "PROXIES", "TIME_ZONE", PROXIES="", TIME_ZONE="", HTTPS="", SECRET_KEY="")
    assert found == {"PROXIES": 0, "TIME_ZONE": "UTC"}
