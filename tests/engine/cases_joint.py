"""For each rule on how a butt joint was prepared: one that makes it fire, one that keeps it quiet.

Common practice, no source: a closed square butt to 5 mm (GTAW) or 6.4 mm (GMAW) in one run, a V
groove of 50° and more, a root face of up to 3 mm and half the plate.
"""

from typing import Any

from tests.engine.cases_cleaning import Document, gtaw, metal


def square(thickness_mm: float, **members: Any) -> Document:
    """Return a GTAW coupon with a closed square butt, welded in one run."""
    plate = [metal(thickness_mm=thickness_mm)]
    return gtaw(**{"weld": "square_groove", "joint": "butt", "base_metals": plate, "runs": 1,
                   "root_gap_mm": 0, **members})  # fmt: skip


def groove(**members: float) -> Document:
    """Return a GTAW coupon with a V groove in 6 mm plate."""
    plate = [metal(thickness_mm=6)]
    return gtaw(weld="v_groove", joint="butt", base_metals=plate, groove=members)


CASES: dict[str, tuple[Document, Document]] = {
    "setup-square-groove-closed": (square(10), square(5)),
    "setup-groove-narrow": (groove(angle_deg=20), groove(angle_deg=50)),
    "setup-root-face-thick": (groove(root_face_mm=5), groove(root_face_mm=3)),
}
