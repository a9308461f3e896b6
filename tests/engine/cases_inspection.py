"""For each inspection rule: a coupon that makes it fire, and one that keeps it quiet."""

from tests.engine.cases_cleaning import Document, gtaw, metal
from tests.engine.limits import fillet


def seen(*numbers: str) -> Document:
    """Return a GTAW coupon on which these imperfections were seen."""
    return gtaw(imperfections=[{"number": number} for number in numbers])


CASES: dict[str, tuple[Document, Document]] = {
    "inspection-crack": (seen("104"), seen("2017")),
    "inspection-penetrant": (gtaw(penetrant="indications"), gtaw(penetrant="clear")),
    "inspection-stray-strike": (
        seen("601"),
        seen("601") | {"base_metals": [metal(alloy="5052")]},
    ),
    "inspection-set-unknown": (
        gtaw(acceptance_set="iso10042_x"),
        gtaw(acceptance_set="iso10042_c"),
    ),
    "inspection-throat-for-legs": (
        gtaw(fillet=fillet(4, 4.2, 3.9, throat_mm=6)),
        gtaw(fillet=fillet(4, 4.2, 3.9, throat_mm=3)),
    ),
    "inspection-number-unknown": (seen("999"), seen("L1")),
}
