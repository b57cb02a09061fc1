"""The one settings file. The environment is read in ``config.environment`` and nowhere else.

Two profiles: ``farm`` (the default: plain http on the farm's own Wi-Fi, SQLite, a broker made of
files) and ``public`` (GAMBREL_PUBLIC=1: https, secure cookies, HSTS).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from csp.constants import NONE, SELF

from config import environment

BASE_DIR = Path(__file__).resolve().parent.parent
VAR = environment.var_folder(BASE_DIR)
VERSION = "0.2.0"

DEBUG = environment.boolean("DEBUG", default=False)
PUBLIC = environment.boolean("GAMBREL_PUBLIC", default=False)
SECRET_KEY = environment.secret_key(VAR)
# On the farm's Wi-Fi the laptop's address changes; no link in a mail or a redirect is built from
# the Host header there. A public server must name its hosts.
ALLOWED_HOSTS = environment.words("ALLOWED_HOSTS", default="" if PUBLIC else "*")
CSRF_TRUSTED_ORIGINS = environment.words("CSRF_TRUSTED_ORIGINS")

INSTALLED_APPS = [
    "workshops",
    "stations",
    "scheduling",
    "crispy_forms",
    "crispy_bootstrap5",
    "csp",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "config.sizes.RefuseHuge",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "workshops.guessing.LimitGuesses",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"

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
                "config.context.site",
            ],
        },
    },
]

DATABASES: dict[str, Any] = {"default": environment.database(VAR)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "workshops.User"
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

LANGUAGE_CODE = "en-us"
TIME_ZONE = environment.text("TIME_ZONE", default="UTC")
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = VAR / "static"
STATICFILES_DIRS = [BASE_DIR / "config" / "static"]
# The hashed names need a collected manifest; a developer's server and the tests have none.
MANIFEST = STATIC_ROOT / "staticfiles.json"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": (
            "whitenoise.storage.CompressedManifestStaticFilesStorage"
            if not DEBUG
            else "django.contrib.staticfiles.storage.StaticFilesStorage"
        )
    },
}
MEDIA_ROOT = VAR / "made"
# A stick or another disk is a better place: a laptop falls into a trough whole.
BACKUPS = environment.folder("GAMBREL_BACKUPS", default=VAR / "backups")

CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"

# --- letters ------------------------------------------------------------------------------------
# How households reach this site from outside; a link in a letter is built from nothing else.
SITE_ADDRESS = environment.site_address()
EMAIL_HOST = environment.text("EMAIL_HOST")
EMAIL_PORT = environment.number("EMAIL_PORT", default=587)
EMAIL_HOST_USER = environment.text("EMAIL_USER")
EMAIL_HOST_PASSWORD = environment.text("EMAIL_PASSWORD")
EMAIL_USE_TLS = environment.boolean("EMAIL_TLS", default=True)
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = environment.text("EMAIL_FROM", default="gambrel@localhost")
# Without a mail server the letters are told on the worker's output, their private links masked.
EMAIL_BACKEND = (
    "django.core.mail.backends.smtp.EmailBackend" if EMAIL_HOST else "workshops.mail.MaskingBackend"
)

# --- figures ------------------------------------------------------------------------------------
# Published instances for `manage.py bench timetable --published` and their tests; not in here.
BENCHMARKS = environment.text("GAMBREL_BENCHMARKS")

# --- the web server ------------------------------------------------------------------------------
# More than one only for many courses at once, with PostgreSQL: docs/running.md has the figures.
WEB_PROCESSES = environment.number("GAMBREL_WEB_PROCESSES", default=1)

# --- background work --------------------------------------------------------------------------
REDIS_URL = environment.redis_url()
if REDIS_URL:
    CELERY_BROKER_URL = REDIS_URL
    CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, Any] = {}
else:
    # One folder is both inbox and outbox: web and worker are on one machine. The default poll of
    # one second held 300 waiting tasks for minutes; at 0.1 s a task starts within a tenth.
    QUEUE = VAR / "queue"
    QUEUE.mkdir(exist_ok=True)
    CELERY_BROKER_URL = "filesystem://localhost"
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(QUEUE),
        "data_folder_out": str(QUEUE),
        "control_folder": str(VAR / "queue-control"),
        "polling_interval": 0.1,
    }
CELERY_TASK_IGNORE_RESULT = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
# A web request must not hang on a broker that is down: the sweep delivers later.
CELERY_TASK_PUBLISH_RETRY_POLICY = {"max_retries": 1, "interval_start": 0, "interval_max": 0.1}
CELERY_TIMEZONE = "UTC"
# How often the waiting line moves and letters go out.
LINE_S = environment.number("GAMBREL_LINE_SECONDS", default=20)
CELERY_BEAT_SCHEDULE = {
    "sweep-jobs": {"task": "workshops.tasks.sweep_jobs", "schedule": 10.0},
    # Each expires before the next is due: a worker that was away finds one, not a heap.
    "move-lines": {
        "task": "workshops.tasks.move_lines",
        "schedule": float(LINE_S),
        "options": {"expires": LINE_S},
    },
    "sweep-attempts": {
        "task": "workshops.tasks.sweep_attempts",
        "schedule": 3600.0,
        "options": {"expires": 3600},
    },
    "keep-backups": {
        "task": "scheduling.tasks.keep_backups",
        "schedule": 900.0,
        "options": {"expires": 900},
    },
    "note-alarms": {
        "task": "scheduling.tasks.note_alarms",
        "schedule": 5.0,
        "options": {"expires": 5},
    },
    "send-letters": {
        "task": "workshops.tasks.send_letters",
        "schedule": float(LINE_S),
        "options": {"expires": LINE_S},
    },
}
JOB_LEASE_S = 12
JOB_ATTEMPTS = 3

# --- what may be sent ---------------------------------------------------------------------------
# Far above any list of people, so that a file that is only too large is refused in words.
MOST_REQUEST_MB = 64

# --- what a browser may do --------------------------------------------------------------------
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "frame-ancestors": [NONE],
        "form-action": [SELF],
        "base-uri": [NONE],
        "object-src": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
if PUBLIC:
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365
    SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
else:
    # Plain http on the farm: these four cannot be met there, and secure cookies would stop
    # everyone from signing in. The opener policy is ignored on plain http anyway.
    SILENCED_SYSTEM_CHECKS = ["security.W004", "security.W008", "security.W012", "security.W016"]
    SECURE_CROSS_ORIGIN_OPENER_POLICY = None

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
    # These tell the address of a request, which may be a private link.
    "filters": {"mask": {"()": "workshops.masking.MaskLinks"}},
    "handlers": {
        "stderr": {"class": "logging.StreamHandler", "formatter": "plain", "filters": ["mask"]}
    },
    "loggers": {
        "django.request": {"filters": ["mask"]},
        "django.security.csrf": {"filters": ["mask"]},
        "django.server": {
            "filters": ["mask"],
            "handlers": ["stderr"],
            "level": "INFO",
            "propagate": False,
        },
        # The web server tells the address of a request that failed outside of Django.
        "gunicorn.error": {
            "filters": ["mask"],
            "handlers": ["stderr"],
            "level": "WARNING",
            "propagate": False,
        },
        # It warns of each rule that only a browser understands.
        "weasyprint": {"level": "ERROR"},
    },
    "root": {"handlers": ["stderr"], "level": "WARNING"},
}
