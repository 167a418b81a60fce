"""All settings, from the environment; the embedded default needs none of them.

SQLite, a private broker on a unix socket and files under ``var/`` unless
DATABASE_URL, BROKER_URL and STORAGE_BUCKET say otherwise.
"""

from __future__ import annotations

from pathlib import Path

from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from config import env

BASE_DIR = Path(__file__).resolve().parent.parent
VAR_DIR = Path(env.text("VAR_DIR", str(BASE_DIR / "var")))

DEMO = env.boolean("DEMO", False)  # one-click sign-in and the demo course
DEBUG = env.boolean("DEBUG", False)
SERVED = bool(env.text("DATABASE_URL", ""))
SECRET_KEY = env.secret("SECRET_KEY", fallback=None if SERVED else VAR_DIR / "secret-key")
ALLOWED_HOSTS = env.words("ALLOWED_HOSTS", ["127.0.0.1", "localhost", "[::1]", "testserver"])
HTTPS = env.boolean("HTTPS", False)
CSRF_TRUSTED_ORIGINS = env.words("CSRF_TRUSTED_ORIGINS", [])
if DEMO and HTTPS:
    raise ImproperlyConfigured("DEMO opens doors without a password: not on a site with HTTPS.")

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "rest_framework",
    "drf_spectacular",
    "django_htmx",
    "csp",
    "courses",
    "analysis",
    "submissions",
]

MIDDLEWARE = [
    "courses.health.HealthFirst",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "courses.signed_out.TellScripts",
    "allauth.account.middleware.AccountMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
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
                "courses.context.site",
            ],
        },
    },
]

DATABASES = {"default": env.database("DATABASE_URL", VAR_DIR / "collaparte.sqlite3")}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# --- people -----------------------------------------------------------------
AUTH_USER_MODEL = "courses.User"
AUTHENTICATION_BACKENDS = [
    "django.contrib.auth.backends.ModelBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
ACCOUNT_LOGIN_METHODS = {"username", "email"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "email", "password1*", "password2*"]
ACCOUNT_EMAIL_VERIFICATION = "optional"
ACCOUNT_ADAPTER = "courses.accounts.AccountAdapter"
ACCOUNT_SIGNUP_FORM_CLASS = "courses.accounts.TutorSignupForm"
ACCOUNT_SESSION_REMEMBER = False
ACCOUNT_PREVENT_ENUMERATION = True
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "desk"
ACCOUNT_LOGOUT_REDIRECT_URL = "account_login"
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]

# --- the browser ------------------------------------------------------------
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 14 * 24 * 3600
CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_REDIRECT_EXEMPT = [r"^(healthz|readyz)$"]
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CONTENT_TYPE_NOSNIFF = True
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "media-src": [SELF, "blob:"],
        "worker-src": [SELF],
        "object-src": [NONE],
        "base-uri": [NONE],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}

# --- files ------------------------------------------------------------------
STATIC_URL = "/static/"
STATIC_ROOT = Path(env.text("STATIC_DIR", str(VAR_DIR / "static")))
STATICFILES_DIRS = [BASE_DIR / "static"]
STATICFILES_FINDERS = [
    "django.contrib.staticfiles.finders.FileSystemFinder",
    "django.contrib.staticfiles.finders.AppDirectoriesFinder",
    "config.soundfont_finder.SoundfontFinder",
]
WHITENOISE_SKIP_COMPRESS_EXTENSIONS = (  # the soundfont alone took a minute
    "jpg",
    "jpeg",
    "png",
    "gif",
    "webp",
    "zip",
    "gz",
    "br",
    "woff",
    "woff2",
    "sf2",
    "sf3",
    "wasm",
)
MEDIA_ROOT = VAR_DIR / "files"
_bucket = env.text("STORAGE_BUCKET", "")
STORAGES = {
    "default": (
        {
            "BACKEND": "storages.backends.s3.S3Storage",
            "OPTIONS": {
                "bucket_name": _bucket,
                "endpoint_url": env.text("STORAGE_ENDPOINT", "") or None,
                "querystring_auth": True,
                "default_acl": "private",
                "file_overwrite": False,
            },
        }
        if _bucket
        else {"BACKEND": "config.durable.DurableStorage"}
    ),
    "staticfiles": {
        "BACKEND": env.text(
            "STATICFILES_BACKEND", "whitenoise.storage.CompressedManifestStaticFilesStorage"
        )
    },
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 1024 * 1024
UPLOAD_MAX_BYTES = env.integer("UPLOAD_MAX_BYTES", 10 * 1024 * 1024)
RECORDING_MAX_BYTES = env.integer("RECORDING_MAX_BYTES", 64 * 1024 * 1024)

# --- work in the background --------------------------------------------------
BROKER_SOCKET = Path(env.text("BROKER_SOCKET", str(VAR_DIR / "broker.sock")))
CELERY_BROKER_URL = env.text("BROKER_URL", f"redis+socket://{BROKER_SOCKET}")
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = False  # the jobs table counts attempts; see DEVELOPERS.md
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_MAX_TASKS_PER_CHILD = 200
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_MAX_RETRIES = None  # a worker waits for its broker as long as it takes
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 3600,
    "socket_timeout": 5,
    "socket_connect_timeout": 1,
    # A page that rings a dead bell must not wait: no second try (measured: 6 s with the defaults).
    "max_retries": 1,
    "interval_start": 0,
    "interval_step": 0.05,
    "interval_max": 0.05,
}
CELERY_TASK_ALWAYS_EAGER = env.boolean("CELERY_EAGER", False)  # unit tests only
JOB_LEASE_SECONDS = env.integer("JOB_LEASE_SECONDS", 30)
JOB_MAX_ATTEMPTS = 3
JOBS_ALONE = env.boolean("JOBS_ALONE", False)  # set by config.run: one worker, one machine
JOB_SWEEP_SECONDS = env.integer("JOB_SWEEP_SECONDS", 3)
JOB_HEAVY_AT_ONCE = env.integer("JOB_HEAVY_AT_ONCE", 1)  # per machine; checks never wait for them

CACHES = {
    "default": (
        {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": env.text("CACHE_URL", ""),
        }
        if env.text("CACHE_URL", "")
        else {
            "BACKEND": "django.core.cache.backends.db.DatabaseCache",
            "LOCATION": "site_cache",
        }
    )
}

# --- words ------------------------------------------------------------------
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English")]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"
EMAIL_BACKEND = env.text("EMAIL_BACKEND", "django.core.mail.backends.console.EmailBackend")

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_PAGINATION_CLASS": "rest_framework.pagination.LimitOffsetPagination",
    "PAGE_SIZE": 100,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Colla Parte",
    "DESCRIPTION": "Scores, readings, observations, flags and rulings as JSON.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["rest_framework.permissions.IsAuthenticated"],
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": env.text("LOG_LEVEL", "INFO")},
}
