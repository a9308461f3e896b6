"""What holds for every page that a browser shows."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

GRAVE = {"serious", "critical"}


def grave_issues(page: Page) -> list[str]:
    """Return what axe-core finds serious or critical on the page, one line an element.

    axe-core's rules are WCAG 2.2's at levels A and AA, and its best practices.
    """
    violations = Axe().run(page).response["violations"]
    return [
        f"{violation['id']}: {violation['help']}: {node['html'][:200]}"
        for violation in violations
        if violation["impact"] in GRAVE
        for node in violation["nodes"]
    ]


def sideways_scroll_px(page: Page) -> int:
    """Return by how much the page is wider than its window [px]."""
    width = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    return int(page.evaluate(width))
