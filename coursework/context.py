"""What every page is given: the tabs of the role and where one is."""

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from coursework.models import User

STUDENT_TABS = (
    ("bench", "Bench", {"bench", "coupon_log"}),
    ("coupons", "Coupons", {"coupons", "coupon", "coupon_correct"}),
    ("progress", "Progress", {"progress"}),
    ("guides", "Guides", {"guides", "filler_guide", "heat_guide"}),
)
STAFF_TABS = (
    ("sections", "Sections", {"sections", "section", "student", "waiting", "grade"}),
    ("guides", "Guides", {"guides", "filler_guide", "heat_guide"}),
)
OPEN_TABS = (
    ("guides", "Guides", {"guides", "filler_guide", "heat_guide"}),
    ("sign_in", "Sign in", {"sign_in"}),
    ("join", "Join", {"join"}),
)


def frame(request: HttpRequest) -> dict[str, Any]:
    """Return tabs, theme and name for ``base.html``."""
    page = request.resolver_match.url_name if request.resolver_match else ""
    user = getattr(request, "user", None)
    signed_in = isinstance(user, User)
    tabs = OPEN_TABS if not signed_in else STUDENT_TABS if user.is_student else STAFF_TABS
    theme = request.COOKIES.get("theme", "")
    return {
        "tabs": [
            {"label": label, "url": reverse(f"coursework:{name}"), "current": page in pages}
            for name, label, pages in tabs
        ],
        "theme": theme if theme in {"light", "dark"} else "",
        "person": user if signed_in else None,
        "page_name": page,
    }
