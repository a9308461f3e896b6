"""What the first pages of a section file show: who is how far, read from the section's record."""

from typing import Any, Final

from coursework.models import IssuedSectionRecord
from coursework.record_section import SectionRecord, from_master
from coursework.record_sheet import print_words, qr, time_words

STATES: Final = range(5)


def section_sheet(issued: IssuedSectionRecord, address: str) -> dict[str, Any]:
    """Return what ``section_print.html`` is rendered with.

    Parameters
    ----------
    issued : IssuedSectionRecord
        What is shown.
    address : str
        Where a print is checked; the QR code leads there.
    """
    record = from_master(issued.master)
    return {
        "record": record,
        "rows": _rows(record),
        "all_states": [{"state": state} for state in STATES],
        "qr": qr(address),
        "address": address,
        **print_words(issued.sha256),
    }


def _rows(record: SectionRecord) -> list[tuple[Any, list[dict[str, int] | None], str]]:
    """Return each student with the states of the exercises and the arc time."""
    return [
        (
            each,
            [{"state": cell.state} if cell else None for cell in each.cells],
            time_words(*divmod(round(each.arc_time_s / 60), 60)),
        )
        for each in record.students
    ]
