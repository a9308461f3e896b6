"""Sheets of labels, described in millimeters, and where each label lies on the paper.

The sheets that are offered are described by their size alone. That labels of these sizes are sold
is common practice, no source; whoever has another sheet measures it and types its numbers.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.exports import PageSize

# ISO 216 A4, and letter paper of 8 1/2 by 11 inches.
PAPERS: Final[dict[PageSize, tuple[float, float]]] = {
    "A4": (210.0, 297.0),
    "letter": (215.9, 279.4),
}
PAPER_NAMES: Final = {"A4": "A4", "letter": gettext_lazy("Letter")}
# A QR code of an address has up to 45 modules with its quiet zone. At 0.45 mm each it wants 20 mm.
SMALLEST_MM: Final = (50.0, 24.0)
MOST_LABELS: Final = 80
# Beyond this the last column or row would be cut by the edge of the paper.
TOLERANCE_MM: Final = 0.01


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Equal labels in rows and columns; all lengths in mm.

    Parameters
    ----------
    page : "A4" or "letter"
        The paper, upright.
    rows, columns : int
        How many labels below and beside each other.
    top_mm, bottom_mm, left_mm, right_mm : float
        From the edge of the paper to the first and from the last label.
    across_mm, down_mm : float
        Between two labels beside and below each other.
    """

    page: PageSize
    rows: int
    columns: int
    top_mm: float
    bottom_mm: float
    left_mm: float
    right_mm: float
    across_mm: float = 0.0
    down_mm: float = 0.0

    @property
    def width_mm(self) -> float:
        """The width of a label: what margins and gaps leave."""
        free = PAPERS[self.page][0] - self.left_mm - self.right_mm
        return (free - (self.columns - 1) * self.across_mm) / self.columns

    @property
    def height_mm(self) -> float:
        """The height of a label: what margins and gaps leave."""
        free = PAPERS[self.page][1] - self.top_mm - self.bottom_mm
        return (free - (self.rows - 1) * self.down_mm) / self.rows

    @property
    def count(self) -> int:
        """How many labels the sheet has."""
        return self.rows * self.columns

    def places(self) -> list[tuple[float, float]]:
        """Return left and top edge of each label [mm], row by row."""
        return [
            (
                self.left_mm + column * (self.width_mm + self.across_mm),
                self.top_mm + row * (self.height_mm + self.down_mm),
            )
            for row in range(self.rows)
            for column in range(self.columns)
        ]

    def faults(self) -> Iterator[str]:
        """Yield why no label can be printed on it."""
        width, height = SMALLEST_MM
        if self.count > MOST_LABELS:
            yield _("A sheet has at most %d labels.") % MOST_LABELS
        if self.width_mm < width - TOLERANCE_MM or self.height_mm < height - TOLERANCE_MM:
            size = {"width": f"{self.width_mm:.1f}", "height": f"{self.height_mm:.1f}"}
            smallest = {"least_width": f"{width:g}", "least_height": f"{height:g}"}
            yield _(
                "The labels would be %(width)s × %(height)s mm. A code that phones read wants"
                " %(least_width)s × %(least_height)s mm or more."
            ) % (size | smallest)

    def __str__(self) -> str:
        size = {
            "paper": PAPER_NAMES[self.page],
            "width": f"{self.width_mm:.1f}".removesuffix(".0"),
            "height": f"{self.height_mm:.1f}".removesuffix(".0"),
            "count": self.count,
        }
        return _("%(paper)s, %(count)d labels of %(width)s × %(height)s mm") % size


PRESETS: Final = {
    "a4-21": LabelSheet("A4", 7, 3, 15.15, 15.15, 7.25, 7.25, 2.5),
    "a4-24": LabelSheet("A4", 8, 3, 12.9, 12.9, 7.25, 7.25, 2.5),
    "a4-14": LabelSheet("A4", 7, 2, 15.15, 15.15, 4.65, 4.65, 2.5),
    "letter-30": LabelSheet("letter", 10, 3, 12.7, 12.7, 4.7625, 4.7625, 3.175),
    "letter-14": LabelSheet("letter", 7, 2, 21.1667, 21.1667, 3.96875, 3.96875, 4.7625),
    "letter-10": LabelSheet("letter", 5, 2, 12.7, 12.7, 3.96875, 3.96875, 4.7625),
}
