"""For each alloy rule: a coupon that makes it fire, and one that keeps it quiet."""

from typing import Any

type Document = dict[str, Any]


def fillet(*alloys: str, filler: str | None = "5356", **members: Any) -> Document:
    """Return a GTAW fillet coupon of these alloys; None for no filler."""
    return {
        "process": "GTAW",
        "joint": "tee",
        "weld": "fillet",
        "base_metals": [{"alloy": alloy, "thickness_mm": 3.2} for alloy in alloys],
        "filler": {"designation": filler} if filler else None,
        **members,
    }


def used(*, work: str = "repair", alloy: str | None = "6061", **state: Any) -> Document:
    """Return a coupon that repairs a used part in this state, or a new one."""
    metal = {"alloy": alloy, **state} if alloy else state
    return fillet(filler="4043", work=work, base_metals=[metal])


CASES: dict[str, tuple[Document, Document]] = {
    "alloy-not-for-arc-welding": (fillet("7075"), fillet("7005")),
    "alloy-warm-service": (
        fillet("5083", service={"above_65_c": True}),
        fillet("5454", filler="5554", service={"above_65_c": True}),
    ),
    "alloy-not-aluminum": (fillet("6061", "mild steel"), fillet("6061", "unknown")),
    "alloy-repair-unlisted-metal": (used(alloy="380.0"), used(alloy="unknown")),
    "alloy-repair-die-casting": (used(alloy="413.0"), used(alloy="356.0")),
    "alloy-repair-unknown-metal": (used(alloy=None), used(alloy="6061")),
    "alloy-repair-soaked-casting": (used(alloy="A356.0"), used(alloy="6061")),
    "alloy-repair-coating": (used(coating="paint"), used(coating="none")),
    "alloy-repair-heavy-oxide": (used(stored="immersed"), used(stored="indoors")),
    "alloy-repair-cut-out": (used(), used(work="fabrication")),
}
