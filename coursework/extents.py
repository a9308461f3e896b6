"""Where the bars of the guides' tables and drawings go, in percent of their width."""

from dataclasses import dataclass

ROUND_ENDS = (0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 20, 50, 100, 200, 300, 400, 600, 800, 1000)


@dataclass(frozen=True, slots=True)
class Extent:
    """A bar from ``start`` over ``width``, and the mark on it (or None) [percent of the width]."""

    start: float
    width: float
    mark: float | None = None

    @property
    def end(self) -> float:
        """Where the bar ends [percent of the width]."""
        return self.start + self.width


def round_end(largest: float) -> float:
    """Return a round number at which a scale for values up to ``largest`` may end.

    >>> round_end(0.8), round_end(310)
    (1, 400)
    """
    return next((end for end in ROUND_ENDS if end >= largest), largest)


def extent(low: float | None, high: float, end: float, mark: float | None = None) -> Extent:
    """Place a bar and its mark on a scale from 0 to ``end``; without ``low`` it starts at 0.

    >>> extent(0.4, 0.8, 1, 0.6)
    Extent(start=40.0, width=40.0, mark=60.0)
    """
    start = 100.0 * (low or 0) / end
    place = None if mark is None else 100.0 * mark / end
    return Extent(start, 100.0 * high / end - start, place)
