"""The figures that are worked out from the facts of one coupon."""

from dataclasses import asdict, dataclass, fields
from functools import cache
from operator import attrgetter
from typing import Any, Final, Literal

EnergyMethod = Literal["energy", "power", "averages"]
HotCrackRange = Literal["outside", "near", "inside"]
DilutionFrom = Literal["joint", "joint_gap", "wire_balance", "no_filler"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldMetal:
    """Estimated composition of the weld metal [percent by mass].

    ``dilution`` is the share of base metal, 0 to 1, and goes from ``dilution_low`` to
    ``dilution_high``; ``dilution_from`` says whether it is the usual one of the joint, that of a
    joint opened by the root gap that was logged, follows from the filler that was logged, or is
    all base metal.
    """

    si: float
    mg: float
    cu: float
    zn: float
    mn: float
    mg2si: float
    dilution: float
    dilution_low: float
    dilution_high: float
    dilution_from: DilutionFrom
    hot_crack_range: HotCrackRange


@dataclass(frozen=True, slots=True, kw_only=True)
class RunFigures:
    """The figures of one run of a weld whose runs differ."""

    travel_speed_mm_s: float | None = None
    arc_energy_kj_mm: float | None = None
    heat_input_kj_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What was worked out; ``None`` where something that it needs is missing.

    Arc energy is electrical; heat input is arc energy times ``thermal_efficiency``, a factor to
    compare with. What US codes call heat input is the arc energy here.
    """

    travel_speed_mm_s: float | None = None
    arc_energy_kj_mm: float | None = None
    heat_input_kj_mm: float | None = None
    thermal_efficiency: float | None = None
    thermal_efficiency_source: str | None = None
    energy_method: EnergyMethod | None = None
    mean_current_a: float | None = None
    rms_current_a: float | None = None
    dc_component_a: float | None = None
    tungsten_heat_share_percent: float | None = None
    deposited_area_mm2: float | None = None
    deposition_efficiency: float | None = None
    deposition_efficiency_source: str | None = None
    expected_leg_mm: float | None = None
    measured_area_mm2: float | None = None
    rod_length_mm: float | None = None
    burn_off_mm3_per_a_s: float | None = None
    arc_time_s: float | None = None
    gas_used_l: float | None = None
    bulk_rise_upper_bound_k: float | None = None
    condensation_humidity_percent: float | None = None
    weld_metal: WeldMetal | None = None
    runs: tuple[RunFigures, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return the figures in the shape of ``tests/contract/review.schema.json``."""
        document = dict(zip(_NAMES, _MEMBERS(self), strict=True))
        document["weld_metal"] = self.weld_metal and _weld_metal_json(self.weld_metal)
        document["runs"] = [asdict(run) for run in self.runs]
        return document


_NAMES: Final = tuple(each.name for each in fields(Figures))
_MEMBERS: Final = attrgetter(*_NAMES)


@cache
def _weld_metal_json(weld_metal: WeldMetal) -> dict[str, Any]:
    return asdict(weld_metal)
