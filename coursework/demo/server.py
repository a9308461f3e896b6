"""The server of the demo: one process, one thread, as SQLite likes it."""

import contextlib
import socket
import threading
from collections.abc import Iterator
from typing import Any, Final

from django.core.servers.basehttp import WSGIRequestHandler, WSGIServer
from django.core.wsgi import get_wsgi_application

HOST: Final = "127.0.0.1"
FIRST_BYTE_S: Final = 0.25


class _Handler(WSGIRequestHandler):
    """Answers without a line for each request."""

    timeout = 30

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002 - the name is given
        """Say nothing."""


class OneThreadServer(WSGIServer):
    """Takes one request after the other."""

    def verify_request(self, request: Any, client_address: Any) -> bool:  # noqa: ARG002
        """Turn a connection away that says nothing.

        Browsers open connections ahead of need; one thread cannot wait on those, and a browser
        that finds one closed opens another.
        """
        request.settimeout(FIRST_BYTE_S)
        try:
            return bool(request.recv(1, socket.MSG_PEEK))
        except OSError:
            return False


def server(port: int) -> OneThreadServer:
    """Return a server of the site on this machine; port 0 takes a free one.

    Raises
    ------
    OSError
        When the port cannot be taken.
    """
    made = OneThreadServer((HOST, port), _Handler)
    made.set_app(get_wsgi_application())
    return made


@contextlib.contextmanager
def running() -> Iterator[str]:
    """Serve the site in a thread, on a free port; gives its address."""
    made = server(0)
    thread = threading.Thread(
        target=made.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True
    )
    thread.start()
    try:
        yield f"http://{HOST}:{made.server_port}"
    finally:
        made.shutdown()
        thread.join()
        made.server_close()
