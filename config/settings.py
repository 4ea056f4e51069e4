"""The one settings file. Every choice of a venue comes from the environment; see environment.py."""

import os
from pathlib import Path
from urllib.parse import urlsplit

from config import environment
from venue.languages import ENGLISH
from venue.languages import LANGUAGES as LANGUAGE_CHOICES

BASE_DIR = Path(__file__).resolve().parent.parent
ENVIRON = os.environ
environment.check_names(ENVIRON)
environment.check_values(ENVIRON)

# --- where it runs -------------------------------------------------------------------------
SECRET_KEY = ENVIRON["LOFTBOOK_SECRET_KEY"]
DEBUG = environment.yes_or_no(ENVIRON, "LOFTBOOK_DEBUG", default=False)
LOFTBOOK_ADDRESS = ENVIRON["LOFTBOOK_ADDRESS"].rstrip("/")
BEHIND_PROXY = environment.yes_or_no(ENVIRON, "LOFTBOOK_BEHIND_PROXY", default=False)
HTTPS = urlsplit(LOFTBOOK_ADDRESS).scheme == "https"
ON_LOCALHOST = urlsplit(LOFTBOOK_ADDRESS).hostname in ("localhost", "127.0.0.1")
ALLOWED_HOSTS = environment.host_names(ENVIRON)
CSRF_TRUSTED_ORIGINS = [LOFTBOOK_ADDRESS]
ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "django_q",
    "csp",
    "venue",
    "rigging",
    "inspections",
]
MIDDLEWARE = [
    "venue.kept_for_good.KeptForGood",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "venue.packed_pages.PackedPages",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "venue.language_now.LanguageOfPerson",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "inspections.views.desk_session.DeskSession",
    "venue.nobody_yet.NobodyYet",
    "venue.zero_characters.ZeroCharacters",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": ["django.templatetags.i18n", "venue.templatetags.said"],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "venue.page.page",
            ],
        },
    },
]

# --- what it remembers ---------------------------------------------------------------------
DATABASES = {
    "default": environment.database_from_url(ENVIRON["DATABASE_URL"], BASE_DIR),
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
# Sign-in limits must hold across the web processes, which a memory cache does not.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "cache_entries",
    },
}
# Files are evidence: no MEDIA_URL, every one is served by a view that asks who wants it.
LOFTBOOK_FILES = BASE_DIR / ENVIRON["LOFTBOOK_FILES"]
LOFTBOOK_KEYS = BASE_DIR / ENVIRON["LOFTBOOK_KEYS"]
MEDIA_ROOT = LOFTBOOK_FILES
FILE_UPLOAD_HANDLERS = ["django.core.files.uploadhandler.TemporaryFileUploadHandler"]
FILE_UPLOAD_PERMISSIONS = 0o600
FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o700
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
# A pit lift's record with all its readings is a long form, but a thousand fields is not one.
DATA_UPLOAD_MAX_NUMBER_FIELDS = 1000
DATA_UPLOAD_MAX_NUMBER_FILES = 20

# --- what people see -----------------------------------------------------------------------
LANGUAGE_CODE = ENGLISH
LANGUAGES = LANGUAGE_CHOICES
LOCALE_PATHS = [BASE_DIR / "config" / "locale"]
FORMAT_MODULE_PATH = ["config.formats"]
LANGUAGE_COOKIE_NAME = "__Host-language" if HTTPS else "language"
LANGUAGE_COOKIE_AGE = 365 * 24 * 3600
LANGUAGE_COOKIE_SECURE = HTTPS
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"  # inside; each venue shows its own
STATIC_URL = "static/"
STATIC_ROOT = BASE_DIR / "var" / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
if DEBUG:
    # A developer's pages then follow the source files without a collectstatic in between.
    STORAGES["staticfiles"] = {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage",
    }
WHITENOISE_USE_FINDERS = DEBUG
WHITENOISE_AUTOREFRESH = DEBUG

# WeasyPrint kills its process when fontconfig knows no font, so ours are always known to it,
# and fontconfig reads this name when WeasyPrint is first imported.
ENVIRON["FONTCONFIG_FILE"] = str(BASE_DIR / "static" / "fonts" / "pdf" / "fonts.conf")
# Pango unpacked beside the project (set-up without root) must be found by child processes.
SYSTEM_LIBRARIES = BASE_DIR / ".syslibs" / "lib"
if SYSTEM_LIBRARIES.is_dir():
    ENVIRON["LD_LIBRARY_PATH"] = str(SYSTEM_LIBRARIES)

# --- who may come in -----------------------------------------------------------------------
AUTH_USER_MODEL = "venue.Person"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"
ACCOUNT_ADAPTER = "venue.sign_in.ClosedAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
# A manager enters each address by hand; there is no sign-up to verify.
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_LOGOUT_ON_PASSWORD_CHANGE = False
ACCOUNT_LOGOUT_REDIRECT_URL = LOGIN_URL
ALLAUTH_TRUSTED_PROXY_COUNT = 1 if BEHIND_PROXY else 0
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = HTTPS or ON_LOCALHOST
MFA_ALLOW_UNVERIFIED_EMAIL = True
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = ON_LOCALHOST
MFA_TOTP_ISSUER = "Loftbook"

# --- what a browser is told ----------------------------------------------------------------
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'"],
        "font-src": ["'self'"],
        "connect-src": ["'self'"],
        "manifest-src": ["'self'"],
        "worker-src": ["'self'"],
        "form-action": ["'self'"],
        "frame-ancestors": ["'none'"],
        "base-uri": ["'none'"],
    },
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_NAME = "__Host-session" if HTTPS else "session"
CSRF_COOKIE_NAME = "__Host-csrf" if HTTPS else "csrf"
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = False
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_SSL_REDIRECT = HTTPS
    SECURE_REDIRECT_EXEMPT = [r"^healthz$"]
# The venue decides about its parent domain, and a list in browsers is not undone in a day.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]

# --- what goes on behind -------------------------------------------------------------------
Q_CLUSTER = {
    "name": "loftbook",
    "orm": "default",
    # A plan may search for twenty minutes while a bundle is made; one must stay free for the rest.
    "workers": 3,
    # Never more than workers: a task's lock runs while it waits in the local queue.
    "queue_limit": 3,
    "bulk": 1,
    "timeout": 120,
    "retry": 600,  # more than timeout * (1 + queue_limit / workers) + 30
    "max_attempts": 3,
    "ack_failures": False,
    "catch_up": False,
    "poll": 0.5,
    "recycle": 200,
    "max_rss": 400_000,
    "save_limit": 0,  # pruned by the daily job
    "time_zone": TIME_ZONE,
}
# Opens the signing keys; without it LOFTBOOK_SECRET_KEY does.
LOFTBOOK_KEY_SECRET = ENVIRON.get("LOFTBOOK_KEY_SECRET", "")
LOFTBOOK_KEY_ROUNDS = 600_000  # of PBKDF2 over that secret; the tests take fewer
# Called once a house was opened: it is opened by the lowest app, which knows nothing of these.
LOFTBOOK_HOUSE_OPENED = ("inspections.jobs.make_seals",)
LOFTBOOK_SIGNER = ENVIRON.get("LOFTBOOK_SIGNER", "")
LOFTBOOK_TIME_STAMPS = ENVIRON.get("LOFTBOOK_TIME_STAMPS", "")
LOFTBOOK_TIME_STAMP_ROOT = ENVIRON.get("LOFTBOOK_TIME_STAMP_ROOT", "")
_mail = environment.email_from_url(ENVIRON.get("LOFTBOOK_EMAIL_URL", ""), BASE_DIR)
globals().update(_mail)
DEFAULT_FROM_EMAIL = SERVER_EMAIL = ENVIRON.get(
    "LOFTBOOK_EMAIL_FROM", environment.LEFT_OUT["LOFTBOOK_EMAIL_FROM"]
)
# Messages to phones: off unless switched on, which needs a key.
LOFTBOOK_PUSH_KEY = ENVIRON.get("LOFTBOOK_PUSH_KEY", "").strip()
LOFTBOOK_PUSH = environment.yes_or_no(ENVIRON, "LOFTBOOK_PUSH", default=False)
LOFTBOOK_PUSH_CONTACT = environment.push_contact(ENVIRON)
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"},
    },
    "filters": {"secrets": {"()": "venue.secret_paths.WithoutSecrets"}},
    "handlers": {
        "stderr": {
            "class": "logging.StreamHandler",
            "formatter": "line",
            "filters": ["secrets"],
        },
    },
    "root": {"handlers": ["stderr"], "level": environment.log_level(ENVIRON)},
    "loggers": {
        # Django's own handlers only speak under DEBUG and would then speak twice.
        "django": {"handlers": [], "propagate": True},
        "django.server": {"handlers": [], "propagate": True},
        # It tells of every probe; what went wrong is enough.
        "django-q": {"handlers": [], "propagate": True, "level": "WARNING"},
    },
}
