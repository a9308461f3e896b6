"""What every page is given: the tabs of the role, where one is, which file has become ready."""

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from coursework import access
from coursework.export_kinds import title_of
from coursework.models import ExportFile, User

# Set in the session of who asked for a file, so that nobody else's pages look for one.
ASKED_FOR_FILE = "asked_for_file"

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
    (
        "progress",
        "Progress",
        {"progress", "issued_record", "your_files", "correction_ask", "correction_request"},
    ),
    ("guides", "Guides", GUIDES),
)
STAFF_PAGES = {
    "sections",
    "section",
    "student",
    "student_move",
    "whole_file",
    "log_for",
    "coupon_log_for",
    "waiting",
    "today",
    "section_coupons",
    "section_exports",
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
    "roster_slips",
    "join_code",
    "labels",
    "labels_pdf",
    "correction_request",
    "disclose",
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
    "correction_requests",
    "disclosures",
    "retention",
    "holds",
    "purge",
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
        "finished_files": _finished_files(request, person) if person else [],
    }


def _finished_files(request: HttpRequest, person: User) -> list[tuple[str, ExportFile]]:
    """Return what became of files that were asked for, until the person has looked at it."""
    if not request.session.get(ASKED_FOR_FILE):
        return []
    files = access.files_to_tell_of(person)
    if not files:
        del request.session[ASKED_FOR_FILE]
    return [(title_of(each), each) for each in files if not each.is_open]
