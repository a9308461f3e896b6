"""For each inspection rule: a coupon that makes it fire, and one that keeps it quiet."""

from tests.engine.cases_cleaning import Document, gtaw


def seen(*numbers: str) -> Document:
    """Return a GTAW coupon on which these imperfections were seen."""
    return gtaw(imperfections=[{"number": number} for number in numbers])


CASES: dict[str, tuple[Document, Document]] = {
    "inspection-crack": (seen("104"), seen("2017")),
    "inspection-penetrant": (gtaw(penetrant="indications"), gtaw(penetrant="clear")),
    "inspection-number-unknown": (seen("999"), seen("L1")),
}
