"""A browser as small as can be: it keeps cookies, reads forms off the page and sends them back."""

import html
import http.cookiejar
import re
import urllib.error
import urllib.parse
import urllib.request
import uuid
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Final

PATIENCE_S: Final = 60
WITHOUT_A_VALUE: Final = {"submit", "button", "file", "image", "reset"}

type Attributes = list[tuple[str, str | None]]


class Trouble(Exception):
    """A page did not answer as it should; the text is one sentence."""


@dataclass(slots=True)
class Upload:
    """A file that is sent with a form."""

    field: str
    name: str
    content: bytes
    kind: str = "image/jpeg"


@dataclass(slots=True)
class PageForm:
    """A form as it stands on a page: all names in it, and the values it would send as it is."""

    action: str
    names: set[str] = field(default_factory=set)
    values: dict[str, str] = field(default_factory=dict)


@dataclass(slots=True)
class Page:
    """A page that came back."""

    url: str
    kind: str
    content: bytes

    @property
    def text(self) -> str:
        """The page as text."""
        return self.content.decode()

    @property
    def path(self) -> str:
        """Its address without the host."""
        return urllib.parse.urlsplit(self.url).path

    def form_with(self, name: str) -> PageForm:
        """Return the form that has a field of this name."""
        found = next((each for each in _read(self.text).forms if name in each.names), None)
        if found is None:
            raise Trouble(f"{self.path} has no form with the field {name}.")
        return found

    def link(self, pattern: str) -> str:
        """Return the first link whose address matches."""
        found = next((each for each in _read(self.text).links if re.fullmatch(pattern, each)), None)
        if found is None:
            raise Trouble(f"{self.path} has no link like {pattern}.")
        return found


class Browser:
    """One person's browser.

    Parameters
    ----------
    site : str
        Where the site is, such as ``http://127.0.0.1:8000``.
    """

    def __init__(self, site: str) -> None:
        self.site = site
        # Straight to the site: what a proxy of these surroundings says of it is of no use here.
        self.opener = urllib.request.build_opener(
            urllib.request.ProxyHandler({}),
            urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar()),
        )

    def get(self, path: str) -> Page:
        """Open a page."""
        return self._open(urllib.request.Request(urllib.parse.urljoin(self.site, path)))  # noqa: S310

    def send(self, page: Page, form: PageForm, *uploads: Upload, **changes: str) -> Page:
        """Send a form of a page with some values changed; return the page that comes back.

        A name that the form does not have is left out.
        """
        values = form.values | {name: text for name, text in changes.items() if name in form.names}
        body, kind = _encode(values, uploads)
        address = urllib.parse.urljoin(page.url, form.action)
        return self._open(urllib.request.Request(address, body, {"Content-Type": kind}))  # noqa: S310

    def _open(self, request: urllib.request.Request) -> Page:
        try:
            with self.opener.open(request, timeout=PATIENCE_S) as answer:
                return Page(answer.url, answer.headers.get_content_type(), answer.read())
        except urllib.error.HTTPError as error:
            said = _complaint(
                error.headers.get_content_type(), error.read().decode(errors="replace")
            )
            path = urllib.parse.urlsplit(request.full_url).path
            raise Trouble(f"{path} answered {error.code}. {said}".strip()) from error
        except OSError as error:
            raise Trouble(f"{request.full_url} did not answer ({error}).") from error


def _encode(values: dict[str, str], uploads: tuple[Upload, ...]) -> tuple[bytes, str]:
    """Return the body of a form and its content type; with files it is in parts (RFC 7578)."""
    if not uploads:
        return urllib.parse.urlencode(values).encode(), "application/x-www-form-urlencoded"
    border = uuid.uuid4().hex
    parts = [
        f'--{border}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{text}\r\n'.encode()
        for name, text in values.items()
    ]
    for each in uploads:
        head = (
            f'--{border}\r\nContent-Disposition: form-data; name="{each.field}"; '
            f'filename="{each.name}"\r\nContent-Type: {each.kind}\r\n\r\n'
        )
        parts.append(head.encode() + each.content + b"\r\n")
    return b"".join(
        [*parts, f"--{border}--\r\n".encode()]
    ), f"multipart/form-data; boundary={border}"


class _Reader(HTMLParser):
    """Reads the forms and links of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[PageForm] = []
        self.links: list[str] = []
        self.inside = PageForm("")
        self.select = self.textarea = ""

    def handle_starttag(self, tag: str, attrs: Attributes) -> None:
        said = dict(attrs)
        name = said.get("name") or ""
        if tag == "a":
            self.links.append(said.get("href") or "")
        elif tag == "form":
            self.inside = PageForm(said.get("action") or "")
            self.forms.append(self.inside)
        elif tag == "option" and self.select:
            if "selected" in said or self.select not in self.inside.values:
                self.inside.values[self.select] = said.get("value") or ""
        elif name:
            self._field(tag, name, said)

    def _field(self, tag: str, name: str, said: dict[str, str | None]) -> None:
        self.inside.names.add(name)
        kind = said.get("type") or "text"
        if tag == "select":
            self.select = name
        elif tag == "textarea":
            self.textarea = name
            self.inside.values[name] = ""
        elif tag == "input" and _is_sent(kind, said):
            self.inside.values[name] = said.get("value") or ""

    def handle_data(self, data: str) -> None:
        if self.textarea:
            self.inside.values[self.textarea] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.inside = PageForm("")
        elif tag == "select":
            self.select = ""
        elif tag == "textarea":
            self.textarea = ""


def _is_sent(kind: str, said: dict[str, str | None]) -> bool:
    """Whether an input is sent with its form as it stands."""
    return kind not in WITHOUT_A_VALUE and (kind not in ("radio", "checkbox") or "checked" in said)


def _read(text: str) -> _Reader:
    reader = _Reader()
    reader.feed(text)
    return reader


def _complaint(kind: str, text: str) -> str:
    """Return what an answer complains of: the first alert of a page, or a plain text."""
    if kind == "text/html":
        found = re.search(r'role="alert"[^>]*>(.*?)</(?:div|section|p)>', text, re.DOTALL)
        text = html.unescape(re.sub(r"<[^>]+>", " ", found[1])) if found else ""
    return " ".join(text.split())[:300]
