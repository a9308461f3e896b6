"""The settings of the tests: those of production, without HTTPS, whatever the surroundings say."""

import os
import secrets

KEPT = {"WELDLOG_DATABASE_URL", "WELDLOG_TEST_TALLY"}
for name in [name for name in os.environ if name.startswith("WELDLOG_")]:
    if name not in KEPT:
        del os.environ[name]
os.environ.update(
    WELDLOG_SECRET_KEY=secrets.token_urlsafe(50),
    WELDLOG_ALLOWED_HOSTS="testserver,localhost",
    WELDLOG_HTTPS="false",
    # Playwright keeps an event loop in the thread that the tests run in.
    DJANGO_ALLOW_ASYNC_UNSAFE="true",
)

from weldlog.settings import *  # noqa: E402, F403 - only now do the surroundings say what is meant

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "exports": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
MAILERS = {"default": {"BACKEND": "django.core.mail.backends.locmem.EmailBackend"}}
# What is asked for is made at once, in the process that asks.
TASKS = {"default": {"BACKEND": "django.tasks.backends.immediate.ImmediateBackend"}}
# Look a file up when it is asked for; else every test client reads through all of them first.
WHITENOISE_AUTOREFRESH = True
# A kept connection of a live server's thread would be closed by the garbage collector, if at all.
DATABASES["default"]["CONN_MAX_AGE"] = 0  # noqa: F405
# Its `flush` empties the audit table as well, which the database refuses everybody else.
INSTALLED_APPS = [*INSTALLED_APPS, "tests"]  # noqa: F405
