"""Settings, all from environment variables; unset, they suit a club laptop.

DATA_DIR       where the database and the secret key are kept (.data)
DATABASE_URL   the database (SQLite in DATA_DIR)
SECRET_KEY     signs sessions (made once, kept in DATA_DIR)
DEBUG          developer's pages (0)
ALLOWED_HOSTS  names the site answers to (this machine)
LAN            1: also answer to this machine's name and address in the room
HTTPS          1: served over HTTPS; all secure settings follow
TRUSTED_ORIGINS  origins that may post, such as https://club.example
PROXIES        how many proxies of ours stand in front (0)
WORKER         1: a worker for the background runs beside each web process (1)
TIME_ZONE      zone of the pages where a club has none of its own (UTC)
"""

import os
from datetime import timedelta
from pathlib import Path

import dj_database_url
from django.utils.translation import gettext_lazy as _

from clubsite.environment import listed, own_addresses, secret_key, switch

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("DATA_DIR") or BASE_DIR / ".data")

# --- where it runs -----------------------------------------------------------

DEBUG = switch("DEBUG")
HTTPS = switch("HTTPS")
LAN = switch("LAN")
WORKER = switch("WORKER", default=True)
PROXIES = int(os.environ.get("PROXIES") or 0)
SECRET_KEY = os.environ.get("SECRET_KEY") or secret_key(DATA_DIR / "secret_key")
ALLOWED_HOSTS = listed("ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]")
if LAN:
    ALLOWED_HOSTS += own_addresses()
CSRF_TRUSTED_ORIGINS = listed("TRUSTED_ORIGINS")

# --- parts -------------------------------------------------------------------

INSTALLED_APPS = [
    "clubsite",
    "analytics",
    "scoring",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "django_filters",
    "django_tasks",
    "django_tasks_db",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "rest_framework",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django_permissions_policy.PermissionsPolicyMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "clubsite.handed_over.HandedOverPassword",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "axes.middleware.AxesMiddleware",
]

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        # The documentation pages, as "docs/...".
        "DIRS": [BASE_DIR / "clubsite"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

ROOT_URLCONF = "clubsite.urls"
WSGI_APPLICATION = "clubsite.wsgi.application"

# --- database ----------------------------------------------------------------

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
DATABASES = {"default": dj_database_url.config(default=f"sqlite:///{DATA_DIR / 'ledger.sqlite3'}")}
SQLITE = DATABASES["default"]["ENGINE"].endswith("sqlite3")
if SQLITE:
    DATABASES["default"]["OPTIONS"] = {
        # A reader that turns writer would fail at once; IMMEDIATE is the lock.
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        # FULL: what was acknowledged outlives a power cut.
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }
    DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
else:
    DATABASES["default"].setdefault("OPTIONS", {})["pool"] = {"min_size": 2, "max_size": 4}

# SQLite is served by one process, so its memory is shared by all threads; with
# PostgreSQL there are several, and limits must count in one place.
if SQLITE:
    CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
else:
    CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.db.DatabaseCache",
            "LOCATION": "clubsite_cache",
        }
    }

TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}

# --- people ------------------------------------------------------------------

AUTH_USER_MODEL = "clubsite.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "home"

# By name and address together: one forgetful player never locks out a club
# that stands behind one address, and no stranger locks out a name elsewhere.
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "registration/locked.html"
AXES_CLIENT_IP_CALLABLE = "clubsite.addresses.client_address"
AXES_DISABLE_ACCESS_LOG = True
AXES_ENABLE_ADMIN = False

# Longer than the longest evening; a shared tablet is signed out the next day.
SESSION_COOKIE_AGE = 16 * 60 * 60
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"

# --- the browser is told what it may do --------------------------------------

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'", "data:", "blob:"],
        "connect-src": ["'self'"],
        "font-src": ["'self'"],
        "manifest-src": ["'self'"],
        "worker-src": ["'self'"],
        "form-action": ["'self'"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
    }
}
PERMISSIONS_POLICY: dict[str, list[str]] = {
    "camera": [],
    "geolocation": [],
    "microphone": [],
    "payment": [],
    "usb": [],
    "fullscreen": ["self"],
    "screen-wake-lock": ["self"],
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"

if HTTPS:
    SECURE_SSL_REDIRECT = True
    SECURE_REDIRECT_EXEMPT = [r"^healthz$"]
    SECURE_HSTS_SECONDS = 365 * 24 * 60 * 60
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
# W005, W021: whether sub-domains and preload lists join in is for the owner of
# the domain to say, not for one service on it.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]

# Room for 500 entries that each describe 200 contacts, and no more.
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024

# --- the API -----------------------------------------------------------------

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "scoring.api.authentication.TokenAuthentication",
        "scoring.api.authentication.BearerAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    # An address that scoring.access does not list is shut.
    "DEFAULT_PERMISSION_CLASSES": ["scoring.api.permissions.ByAddress"],
    "EXCEPTION_HANDLER": "scoring.api.errors.answer_error",
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["scoring.api.parsing.JSONParser"],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    # Limits are set by name where visitors ask for work: a club behind one address
    # must never be slowed while it scores.
    "DEFAULT_THROTTLE_RATES": {
        "rulings": "600/min",
        "shots": "120/min",
        "diamonds": "600/min",
        "aim": "20/min",
        "table-codes": "10/min",
    },
    "NUM_PROXIES": PROXIES,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}

SPECTACULAR_SETTINGS = {
    "TITLE": _("Cushion Ledger"),
    "DESCRIPTION": _("Matches written down once, judged by the published rules, read back as averages."),
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["rest_framework.permissions.AllowAny"],
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "REDOC_DIST": "SIDECAR",
    "COMPONENT_SPLIT_REQUEST": True,
    "ENUM_NAME_OVERRIDES": {
        "ColourEnum": "scoring.models.Colour",
        "RailEnum": "scoring.rules.contacts.RAILS",
        "ConsentEnum": "scoring.models.Player.Consent",
        "MatchStatusEnum": "scoring.models.MatchProjection.Status",
        "SentStatusEnum": "scoring.ledger.STATUSES",
        "PredictionKindEnum": "scoring.api.states.PREDICTION_KINDS",
        "PredictionSourceEnum": "scoring.api.states.PREDICTION_SOURCES",
        "PositionOfEnum": "scoring.api.practice_positions.WHOSE",
        "KnownOfEnum": "analytics.api.story.KNOWN_OF",
    },
}

# --- words, times, files -----------------------------------------------------

USE_I18N = True
LANGUAGE_CODE = "en"
LANGUAGES = [("en", _("English"))]
LOCALE_PATHS = [BASE_DIR / "clubsite" / "locale"]
USE_TZ = True
FORMAT_MODULE_PATH = ["clubsite.formats"]
TIME_ZONE = os.environ.get("TIME_ZONE") or "UTC"

STATIC_URL = "/static/"
STATIC_ROOT = BASE_DIR / ".static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "clubsite.storage.StaticStorage"},
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    # A missing page or a wrong password is everyday business.
    "loggers": {"django.request": {"level": "ERROR"}, "axes": {"level": "ERROR"}},
}
