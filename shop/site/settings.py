"""Settings, all from the environment; the embedded default needs none.

DATABASE_URL and REDIS_URL alone switch from one machine (SQLite, tasks in-process) to many
(PostgreSQL, Celery workers). Everything the site writes goes below KERBLINE_DATA.
"""

import os
import secrets
import sys
from datetime import timedelta
from pathlib import Path

import dj_database_url
from django.core.exceptions import ImproperlyConfigured
from kombu.entity import Queue

from . import languages
from .logs import logging_config, report_errors
from .schedule import SCHEDULE
from .storage import storages

BASE_DIR = Path(__file__).resolve().parent.parent.parent
DATA_DIR = Path(os.environ.get("KERBLINE_DATA", BASE_DIR / ".kerbline"))
DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)

DEBUG = os.environ.get("KERBLINE_DEBUG", "0") == "1"
REDIS_URL = os.environ.get("REDIS_URL", "")


def _secret_key() -> str:
    """Return the key from the environment, or one kept in the data folder of a single machine."""
    key = os.environ.get("KERBLINE_SECRET_KEY", "")
    shared = not dj_database_url.parse(os.environ.get("DATABASE_URL") or "sqlite://")["ENGINE"].endswith(
        "sqlite3"
    )
    if shared and (len(key) < 32 or len(set(key)) < 8):
        raise ImproperlyConfigured(
            "Set KERBLINE_SECRET_KEY to one long random text on all machines, for instance from "
            "python -c 'import secrets; print(secrets.token_urlsafe(50))'."
        )
    if key:
        return key
    path = DATA_DIR / "secret_key"
    try:
        with path.open("x") as file:
            path.chmod(0o600)
            file.write(secrets.token_urlsafe(50))
    except FileExistsError:
        pass
    return path.read_text()


SECRET_KEY = _secret_key()
ALLOWED_HOSTS = os.environ.get("KERBLINE_HOSTS", "localhost,127.0.0.1,[::1],testserver").split(",")
CSRF_TRUSTED_ORIGINS = [origin for origin in os.environ.get("KERBLINE_ORIGINS", "").split(",") if origin]
SITE_URL = os.environ.get("KERBLINE_SITE_URL", "http://127.0.0.1:8000")

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "crispy_forms",
    "axes",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_otp.plugins.otp_static",
    "configurator",
    "shop",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "shop.site.logs.with_request_id",
    "shop.site.security.content_security_policy",
    "shop.site.security.private_pages",
    "shop.site.security.no_null_characters",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "configurator.visitors.sizes.bounded_requests",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_otp.middleware.OTPMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "shop.accounts.guard.session_limits",
    "shop.accounts.guard.second_factor",
    "shop.accounts.preferring.remember_choices",
    "shop.opening.guard.site_state",
    "shop.site.leading_back.to_what_it_belongs_to",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "shop.site.urls"
WSGI_APPLICATION = "shop.site.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ]
        },
    }
]

DATABASES = {
    "default": dj_database_url.parse(
        os.environ.get("DATABASE_URL") or f"sqlite:///{DATA_DIR / 'kerbline.sqlite3'}",
        conn_max_age=60,
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # WAL lets readers go on while one writes; IMMEDIATE takes the write lock at the start of a
    # transaction, so two writers wait for each other instead of failing half-way.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
    }

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
# Tries are counted by account and by address, each by itself; the address is the visitor's own only where
# it is said how many proxies of ours stand in front.
AXES_LOCKOUT_PARAMETERS = ["username", "ip_address"]
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_RESET_ON_SUCCESS = True
AXES_ENABLE_ACCESS_FAILURE_LOG = True
AXES_LOCKOUT_TEMPLATE = "registration/locked.html"
AXES_HTTP_RESPONSE_CODE = 429
AXES_VERBOSE = False
# How many proxies of ours stand in front. The one that counts the visitor's address is our own function: the
# library's takes the visitor's own claim for it, or nothing, depending on how the proxy writes the header.
KERBLINE_PROXIES = int(os.environ.get("KERBLINE_PROXIES", "0"))
AXES_CLIENT_IP_CALLABLE = "configurator.visitors.address.visitor_address"
# Whoever holds one of these roles, and every superuser, shows a second factor; the demo command asks none.
SECOND_FACTOR_FOR = [r for r in os.environ.get("KERBLINE_SECOND_FACTOR", "manager").split(",") if r]
OTP_TOTP_ISSUER = "Kerbline"
# A working day in all, and two hours without a touch.
SESSION_ABSOLUTE_S = 14 * 3600
SESSION_IDLE_S = 2 * 3600
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "shop:inbox"
LOGOUT_REDIRECT_URL = "login"

LANGUAGE_CODE = "en-gb"
# The data folder's own messages come first, so that a workshop may also say something otherwise.
LOCALE_PATHS = [DATA_DIR / "locale", BASE_DIR / "configurator" / "locale", BASE_DIR / "shop" / "locale"]
LANGUAGES = languages.found(LOCALE_PATHS)
TIME_ZONE = os.environ.get("KERBLINE_TIME_ZONE", "Europe/Berlin")
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(exist_ok=True)
MEDIA_URL = "media/"
MEDIA_ROOT = DATA_DIR / "media"
STORAGES = storages(
    os.environ.get("KERBLINE_STORAGE", ""), static=STATIC_ROOT, collecting="collectstatic" in sys.argv[1:2]
)
WHITENOISE_USE_FINDERS = True

CRISPY_ALLOWED_TEMPLATE_PACKS = "kerb"
CRISPY_TEMPLATE_PACK = "kerb"

if os.environ.get("KERBLINE_SMTP_HOST"):
    EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    EMAIL_HOST = os.environ["KERBLINE_SMTP_HOST"]
    EMAIL_PORT = int(os.environ.get("KERBLINE_SMTP_PORT", "587"))
    EMAIL_HOST_USER = os.environ.get("KERBLINE_SMTP_USER", "")
    EMAIL_HOST_PASSWORD = os.environ.get("KERBLINE_SMTP_PASSWORD", "")
    EMAIL_USE_SSL = EMAIL_PORT == 465  # TLS from the first byte (RFC 8314)
    EMAIL_USE_TLS = EMAIL_PORT not in (25, 465)
    EMAIL_TIMEOUT = 10
else:
    EMAIL_BACKEND = "shop.site.folders.MailFolder"
    EMAIL_FILE_PATH = DATA_DIR / "mail"
DEFAULT_FROM_EMAIL = os.environ.get("KERBLINE_MAIL_FROM", "workshop@kerbline.example")

# Uploads: one photo at most 15 MB; the whole request is bounded as well.
KERBLINE_PHOTO_MAX_BYTES = 15_000_000
KERBLINE_PHOTO_MAX_PIXELS = 60_000_000
KERBLINE_PHOTO_MAX_COUNT = 12
# With a note on a vehicle that is not listed; these are made safe while the customer waits.
KERBLINE_REQUEST_PHOTOS = 6
KERBLINE_PHOTO_BUILD_BYTES = 100_000_000
# Of builds that were not sent, all together; what was sent belongs to a job.
KERBLINE_PHOTO_ALL_BYTES = int(os.environ.get("KERBLINE_PHOTO_GB", "20")) * 1_000_000_000
# A whole request, files included, by the beginning of its address; counted before anything is parsed.
REQUEST_BYTES = {
    "/job/": KERBLINE_PHOTO_MAX_COUNT * KERBLINE_PHOTO_MAX_BYTES + 2_000_000,
    "/build/": KERBLINE_PHOTO_MAX_COUNT * KERBLINE_PHOTO_MAX_BYTES + 2_000_000,
    "/not-listed/": KERBLINE_REQUEST_PHOTOS * KERBLINE_PHOTO_MAX_BYTES + 2_000_000,
    "/workshop/": 60_000_000,
    "/admin/": 60_000_000,
    "/": 2_000_000,
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_000_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_000_000
FILE_UPLOAD_HANDLERS = [
    "configurator.pages.uploads.BoundedUploads",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

CELERY_BROKER_URL = REDIS_URL or "memory://localhost/"
CELERY_TASK_ALWAYS_EAGER = not REDIS_URL
# Without workers, what was promised is done in threads beside the request that asked for it.
KERBLINE_WORK_IN_THREADS = not REDIS_URL
# A broker that accepts and does not answer: nobody waits for it longer than this.
BROKER_WAITS_S = 2.0
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "socket_timeout": BROKER_WAITS_S,
    "socket_connect_timeout": BROKER_WAITS_S,
    "retry_policy": {"timeout": BROKER_WAITS_S},
}
CELERY_BROKER_CONNECTION_TIMEOUT = BROKER_WAITS_S
CELERY_TASK_EAGER_PROPAGATES = False
CELERY_TASK_ACKS_LATE = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_TASK_IGNORE_RESULT = True
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TIMEZONE = TIME_ZONE
# A worker takes from every queue in turn, so a mail never waits behind a long plan. By urgency, as in
# configurator/outbox/handlers.py; a worker started with -Q takes only some.
CELERY_TASK_QUEUES = [Queue(name) for name in ("mail", "celery", "photos", "papers", "plans")]
CELERY_TASK_DEFAULT_QUEUE = "celery"
CELERY_BEAT_SCHEDULE = SCHEDULE

# Whether a build waits until the link in a mail has been opened. Only real mail can trouble a stranger, and
# only who gets real mail can open the link: so it goes with the mail server unless it is said otherwise.
KERBLINE_CONFIRM_ADDRESS = (
    os.environ.get("KERBLINE_CONFIRM_ADDRESS", "1" if os.environ.get("KERBLINE_SMTP_HOST") else "0") == "1"
)
# What one network address may do, and what may be sent in one mail address's name. One address may stand for
# a whole office or a part of a mobile network, so these bound machines and not people.
LIMITS = {
    "builds": "60/hour",
    "photos": "240/hour",
    "sends": "20/hour",
    "requests": "10/hour",
    "words": "30/hour",
    "recipient": "10/day",
    "passwords": "20/hour",
}
if os.environ.get("KERBLINE_LIMITS") == "off":
    LIMITS = {}
else:
    LIMITS |= dict(part.split("=", 1) for part in os.environ.get("KERBLINE_LIMITS", "").split(",") if part)

if REDIS_URL:
    CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": REDIS_URL,
            "OPTIONS": {"socket_timeout": 1, "socket_connect_timeout": 1},
        }
    }

# How many days what is kept. Jobs and books stay until a person says otherwise.
RETENTION_DAYS = {
    "unsent_builds": int(os.environ.get("KERBLINE_KEEP_UNSENT_DAYS", "180")),
    "mail_text": int(os.environ.get("KERBLINE_KEEP_MAIL_DAYS", "730")),
    "promises": int(os.environ.get("KERBLINE_KEEP_PROMISES_DAYS", "30")),
    "requests": int(os.environ.get("KERBLINE_KEEP_REQUESTS_DAYS", "7")),
    "vehicle_requests": int(os.environ.get("KERBLINE_KEEP_VEHICLE_REQUESTS_DAYS", "365")),
    "unshown_builds": int(os.environ.get("KERBLINE_KEEP_UNSHOWN_DAYS", "365")),
    "sign_ins": int(os.environ.get("KERBLINE_KEEP_SIGN_INS_DAYS", "90")),
}
LOGGING = logging_config(os.environ.get("KERBLINE_LOG", ""))
METRICS_TOKEN = os.environ.get("KERBLINE_METRICS_TOKEN", "")
if os.environ.get("KERBLINE_ERRORS_DSN"):
    report_errors(os.environ["KERBLINE_ERRORS_DSN"])

SECURE_CONTENT_TYPE_NOSNIFF = True
# Entering browsers' preload list binds the whole domain for good: that is the workshop's to decide.
SILENCED_SYSTEM_CHECKS = ["security.W021"]
X_FRAME_OPTIONS = "DENY"
if os.environ.get("KERBLINE_HTTPS", "0") == "1":
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_SSL_REDIRECT = True
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = LANGUAGE_COOKIE_SECURE = True
    # With this prefix browsers take the cookie only over HTTPS, from this very host, for all of it.
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-session", "__Host-csrf"
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
