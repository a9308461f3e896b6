"""For each filler rule: a coupon that makes it fire, and one that keeps it quiet."""

from typing import Any

from tests.engine.cases_alloy import Document, fillet


def square_butt(*alloys: str, filler: str | None, **members: Any) -> Document:
    """Return a GTAW square butt coupon, which melts much more base metal than a fillet."""
    shape = {"joint": "butt", "weld": "square_groove", **members}
    return fillet(*alloys, filler=filler, **shape)


def thick(alloy: str, *, thickness_mm: float, filler: str) -> Document:
    """Return a coupon that is solution treated afterwards."""
    return fillet(
        alloy,
        filler=filler,
        base_metals=[{"alloy": alloy, "thickness_mm": thickness_mm}],
        service={"heat_treated_after": True},
    )


CASES: dict[str, tuple[Document, Document]] = {
    "filler-missing-6xxx": (fillet("6061", filler=None), fillet("6061", filler="4043")),
    "filler-missing-low-magnesium": (fillet("5052", filler=None), fillet("5083", filler=None)),
    "filler-missing-crack-range": (
        fillet("2219", "1100", filler=None),
        fillet("1100", filler=None),
    ),
    "filler-missing-crack-range-near": (fillet("7005", filler=None), fillet("5083", filler=None)),
    "filler-base-metal": (fillet("6061", filler="6061"), fillet("5154", filler="5154")),
    "filler-not-aluminum": (fillet("6061", filler="ER70S-6"), fillet("6061", filler="ER4043")),
    "filler-rod-as-wire": (
        fillet("6061", filler="R4043", process="GMAW"),
        fillet("6061", filler="ER4043", process="GMAW"),
    ),
    "filler-silicon-on-magnesium": (fillet("5083", filler="4043"), fillet("5052", filler="4043")),
    "filler-silicon-near-magnesium-limit": (
        fillet("5052", filler="4043"),
        fillet("5050", filler="4043"),
    ),
    "filler-pure-on-alloyed": (fillet("6061", filler="1100"), fillet("3003", filler="1100")),
    "filler-weld-magnesium-low": (
        square_butt("5050", filler="5356"),
        square_butt("5052", filler="5356"),
    ),
    "filler-gtaw-share": (
        fillet("1100", joint="butt", weld="v_groove"),
        fillet("1100", joint="butt", weld="v_groove", process="GMAW"),
    ),
    "filler-warm-service": (
        fillet("6061", service={"above_65_c": True}),
        fillet("6061", filler="4043", service={"above_65_c": True}),
    ),
    "filler-heat-treated-magnesium": (
        thick("6061", thickness_mm=3.2, filler="5356"),
        thick("6061", thickness_mm=3.2, filler="4643"),
    ),
    "filler-magnesium-on-silicon": (fillet("A356.0"), fillet("A356.0", filler="4043")),
    "filler-magnesium-on-copper": (fillet("2219"), fillet("319.0")),
    "filler-zinc-magnesium": (fillet("7005", filler="4043"), fillet("7005")),
    "filler-copper-on-copper-free": (fillet("6061", filler="2319"), fillet("2219", filler="2319")),
    "filler-magnesium-on-pure": (square_butt("1100", filler="5356"), fillet("1100")),
    "filler-anodised-color": (
        fillet("6061", filler="4043", service={"anodised_after": True}),
        fillet("6061", filler="5356", service={"anodised_after": True}),
    ),
    "filler-heat-treated-weak": (
        thick("6061", thickness_mm=3.2, filler="4047"),
        thick("6061", thickness_mm=3.2, filler="4043"),
    ),
    "filler-heat-treated-thick": (
        thick("6061", thickness_mm=12.7, filler="4043"),
        thick("6061", thickness_mm=9.5, filler="4043"),
    ),
    "filler-crack-range": (square_butt("6061", filler="4043"), fillet("6061", filler="4043")),
    "filler-crack-range-near": (fillet("6061"), fillet("5083")),
    "filler-concave-bead": (
        fillet("5052", fillet={"convexity_mm": -0.5}),
        fillet("5052", fillet={"convexity_mm": 0.5}),
    ),
    "filler-pair-not-recommended": (fillet("5454", "356.0", filler="5754"), fillet("5454", "6061")),
    "filler-pair-never": (fillet("5086", filler="5554"), fillet("5454", filler="5554")),
    "filler-fillet-shear": (fillet("6061", filler="4043"), fillet("6061")),
    "filler-plate-strength": (fillet("5083"), fillet("5083", filler="5183")),
    "filler-5554-thinned": (fillet("5454", "6061", filler="5554"), fillet("5454", filler="5554")),
}
