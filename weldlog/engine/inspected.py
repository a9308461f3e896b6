"""What was measured and seen on a finished coupon, as its facts state it [mm]."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Fillet:
    """The fillet as drawn and as measured."""

    nominal_leg_mm: float | None = None
    leg_1_mm: float | None = None
    leg_2_mm: float | None = None
    throat_mm: float | None = None
    convexity_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Groove:
    """The groove as prepared and the weld in it as measured."""

    angle_deg: float | None = None
    root_face_mm: float | None = None
    weld_width_mm: float | None = None
    excess_weld_metal_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Imperfection:
    """One imperfection seen, by its ISO 6520-1 number (``L1`` is soot, which has none)."""

    number: str
    size_mm: float | None = None
    length_mm: float | None = None
    count: int | None = None
    at_mm: float | None = None
