"""The lay-out of a bead strip: a weld from 0 to its length, with what was seen where.

Along the bead positions are in percent of the width, across it in CSS pixels, so that a strip fits
any screen while text and shapes keep their size. Nothing here knows of HTML.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

# Collisions are judged at the narrowest width a strip is drawn at, a 320 px phone less its margins,
# so that nothing overlaps on a wider one.
NARROWEST_PX = 260.0
SHAPE_PX = 24.0
DIGIT_PX = 9.0
CLEAR_PX = 5.0
ROWS = 2
ROW_PX = 30
OVERFLOW_PX = 16
NAME_PX = 18
STEM_PX = 14
BEAD_PX = 26
RULER_PX = 38
MILLIMETERS_PER_INCH = 25.4
LABEL_ROOM_PX = 46.0
CHARACTER_PX = 8.0
START_PX = 47.0


@dataclass(frozen=True, slots=True)
class BeadMark:
    """What a person saw on the bead: the number of its list row, its group and its place [mm]."""

    key: int
    group: int
    at_mm: float
    length_mm: float | None = None


@dataclass(frozen=True, slots=True)
class PlacedMark:
    """A mark with its place: ``x``, ``start`` and ``end`` in percent, ``y`` and ``foot`` in pixels.

    ``foot`` is where the stem of a spot ends, or the bracket of a stretch lies. A stretch has
    ``start`` and ``end``, a spot has neither. The number goes left of the shape near the far end.
    """

    key: int
    group: int
    x: float
    y: int
    foot: int
    start: float | None
    end: float | None
    number_left: bool


@dataclass(frozen=True, slots=True)
class Overflow:
    """Marks that found no room: their count, at the place of the first."""

    x: float
    y: int
    count: int


@dataclass(frozen=True, slots=True)
class StripSide:
    """The marks of one person, above or below the bead; ``name_y`` is the baseline of the name."""

    marks: tuple[PlacedMark, ...]
    overflows: tuple[Overflow, ...]
    name_y: int
    metal_y: int


@dataclass(frozen=True, slots=True)
class RulerTick:
    """A tick of the ruler; only long ones carry a number."""

    x: float
    long: bool
    text: str


@dataclass(frozen=True, slots=True)
class BeadStrip:
    """A bead from 0 to its length with what was seen where; heights in pixels."""

    height: int
    metal_y: int
    ruler_y: int
    length_text: str
    ticks: tuple[RulerTick, ...]
    above: StripSide | None
    below: StripSide | None


def bead_strip(
    length_mm: float | None,
    above: Iterable[BeadMark],
    below: Iterable[BeadMark] = (),
    *,
    inches: bool = False,
) -> BeadStrip | None:
    """Lay out a bead strip: one person's marks above the bead, the other's below.

    Marks that would touch go to a second row away from the bead; a third row is not drawn, a
    count stands in its place. Returns None for a bead of no known length.
    """
    if not length_mm or length_mm <= 0:
        return None
    upper, lower = _rows(above, length_mm), _rows(below, length_mm)
    metal_y = max(upper.depth, 4)
    underside = metal_y + BEAD_PX
    ruler_y = underside + max(lower.depth, 8)
    return BeadStrip(
        height=ruler_y + RULER_PX,
        metal_y=metal_y,
        ruler_y=ruler_y,
        length_text=length_text(length_mm, inches=inches),
        ticks=_ruler(length_mm, inches=inches),
        above=_placed(upper, edge=metal_y, away=-1, name_y=13) if upper.rows else None,
        below=_placed(lower, edge=underside, away=1, name_y=ruler_y - 5) if lower.rows else None,
    )


@dataclass(frozen=True, slots=True)
class _Spot:
    """A mark along the bead, before it has a height: percent, and the pixels it covers."""

    mark: BeadMark
    x: float
    start: float | None
    end: float | None
    number_left: bool

    @property
    def covers(self) -> tuple[float, float]:
        centre = self.x / 100.0 * NARROWEST_PX
        number = DIGIT_PX * len(str(self.mark.key)) + 3
        left = centre - SHAPE_PX / 2 - (number if self.number_left else 0)
        right = centre + SHAPE_PX / 2 + (0 if self.number_left else number)
        if self.start is None or self.end is None:
            return left, right
        scale = NARROWEST_PX / 100.0
        return min(left, self.start * scale), max(right, self.end * scale)


@dataclass(frozen=True, slots=True)
class _Rows:
    rows: list[list[_Spot]]
    left_over: list[_Spot]

    @property
    def depth(self) -> int:
        """How far the marks and the name reach away from the metal [px]."""
        if not self.rows:
            return 0
        return STEM_PX + ROW_PX * len(self.rows) + OVERFLOW_PX * bool(self.left_over) + NAME_PX


def _rows(marks: Iterable[BeadMark], length_mm: float) -> _Rows:
    """Give every mark the row nearest to the bead that has room for it."""
    rows: list[list[_Spot]] = []
    left_over: list[_Spot] = []
    for spot in sorted((_spot(mark, length_mm) for mark in marks), key=lambda s: (s.x, s.mark.key)):
        row = next((row for row in rows if not any(_touch(spot, other) for other in row)), None)
        if row is None and len(rows) < ROWS:
            row = []
            rows.append(row)
        (left_over if row is None else row).append(spot)
    return _Rows(rows, left_over)


def _touch(one: _Spot, other: _Spot) -> bool:
    (left, right), (other_left, other_right) = one.covers, other.covers
    return left - CLEAR_PX < other_right and other_left - CLEAR_PX < right


def _spot(mark: BeadMark, length_mm: float) -> _Spot:
    """Turn millimeters into percent; what lies beyond an end of the bead stands on that end."""
    start = _percent(mark.at_mm, length_mm)
    if not mark.length_mm:
        return _Spot(mark, start, None, None, start > 90.0)
    end = _percent(mark.at_mm + mark.length_mm, length_mm)
    x = (start + end) / 2
    return _Spot(mark, x, start, end, x > 90.0)


def _percent(at_mm: float, length_mm: float) -> float:
    return min(max(100.0 * at_mm / length_mm, 0.0), 100.0)


def _placed(rows: _Rows, *, edge: int, away: int, name_y: int) -> StripSide:
    """Stack the rows from the metal's ``edge``: ``away`` is -1 for upwards, 1 for downwards."""
    marks = [
        PlacedMark(
            key=spot.mark.key,
            group=spot.mark.group,
            x=spot.x,
            y=edge + away * (STEM_PX + ROW_PX * number + ROW_PX // 2),
            foot=edge + away * _foot(spot, number),
            start=spot.start,
            end=spot.end,
            number_left=spot.number_left,
        )
        for number, row in enumerate(rows.rows)
        for spot in row
    ]
    return StripSide(
        marks=tuple(sorted(marks, key=lambda mark: away * -mark.y)),
        overflows=_overflows(rows.left_over, y=edge + away * (STEM_PX + ROW_PX * ROWS + 7)),
        name_y=name_y,
        metal_y=edge,
    )


def _foot(spot: _Spot, row: int) -> int:
    """How far from the metal a bracket lies, or a stem ends at the edge of its shape [px]."""
    return STEM_PX + ROW_PX * row + (8 if spot.start is None else -2)


def _overflows(spots: Sequence[_Spot], *, y: int) -> tuple[Overflow, ...]:
    """Count marks without a row; neighbors closer than a number is wide share one count."""
    groups: list[list[_Spot]] = []
    for spot in spots:
        if groups and (spot.x - groups[-1][0].x) / 100.0 * NARROWEST_PX < SHAPE_PX + CLEAR_PX:
            groups[-1].append(spot)
        else:
            groups.append([spot])
    return tuple(Overflow(group[0].x, y, len(group)) for group in groups)


def _ruler(length_mm: float, *, inches: bool) -> tuple[RulerTick, ...]:
    """Ticks each 10 mm or half inch, numbers each 50 mm or 2 in; wider apart on a long bead."""
    unit_mm = MILLIMETERS_PER_INCH if inches else 1.0
    step = 0.5 if inches else 10.0
    per_number = 4 if inches else 5
    while step * per_number * unit_mm / length_mm * NARROWEST_PX < LABEL_ROOM_PX:
        step *= 2
    count = int(length_mm / (step * unit_mm) + 1e-9)
    end_px = NARROWEST_PX - CHARACTER_PX * len(length_text(length_mm, inches=inches))
    places = [(100.0 * n * step * unit_mm / length_mm, n * step) for n in range(count + 1)]
    return tuple(
        RulerTick(x, long, _number(at, x, end_px) if long else "")
        for n, (x, at) in enumerate(places)
        for long in (n % per_number == 0,)
    )


def _number(at: float, x: float, end_px: float) -> str:
    """Write a number of the ruler where it keeps clear of what stands at both ends."""
    text = f"{at:g}"
    middle, half = x / 100.0 * NARROWEST_PX, CHARACTER_PX * len(text) / 2 + CLEAR_PX
    return text if middle - half > START_PX and middle + half < end_px else ""


def length_text(length_mm: float, *, inches: bool = False) -> str:
    """Write a place or a length along the bead with its unit."""
    if inches:
        return f"{length_mm / MILLIMETERS_PER_INCH:.3g}\u00a0in"
    return f"{length_mm:g}\u00a0mm"
