"""The settings of the tests: those of the service, without files to collect and without slow hashes."""

import atexit
import os
import shutil
import tempfile

# What the shell of whoever runs the tests holds must not change them.
for name in (
    "ALLOWED_HOSTS",
    "DATA_DIR",
    "DEBUG",
    "HTTPS",
    "LAN",
    "PROXIES",
    "TIME_ZONE",
    "TRUSTED_ORIGINS",
    "WORKER",
):
    os.environ.pop(name, None)
os.environ["SECRET_KEY"] = "known to everybody, and therefore for tests alone, where nothing is secret"
# A folder of its own for each process: runs beside one another never meet.
FOLDER = tempfile.mkdtemp(prefix="cushion-ledger-")
os.environ["DATA_DIR"] = FOLDER
atexit.register(shutil.rmtree, FOLDER, ignore_errors=True)

from clubsite.settings import *  # noqa: E402, F403
from clubsite.settings import DATABASES, MIDDLEWARE, REST_FRAMEWORK, SQLITE  # noqa: E402

if SQLITE:
    # A file, not memory: threads then meet at the real lock. Only the fsync is spared.
    DATABASES["default"]["TEST"] = {"NAME": os.path.join(FOLDER, "test.sqlite3")}
    DATABASES["default"]["OPTIONS"]["init_command"] = "PRAGMA journal_mode=WAL; PRAGMA synchronous=OFF;"

CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
MIDDLEWARE = [name for name in MIDDLEWARE if not name.startswith("whitenoise.")]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}
WORKER = False
# Fuzzing asks more in a minute than any visitor; the test of a limit sets its own.
REST_FRAMEWORK = REST_FRAMEWORK | {
    "DEFAULT_THROTTLE_RATES": dict.fromkeys(REST_FRAMEWORK["DEFAULT_THROTTLE_RATES"], "1000000/min")
}
