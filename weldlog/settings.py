"""Every setting, in one file. As it stands it is fit for production.

What a place has to say about itself comes from the environment; DEVELOPERS.md lists the names.
"""

import contextlib
import os
from pathlib import Path

from django.utils.csp import CSP

from weldlog import surroundings

BASE_DIR = Path(__file__).resolve().parent.parent

# --- this place

DEBUG = surroundings.flag("WELDLOG_DEBUG", default=False)
HTTPS = surroundings.flag("WELDLOG_HTTPS", default=not DEBUG)
# Without a key nothing that serves pages starts (see wsgi.py); the commands that need none do.
SECRET_KEY = surroundings.secret("WELDLOG_SECRET_KEY") or (
    "only-for-development-on-this-machine-never-for-a-school" if DEBUG else ""
)
ALLOWED_HOSTS = surroundings.words("WELDLOG_ALLOWED_HOSTS", "localhost,127.0.0.1" if DEBUG else "")
DATA = Path(os.environ.get("WELDLOG_DATA") or BASE_DIR / "var")
# Where this fails, the command that needs the folder says so; the others need none.
with contextlib.suppress(OSError):
    DATA.mkdir(mode=0o700, parents=True, exist_ok=True)

# --- parts

INSTALLED_APPS = [
    "coursework",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "django_tasks_db",
]

MIDDLEWARE = [
    "coursework.middleware.request_named",
    "django.middleware.security.SecurityMiddleware",
    "django.middleware.csp.ContentSecurityPolicyMiddleware",
    "coursework.middleware.permissions_policy",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "coursework.middleware.keep_private",
    "coursework.middleware.school_clock",
    "coursework.middleware.forms_alone",
    "django_htmx.middleware.HtmxMiddleware",
    "coursework.middleware.SignInRequired",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "weldlog.urls"
WSGI_APPLICATION = "weldlog.wsgi.application"
TEST_RUNNER = "tests.runner.Runner"

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
                "coursework.context.frame",
            ],
        },
    },
]
FORM_RENDERER = "weldlog.rendering.FormRenderer"

# --- what is kept, and where

DATABASE_URL = surroundings.secret("WELDLOG_DATABASE_URL")
DATABASES = {
    "default": surroundings.postgresql(DATABASE_URL)
    if DATABASE_URL
    else surroundings.sqlite(DATA / "weldlog.sqlite3"),
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

MEDIA_ROOT = DATA / "media"
FILE_UPLOAD_PERMISSIONS = 0o600
FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o700

# Style sheets and scripts are served as they lie there until `collectstatic` has given them names
# that a browser may keep for good, in the folder that WELDLOG_STATIC_ROOT names.
STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = os.environ.get("WELDLOG_STATIC_ROOT") or None
WHITENOISE_USE_FINDERS = not STATIC_ROOT
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    # Files made for one person: no address leads there but the page that looks who is asking.
    "exports": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": DATA / "exports", "base_url": None},
    },
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if STATIC_ROOT
        else "django.contrib.staticfiles.storage.StaticFilesStorage",
    },
}

# --- long exports, which the worker makes: `manage.py db_worker`

TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
EXPORT_WORKSHOP = DATA / "exports-in-the-making"
EXPORT_LONGEST_S = 15 * 60
EXPORT_LARGEST_BYTES = 1024**3
EXPORT_KEPT_DAYS = 7

# --- people

AUTH_USER_MODEL = "coursework.User"
LOGIN_URL = "coursework:sign_in"
LOGIN_REDIRECT_URL = "coursework:home"
LOGOUT_REDIRECT_URL = "coursework:sign_in"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
MAILERS = {"default": {"BACKEND": "django.core.mail.backends.smtp.EmailBackend"}}

# --- words, numbers, time: a school's own zone is in its row

LANGUAGE_CODE = "en-us"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

# --- safety

# No nonce: every script and style is a file of ours, so a page can be kept for reading offline.
SECURE_CSP = {
    "default-src": [CSP.SELF],
    "script-src": [CSP.SELF],
    "style-src": [CSP.SELF],
    "connect-src": [CSP.SELF],
    "img-src": [CSP.SELF, "blob:"],
    "object-src": [CSP.NONE],
    "base-uri": [CSP.NONE],
    "form-action": [CSP.SELF],
    "frame-ancestors": [CSP.NONE],
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"

SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
# W021 asks for preloading, which is for the owner of the whole domain to decide.
SILENCED_SYSTEM_CHECKS = ["security.W021"]
if surroundings.flag("WELDLOG_BEHIND_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

SESSION_COOKIE_AGE = 14 * 24 * 3600
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
# A browser takes a cookie of this prefix from this host alone, and over HTTPS alone.
COOKIE_PREFIX = "__Host-" if HTTPS else ""
SESSION_COOKIE_NAME = f"{COOKIE_PREFIX}sessionid"
CSRF_COOKIE_NAME = f"{COOKIE_PREFIX}csrftoken"

# --- what is told to those who run it

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {"django": {"handlers": ["console"], "level": "WARNING", "propagate": False}},
}
