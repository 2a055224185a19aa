"""Settings for the demo, tests and big garages alike. Each variable is read once, here, with a default for the demo."""

import os
from pathlib import Path
from urllib.parse import urlsplit

import environ
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured
from django.core.management.utils import get_random_secret_key

from garage.core.keeping.periods import SESSIONS
from garage.running.keys import kept_keys
from garage.running.mail_server import mail_server_settings
from garage.running.measuring import count_files
from garage.running.outside import is_from_outside

# Read by NumPy when it is first imported. The matrices of a judgement are small: threads only wait for one another
# there (40 times slower on a busy machine), and may sum in a different order from run to run.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

METRICS_TOKEN_LEAST = 16  # characters, 64 bits if they are random hexadecimal ones; common practice, no source

env = environ.Env()
BASE_DIR = Path(__file__).resolve().parent.parent

DATA = Path(env.str("DATA", default=str(BASE_DIR / "var"))).resolve()
SITE_URL = env.str("SITE_URL", default="http://127.0.0.1:8000").rstrip("/")
# Read by the plotting library when it is first imported: where it caches its list of fonts.
os.environ.setdefault("MPLCONFIGDIR", str(DATA / "matplotlib"))
_site = urlsplit(SITE_URL)
IS_HTTPS = _site.scheme == "https"
REACHABLE_FROM_OUTSIDE = is_from_outside(_site.hostname)  # then boss and front desk log in with a second factor


_given_key = env.str("SECRET_KEY", default="")
KEY_IS_GIVEN = bool(_given_key)  # then the file of keys does not count, and nothing here changes the key


def _keys() -> list[str]:
    """The key in force, then the earlier ones that still open links and log-ins (garage/running/keys.py).

    Without a file under DATA (batch commands, a read-only disk) it is a key for this process only.
    """
    kept = [_given_key] if _given_key else kept_keys(DATA) or [get_random_secret_key()]
    return [*kept, *env.list("SECRET_KEY_FALLBACKS", default=[])]


SECRET_KEY, *SECRET_KEY_FALLBACKS = _keys()
DEBUG = False
ALLOWED_HOSTS = sorted({_site.hostname or "127.0.0.1", "127.0.0.1", "localhost", "[::1]"})
CSRF_TRUSTED_ORIGINS = [f"{_site.scheme}://{_site.netloc}"]

INSTALLED_APPS = [
    "garage",
    "diagnostics",
    "diagnostics.hearing",
    "jobs",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "template_partials",
    "csp",
]
MIDDLEWARE = [
    "garage.views.request_id.RequestIdMiddleware",
    "garage.views.health.HealthMiddleware",
    "garage.views.packed.PackedTextMiddleware",
    "garage.views.language.LanguageMiddleware",
    "garage.views.middleware.PrivateMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "garage.views.middleware.PermissionsMiddleware",
    "garage.views.body_limits.BodyLimitMiddleware",
    "garage.views.middleware.UsableTextMiddleware",
    "garage.views.cannot_save.SteadySessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "garage.views.middleware.ShopMiddleware",
    "garage.views.middleware.UnbrokenMiddleware",
]
ROOT_URLCONF = "garage.urls"
WSGI_APPLICATION = "garage.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "garage.views.context.shop",
                "garage.views.context.mending",
                "garage.views.context.shown_round",
            ]
        },
    }
]

DATABASES = {"default": env.db_url("DATABASE_URL", default=f"sqlite:///{DATA / 'tickover.sqlite3'}")}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # Without IMMEDIATE and the timeout, concurrent writers hit "database is locked". WAL lets readers go on meanwhile.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
    }
    # The files beside the database go with its last connection, and a full or read-only disk takes no new ones: kept
    # open, pages can still be read then.
    DATABASES["default"]["CONN_MAX_AGE"] = None
else:
    # Kept from request to request, for a backup server or a pooler in between to change at last; one that broke
    # meanwhile is noticed before a page needs it.
    DATABASES["default"] |= {"CONN_MAX_AGE": 600, "CONN_HEALTH_CHECKS": True}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "garage.Person"
PASSWORD_HASHERS = ["garage.running.hashing.PatientArgon2"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("username", "first_name", "last_name", "role")},
    },
]
LOGIN_URL = "log-in"
LOGIN_REDIRECT_URL = "day-sheet"
LOGOUT_REDIRECT_URL = "front"

LANGUAGE_CODE = "en-gb"
LANGUAGES = [("en-gb", "English"), ("de", "Deutsch"), ("it", "italiano")]  # garage/core/text/languages.py
# Django writes no number or day of ours: what is drawn, and what fields hold, keeps its point in every language.
FORMAT_MODULE_PATH = "garage.output.formats"
USE_TZ = True
TIME_ZONE = "UTC"  # stored and compared; the garage's own zone is a setting of the shop (core/time/local_time.py)

STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
MEDIA_ROOT = DATA / "media"
# How many, and where, is up to the computer and not to the shop: it must be known while the database cannot be read,
# and a backup that is put back must not change it.
BACKUPS = Path(env.str("BACKUPS", default="") or DATA / "backups").resolve()
_backups_kept = env.str("BACKUPS_KEPT", default="") or "7"
if not (_backups_kept.isascii() and _backups_kept.isdecimal() and len(_backups_kept) < 5):
    raise ImproperlyConfigured(f"BACKUPS_KEPT is {_backups_kept!r}; allowed is a whole number from 0 to 9999.")
BACKUPS_KEPT = int(_backups_kept)  # of each kind; 0: none is made by itself
# Where an image has collected the static files, named by what is in them and packed; empty: served as they lie here.
STATIC_BUILT = env.str("STATIC_BUILT", default="")
STATIC_ROOT = Path(STATIC_BUILT).resolve() if STATIC_BUILT else DATA / "static"
_static = "whitenoise.storage.CompressedManifest" if STATIC_BUILT else "django.contrib.staticfiles.storage."
STORAGES = {
    "default": {"BACKEND": "garage.output.whole_files.WholeFileStorage"},
    "staticfiles": {"BACKEND": f"{_static}StaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = not STATIC_BUILT
# Names with a mark of their bytes, our own or the collected files': a browser keeps them for good.
WHITENOISE_IMMUTABLE_FILE_TEST = r"\.(?:[0-9a-f]{8}|[0-9a-f]{12})\.\w+$"
FILE_UPLOAD_PERMISSIONS = 0o600
DATA_UPLOAD_MAX_MEMORY_SIZE = 5_000_000  # bytes of form text; photos stream to disk and have their own limit

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "media-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"  # pages behind a personal link send no-referrer themselves
SESSION_ENGINE = "garage.models.sessions"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = int(SESSIONS.length.total_seconds())
if IS_HTTPS:
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    # With that prefix a browser takes neither from plain http nor from another name below the same domain.
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"
    SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365  # s, one year
    # Other names below this one are not the garage's to promise https for, and the browsers' list is hard to leave.
    SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

MAIL_FROM = env.str("MAIL_FROM", default="")  # empty: the shop's own address
EMAIL_URL = env.str("EMAIL_URL", default="")  # empty: no mail server, messages are kept on the sent page
if EMAIL_URL:
    vars().update(mail_server_settings(env.email_url("EMAIL_URL")))

# Celery's own. What is sent when, and how each broker is spoken to, is code: garage/celery.py.
CELERY_BROKER_URL = env.str("BROKER_URL", default="filesystem://localhost")
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_MAX_RETRIES = None
CELERY_TASK_TIME_LIMIT = 900  # s for a task without its own; one that hangs is ended, and its rows are still due
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TIMEZONE = "UTC"
CELERY_WORKER_HIJACK_ROOT_LOGGER = False  # the handlers below, which mask tokens, are what it writes with

# As they were given, for services that have to start with the same: garage/management/commands/units.py.
GIVEN = {
    name: os.environ[name]
    for name in (
        *("SECRET_KEY", "SECRET_KEY_FALLBACKS", "BACKUPS", "BACKUPS_KEPT", "DATABASE_URL", "BROKER_URL"),
        *("EMAIL_URL", "MAIL_FROM", "LOG_LEVEL", "LOG_FORMAT", "METRICS", "METRICS_TOKEN"),
    )
    if os.environ.get(name)
}

METRICS = env.str("METRICS", default="") or "off"
if METRICS not in ("off", "on"):
    raise ImproperlyConfigured(f"METRICS is {METRICS!r}; allowed is on or off.")
METRICS_TOKEN = env.str("METRICS_TOKEN", default="")  # empty: only this computer itself is told
if METRICS_TOKEN and len(METRICS_TOKEN) < METRICS_TOKEN_LEAST:
    raise ImproperlyConfigured(
        f"METRICS_TOKEN is too easy to guess; allowed are {METRICS_TOKEN_LEAST} characters or more."
    )
if METRICS == "on":
    # Outside of all that needs a session, a shop or https, inside of the request's number and the questions of health.
    os.environ["PROMETHEUS_MULTIPROC_DIR"] = str(DATA / count_files.FOLDER)  # read by the library itself
    _inner = MIDDLEWARE.index("garage.views.packed.PackedTextMiddleware")
    MIDDLEWARE.insert(_inner, "jobs.views.middleware.MetricsMiddleware")

LOG_FORMAT = env.str("LOG_FORMAT", default="") or "words"
if LOG_FORMAT not in ("words", "json"):
    raise ImproperlyConfigured(f"LOG_FORMAT is {LOG_FORMAT!r}; allowed is words or json.")
LOG_LEVEL = env.str("LOG_LEVEL", default="WARNING")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"hide_tokens": {"()": "garage.running.logs.HideTokens"}},
    "formatters": {
        "words": {"()": "garage.running.log_lines.WordLines"},
        "json": {"()": "garage.running.log_lines.JsonLines"},
    },
    "handlers": {
        "stderr": {"class": "logging.StreamHandler", "filters": ["hide_tokens"], "formatter": LOG_FORMAT},
        "failures": {"()": "garage.running.failures.NoteFailures", "data": DATA, "filters": ["hide_tokens"]},
    },
    "root": {"handlers": ["stderr", "failures"], "level": LOG_LEVEL},
    "loggers": {
        "django": {
            "handlers": ["stderr", "failures"],
            "level": env.str("LOG_LEVEL", default="WARNING"),
            "propagate": False,
        },
        "weasyprint": {
            "level": "ERROR"
        },  # for each paper it warns of rules in our style sheets that are meant for screens
    },
}
