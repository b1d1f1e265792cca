"""Settings: puts the pieces together. Everything a shop changes comes from the environment (see README)."""

import datetime
import os
import secrets
from pathlib import Path

import dj_database_url

from shopstock.sqlite_build import use_sound_build

use_sound_build()

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("SHOPSTOCK_DATA", BASE_DIR / "shop-data"))


def _secret_key() -> str:
    """A key of this installation's own: from the environment, or made once and kept beside the data."""
    if key := os.environ.get("SHOPSTOCK_SECRET_KEY"):
        return key
    path = DATA_DIR / "secret_key"
    if not path.exists():
        DATA_DIR.mkdir(parents=True, exist_ok=True)
        try:
            handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        except FileExistsError:  # another process was first
            pass
        else:
            with os.fdopen(handle, "w") as file:
                file.write(secrets.token_urlsafe(50))
    return path.read_text().strip()


def _list(name: str, default: str = "") -> list[str]:
    return [item.strip() for item in os.environ.get(name, default).split(",") if item.strip()]


SECRET_KEY = _secret_key()
DEBUG = os.environ.get("SHOPSTOCK_DEBUG") == "1"
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *_list("SHOPSTOCK_HOSTS")]
CSRF_TRUSTED_ORIGINS = _list("SHOPSTOCK_TRUSTED_ORIGINS")

INSTALLED_APPS = [
    "shopstock",
    "jobs",
    "labels",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_tables2",
    "django_filters",
    "django_htmx",
    "axes",
]

MIDDLEWARE = [
    "shopstock.middleware.RequestLog",
    "django.middleware.security.SecurityMiddleware",
    "shopstock.middleware.ContentSecurityPolicy",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "shopstock.middleware.TabletSignIn",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "shopstock.urls"
WSGI_APPLICATION = "shopstock.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "DIRS": [
            path for app in ("shopstock", "jobs", "labels") for path in sorted((BASE_DIR / app).glob("*/templates"))
        ],
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shopstock.context.shop",
            ],
        },
    }
]
FORM_RENDERER = "shopstock.form_renderer.ShopFormRenderer"

DATABASES = {"default": dj_database_url.config(default=f"sqlite:///{BASE_DIR / 'shop.sqlite3'}", conn_max_age=60)}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # A write takes its lock at once (no upgrade that fails), readers never wait, a commit survives a power cut.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesBackend",  # first: it counts wrong tries, by password or PIN, and locks
    "django.contrib.auth.backends.ModelBackend",
    "shopstock.pin_backend.PinBackend",
]
AXES_FAILURE_LIMIT = 8
AXES_LOCKOUT_PARAMETERS = ["username"]
SILENCED_SYSTEM_CHECKS = ["axes.W006"]  # by name alone: a shop has one address, and one fool must not lock out all
AXES_COOLOFF_TIME = datetime.timedelta(minutes=15)
AXES_RESET_ON_SUCCESS = True
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_LOCKOUT_CALLABLE = "shopstock.people.views.locked_out"
AXES_SENSITIVE_PARAMETERS = ["pin"]
AXES_DISABLE_ACCESS_LOG = True
AXES_ENABLE_ADMIN = False
AXES_VERBOSE = False

AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 8}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign-in"
SESSION_COOKIE_AGE = 12 * 3600  # a working day
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
TABLET_IDLE_SECONDS = 5 * 60
TABLET_COOKIE_NAME = "shop-tablet"
CSRF_FAILURE_VIEW = "shopstock.people.views.form_expired"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = os.environ.get("SHOPSTOCK_TIME_ZONE", "UTC")
USE_I18N = True
USE_TZ = True
USE_THOUSAND_SEPARATOR = False

STATIC_URL = "/static/"
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG

DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000

DJANGO_TABLES2_TEMPLATE = "shopstock/table.html"
DJANGO_TABLES2_PAGINATE_BY = 25

BACKUP_DIR = Path(os.environ.get("SHOPSTOCK_BACKUPS", DATA_DIR / "backups"))
BACKUP_COPY = os.environ.get("SHOPSTOCK_BACKUP_COPY", "")  # a command; {file} stands for the backup
BACKUP_KEEP_DAYS = int(os.environ.get("SHOPSTOCK_BACKUP_KEEP_DAYS", "14"))
BACKUP_KEEP_MONTHS = int(os.environ.get("SHOPSTOCK_BACKUP_KEEP_MONTHS", "12"))

TRUSTED_PROXY = os.environ.get("SHOPSTOCK_PROXY", "127.0.0.1")  # believed about https, nobody else is
# The morning's mail goes to the console until a mail server is named (see README).
EMAIL_BACKEND = os.environ.get("SHOPSTOCK_EMAIL_BACKEND", "django.core.mail.backends.console.EmailBackend")
EMAIL_HOST = os.environ.get("SHOPSTOCK_EMAIL_HOST", "localhost")
EMAIL_PORT = int(os.environ.get("SHOPSTOCK_EMAIL_PORT", "25"))
EMAIL_HOST_USER = os.environ.get("SHOPSTOCK_EMAIL_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("SHOPSTOCK_EMAIL_PASSWORD", "")
EMAIL_USE_TLS = os.environ.get("SHOPSTOCK_EMAIL_TLS") == "1"
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = os.environ.get("SHOPSTOCK_EMAIL_FROM", "storeroom@localhost")

X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
if os.environ.get("SHOPSTOCK_HTTPS") == "1":
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-session", "__Host-csrf"
    TABLET_COOKIE_NAME = "__Host-shop-tablet"
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_SSL_REDIRECT = True
    SECURE_REDIRECT_EXEMPT = [r"^healthz$"]
    SECURE_HSTS_SECONDS = int(os.environ.get("SHOPSTOCK_HSTS_SECONDS", 365 * 24 * 3600))
    SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = True

SLOW_REQUEST_SECONDS = float(os.environ.get("SHOPSTOCK_SLOW_SECONDS", "1"))
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"lines": {"()": "shopstock.request_log.JsonLines"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "lines"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {"shopstock.requests": {"level": os.environ.get("SHOPSTOCK_LOG", "WARNING").upper()}},
}
