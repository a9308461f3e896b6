"""What every test may ask for, and which tests run where."""

import json
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import hypothesis
import pytest
from django.test import Client
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright
from pytest_django.live_server_helper import LiveServer

from weldlog import system_packages

type OpenPage = Callable[..., Page]

ON_POSTGRESQL = bool(os.environ.get("WELDLOG_DATABASE_URL"))
MARKED_FOR_POSTGRESQL = pytest.StashKey[int]()
PHONE = {"width": 360, "height": 800}
LAPTOP = {"width": 1280, "height": 900}

# The same examples every time, so that a failure is one that the next run shows as well.
hypothesis.settings.register_profile("short", derandomize=True, deadline=None, max_examples=50)
hypothesis.settings.register_profile("long", deadline=None, max_examples=2000)


# --- which tests run


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run the tests marked long as well")


def pytest_configure(config: pytest.Config) -> None:
    hypothesis.settings.load_profile("long" if config.getoption("--long") else "short")


def pytest_itemcollected(item: pytest.Item) -> None:
    """Mark what drives a browser, so that nobody has to."""
    if "browser" in getattr(item, "fixturenames", ()):
        item.add_marker("browser")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    runs = [item for item in items if _runs_now(item, with_long=config.getoption("--long"))]
    config.stash[MARKED_FOR_POSTGRESQL] = sum(map(_is_for_postgresql, items))
    config.hook.pytest_deselected(items=[item for item in items if item not in runs])
    items[:] = runs
    _skip_for_want_of(system_packages.CHROMIUM, "browser", items)
    _skip_for_want_of(system_packages.PANGO, "pdf", items)


def _is_for_postgresql(item: pytest.Item) -> bool:
    return item.get_closest_marker("postgres") is not None


def _runs_now(item: pytest.Item, *, with_long: bool) -> bool:
    if item.get_closest_marker("long") and not with_long:
        return False
    mark = item.get_closest_marker("postgres")
    return mark is not None if ON_POSTGRESQL else not (mark and mark.kwargs.get("only"))


def _skip_for_want_of(part: system_packages.Part, mark: str, items: list[pytest.Item]) -> None:
    marked = [item for item in items if item.get_closest_marker(mark)]
    if marked and system_packages.missing([part]):
        line = system_packages.install_line([part])
        for item in marked:
            item.add_marker(pytest.mark.skip(reason=f"needs {part.name}: {line}"))


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Leave the numbers where the runner adds them up."""
    if path := os.environ.get("WELDLOG_TEST_TALLY"):
        count = {name: len(reports) for name, reports in terminalreporter.stats.items()}
        tally = {
            "passed": count.get("passed", 0),
            "failed": count.get("failed", 0) + count.get("error", 0),
            "skipped": count.get("skipped", 0),
            "postgres": config.stash.get(MARKED_FOR_POSTGRESQL, 0),
        }
        Path(path).write_text(json.dumps(tally), encoding="utf-8")


# --- the browser


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Give one headless Chromium for all tests; it looks for nothing but the page it is sent to."""
    flags = ["--disable-background-networking", "--disable-component-update", "--disable-gpu"]
    flags += ["--disable-quic", "--disable-sync", "--no-first-run"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=system_packages.chromium(), args=flags)
        yield browser
        browser.close()


@pytest.fixture
def open_page(browser: Browser, live_server: LiveServer) -> Iterator[OpenPage]:
    """Give a function that opens a page, in a browser context of its own, on the live server.

    Its options are Playwright's for a context: ``viewport``, ``java_script_enabled``,
    ``color_scheme``. Whatever the page's scripts complain of fails the test.
    """
    complaints: list[str] = []
    pages: list[Page] = []

    def open_one(**options: object) -> Page:
        context = browser.new_context(base_url=live_server.url, **options)  # type: ignore[arg-type]
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", lambda message: complaints.extend(_complaint(message)))
        pages.append(page)
        return page

    yield open_one
    for page in pages:
        page.context.close()
    assert not complaints


def _complaint(message: ConsoleMessage) -> list[str]:
    # Chromium calls every 4xx an error; 422 and 409 are how a form is handed back.
    is_answer = any(f"status of {code}" in message.text for code in (409, 422))
    # A page that is left breaks off what it was still asking the server; htmx tells of it.
    is_left = message.text.startswith(("htmx:sendAbort", "htmx:afterRequest"))
    return [message.text] if message.type == "error" and not (is_answer or is_left) else []


@pytest.fixture
def phone(open_page: OpenPage) -> Page:
    """Give a page on a phone's screen, 360 by 800."""
    return open_page(viewport=PHONE, has_touch=True, is_mobile=True)


@pytest.fixture
def laptop(open_page: OpenPage) -> Page:
    """Give a page on a laptop's screen, 1280 by 900."""
    return open_page(viewport=LAPTOP)


@pytest.fixture
def sign_in(live_server: LiveServer) -> Callable[[Page, object], None]:
    """Give a function that signs a user in on a page without the walk through the form."""

    def sign_in(page: Page, user: object) -> None:
        client = Client()
        client.force_login(user)  # type: ignore[arg-type]
        (cookie,) = [c for name, c in client.cookies.items() if name.endswith("sessionid")]
        page.context.add_cookies(
            [{"name": cookie.key, "value": cookie.value, "url": live_server.url}]
        )

    return sign_in
