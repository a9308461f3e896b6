"""What a web server calls."""

import os

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "weldlog.settings")

application = get_wsgi_application()


def refuse_without_key() -> None:
    """Start nothing that serves pages without a key: sessions could be forged."""
    try:
        _ = settings.SECRET_KEY
    except ImproperlyConfigured as error:
        raise ImproperlyConfigured(
            "Set WELDLOG_SECRET_KEY or WELDLOG_SECRET_KEY_FILE to 50 or more random characters, "
            "or WELDLOG_DEBUG=true on your own machine."
        ) from error


refuse_without_key()
