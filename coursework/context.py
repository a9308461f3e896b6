"""What every page is given: the tabs of the role and where one is."""

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from coursework.models import User

type Tabs = tuple[tuple[str, str, set[str]], ...]

GUIDES = {
    "guides",
    "filler_guide",
    "heat_guide",
    "cleaning_guide",
    "set_up_guide",
    "alloys",
    "alloy",
    "imperfection_guide",
    "imperfection",
    "sources",
}
STUDENT_TABS: Tabs = (
    ("bench", "Bench", {"bench", "coupon_log"}),
    ("coupons", "Coupons", {"coupons", "coupon", "coupon_correct"}),
    ("progress", "Progress", {"progress", "issued_record"}),
    ("guides", "Guides", GUIDES),
)
STAFF_PAGES = {
    "sections",
    "section",
    "student",
    "student_move",
    "log_for",
    "coupon_log_for",
    "waiting",
    "today",
    "section_coupons",
    "agreement",
    "second_looks",
    "second_look",
    "grade",
    "coupon",
    "records",
    "record",
    "issued_record",
    "roster",
    "roster_import",
    "join_code",
    "labels",
    "labels_pdf",
}
OFFICE = {
    "office",
    "term",
    "term_new",
    "term_close",
    "section_new",
    "section_staff",
    "staff",
    "sign_in_code",
    "school_settings",
    "limit_set",
    "limits",
    "plans",
    "plan",
    "exercise_new",
    "exercise_edit",
    "rubrics",
    "rubric",
    "rubric_draft",
}
STAFF_TABS: Tabs = (
    ("sections", "Sections", STAFF_PAGES),
    ("office", "Office", OFFICE),
    ("guides", "Guides", GUIDES),
)
OPEN_TABS: Tabs = (
    ("guides", "Guides", GUIDES),
    ("sign_in", "Sign in", {"sign_in"}),
    ("join", "Join", {"join"}),
)


def frame(request: HttpRequest) -> dict[str, Any]:
    """Return tabs, theme and name for ``base.html``."""
    page = request.resolver_match.url_name if request.resolver_match else ""
    user = getattr(request, "user", None)
    person = user if isinstance(user, User) else None
    tabs = OPEN_TABS
    if person:
        tabs = STUDENT_TABS if person.is_student else STAFF_TABS
    theme = request.COOKIES.get("theme", "")
    return {
        "tabs": [
            {"label": label, "url": reverse(f"coursework:{name}"), "current": page in pages}
            for name, label, pages in tabs
        ],
        "theme": theme if theme in {"light", "dark"} else "",
        "person": person,
        "page_name": page,
    }
