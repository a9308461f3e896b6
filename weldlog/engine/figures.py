"""The figures that are worked out from the facts of one coupon."""

from dataclasses import asdict, dataclass
from typing import Any, Literal

EnergyMethod = Literal["energy", "power", "averages"]
HotCrackRange = Literal["outside", "near", "inside"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldMetal:
    """Estimated composition of the weld metal [percent by mass]; ``dilution`` is 0 to 1."""

    si: float
    mg: float
    cu: float
    zn: float
    mn: float
    mg2si: float
    dilution: float
    hot_crack_range: HotCrackRange


@dataclass(frozen=True, slots=True, kw_only=True)
class RunFigures:
    """The figures of one run of a weld whose runs differ."""

    travel_speed_mm_s: float | None = None
    arc_energy_kj_mm: float | None = None
    heat_input_kj_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What was worked out; ``None`` where something that it needs is missing."""

    travel_speed_mm_s: float | None = None
    arc_energy_kj_mm: float | None = None
    heat_input_kj_mm: float | None = None
    thermal_efficiency: float | None = None
    energy_method: EnergyMethod | None = None
    mean_current_a: float | None = None
    rms_current_a: float | None = None
    dc_component_a: float | None = None
    arc_time_s: float | None = None
    gas_used_l: float | None = None
    weld_metal: WeldMetal | None = None
    runs: tuple[RunFigures, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return the figures in the shape of ``tests/contract/review.schema.json``."""
        document = asdict(self)
        document["runs"] = list(document["runs"])
        return document
