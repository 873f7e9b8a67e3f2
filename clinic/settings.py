"""Settings: one file, embedded by default, production by two URLs.

Every value that may differ between installations comes from `clinic.env`.
"""

from __future__ import annotations

from urllib.parse import urlsplit

import environ  # type: ignore[import-untyped]  # django-environ ships no types
from csp.constants import NONE, SELF

from clinic import env, keys

BASE_DIR = env.BASE_DIR
DATA_DIR = env.data_dir()
DEBUG = env.read("DEBUG")
DEMO = env.read("DEMO")
PUBLIC_URL = env.read("PUBLIC_URL").rstrip("/")
SECRET_KEY = env.read("SECRET_KEY") or keys.secret_key(DATA_DIR / "keys")
FIELD_KEYS = keys.field_keys(DATA_DIR / "keys", env.read("FIELD_KEYS"))
_public = urlsplit(PUBLIC_URL)
_secure = _public.scheme == "https"
ALLOWED_HOSTS = [
    _public.hostname or "",
    "127.0.0.1",
    "localhost",
    *env.read("ALLOWED_HOSTS"),
]
CSRF_TRUSTED_ORIGINS = [PUBLIC_URL] if _secure else []

INSTALLED_APPS = [
    # Ours first: a template of ours stands before a library's of the same name.
    "clinic",
    "programs",
    "reminders",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "allauth",
    "allauth.account",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "django_htmx",
    "csp",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "clinic.middleware.RequestLogMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "clinic.middleware.ScopeMiddleware",
]
ROOT_URLCONF = "clinic.urls"
WSGI_APPLICATION = "clinic.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "clinic.shell.frame",
            ]
        },
    }
]

# --- Database: SQLite in one file, or PostgreSQL by one URL -----------------
DATABASE_URL = env.read("DATABASE_URL")
DATABASES = {
    "default": (
        environ.Env.db_url_config(DATABASE_URL)
        if DATABASE_URL
        else {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": str(DATA_DIR / "plumbline.sqlite3"),
        }
    )
}
if "sqlite" in DATABASES["default"]["ENGINE"]:
    # FULL, not NORMAL: an answered reply must survive a power cut.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;"
            " PRAGMA foreign_keys=ON; PRAGMA temp_store=MEMORY;"
        ),
    }
DATABASES["default"]["CONN_MAX_AGE"] = 600
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
TEST_RUNNER = "django.test.runner.DiscoverRunner"

# --- Queue and cache: wake-ups only, rows are the truth ---------------------
REDIS_URL = env.read("REDIS_URL")
CELERY_BROKER_URL = REDIS_URL or "memory://"
CELERY_BROKER_TRANSPORT_OPTIONS = {} if REDIS_URL else {"polling_interval": 0.1}
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TIMEZONE = "UTC"
CACHES = {
    "default": (
        {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": REDIS_URL,
        }
        if REDIS_URL
        else {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
    )
}

# --- Texts ------------------------------------------------------------------
SMS_GATEWAY = env.read("SMS_GATEWAY")
TWILIO_ACCOUNT_SID = env.read("TWILIO_ACCOUNT_SID")
TWILIO_AUTH_TOKEN = env.read("TWILIO_AUTH_TOKEN")
TWILIO_AUTH_TOKEN_OLD = env.read("TWILIO_AUTH_TOKEN_OLD")
TWILIO_MESSAGING_SERVICE_SID = env.read("TWILIO_MESSAGING_SERVICE_SID")
TWILIO_API_BASE = env.read("TWILIO_API_BASE")

# --- Sign-in ----------------------------------------------------------------
AUTH_USER_MODEL = "clinic.Staff"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
ACCOUNT_ADAPTER = "clinic.signin.ClosedDoor"
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_SESSION_REMEMBER = False
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"
ACCOUNT_LOGOUT_REDIRECT_URL = "/accounts/login/"
AUTH_PASSWORD_VALIDATORS = [
    {
        # NIST SP 800-63B-4: at least 15 characters where the password stands alone.
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 15},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {
        "NAME": (
            "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"
        ),
    },
]
SESSION_COOKIE_AGE = 12 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = _secure
SESSION_COOKIE_NAME = "__Host-session" if _secure else "session"
CSRF_COOKIE_NAME = "__Host-csrf" if _secure else "csrf"
CSRF_COOKIE_HTTPONLY = True
SECURE_HSTS_SECONDS = 31536000 if _secure else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = _secure
SECURE_SSL_REDIRECT = False  # the proxy in front ends TLS
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "manifest-src": [SELF],
    }
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 1024 * 1024

# --- Mail, files, words -----------------------------------------------------
globals().update(environ.Env.email_url_config(env.read("EMAIL_URL")))
DEFAULT_FROM_EMAIL = env.read("DEFAULT_FROM_EMAIL")
EMAIL_TIMEOUT = env.read("EMAIL_TIMEOUT")
STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(exist_ok=True)  # whitenoise warns about a folder that is not there
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG
LANGUAGE_CODE = "en-us"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "clinic.tokens.BearerAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["clinic.tokens.OperationPermission"],
    "DEFAULT_PARSER_CLASSES": ["clinic.parsers.BoundedJSONParser"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PAGINATION_CLASS": "clinic.paging.TimePagination",
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "clinic.problems.problem_response",
    "PAGE_SIZE": 50,
    "UNAUTHENTICATED_USER": None,
    "URL_FORMAT_OVERRIDE": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Plumbline",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "DESCRIPTION": "The same writers as the pages, for devices and other programs.",
    "SERVE_PERMISSIONS": ["clinic.tokens.OperationPermission"],
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "POSTPROCESSING_HOOKS": [],  # closed lists stay where they are used
    "COMPONENT_SPLIT_REQUEST": True,
}
LOG_LEVEL = env.read("LOG_LEVEL")
LOGGING_CONFIG = "clinic.logs.configure"
LOGGING = {"level": LOG_LEVEL}
