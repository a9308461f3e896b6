"""What one practice coupon states about itself, and the reader that checks it.

Base units only: mm, s, A, V, kJ, kW, degrees C, L/min; the unit is in the name. ``None`` means
that nobody was asked. An empty answer is a statement: ``cleaning=()`` says that nothing was done,
``filler=NO_FILLER`` says that the coupon was welded without filler.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Final, Literal

from weldlog.engine.inspected import Fillet, Groove, Imperfection
from weldlog.engine.reading import Above, AtLeast, Items, LongestText, Typed, read_members

Process = Literal["GTAW", "GMAW"]
Transfer = Literal["spray", "pulsed", "short_circuit"]
Joint = Literal["bead_on_plate", "butt", "lap", "tee", "corner", "edge"]
Weld = Literal["bead", "fillet", "square_groove", "v_groove"]
Position = Literal["PA", "PB", "PC", "PD", "PE", "PF", "PG"]
Work = Literal["fabrication", "repair"]
Stored = Literal["indoors", "outdoors", "immersed", "unknown"]
Coating = Literal["none", "paint", "anodised", "plated", "unknown"]
Edge = Literal[
    "as_supplied", "sawn", "sheared", "machined", "plasma", "laser", "abrasive_disc", "oxy_fuel"
]
DiscCondition = Literal["new", "used_on_aluminium", "used_on_steel"]
FillerForm = Literal["cut_length", "spool"]
FillerCondition = Literal["clean_sealed", "wiped", "not_wiped", "dull", "wet"]
Polarity = Literal["AC", "DCEN", "DCEP"]
VoltageRead = Literal["at_arc", "display", "assumed"]
ShieldingGas = Literal[
    "argon",
    "argon_helium",
    "helium",
    "argon_co2",
    "argon_oxygen",
    "argon_hydrogen",
    "co2",
    "nitrogen",
]
TungstenType = Literal["pure", "zirconiated", "lanthanated", "ceriated", "thoriated", "rare_earth"]
Feeder = Literal["push", "push_pull", "spool_gun"]
Rolls = Literal["u_groove", "v_groove", "knurled"]
Liner = Literal["polymer", "steel"]
Step = Literal[
    "strip_coating",
    "cut",
    "dress_edge",
    "deburr",
    "degrease",
    "dry",
    "remove_oxide",
    "wipe",
    "cover",
    "blow_off",
    "recut_rod",
    "other",
]
Agent = Literal[
    "acetone", "alkaline", "alcohol", "chlorinated", "acid_etch", "caustic_etch", "other", "none"
]
Tool = Literal[
    "stainless_hand_brush",
    "carbon_steel_brush",
    "brass_brush",
    "power_wire_wheel",
    "flap_disc",
    "sanding_disc",
    "bonded_wheel",
    "scraper",
    "file",
    "mill",
    "lint_free_cloth",
    "shop_rag",
    "compressed_air",
]
ToolKeptFor = Literal["aluminium_only", "shared_with_steel", "unknown"]
Pressure = Literal["light", "heavy"]
Stroke = Literal["one_way", "back_and_forth"]
Penetrant = Literal["not_done", "clear", "indications"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseMetal:
    """One side of the joint."""

    alloy: str | None = None
    temper: str | None = None
    thickness_mm: Annotated[float, Above(0)] | None = None
    stored: Stored | None = None
    coating: Coating | None = None
    edge: Edge | None = None
    edge_dressed_mm: Annotated[float, AtLeast(0)] | None = None
    disc_condition: DiscCondition | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Filler:
    """The filler that was used; an R or ER prefix is kept as typed."""

    designation: str
    form: FillerForm | None = None
    diameter_mm: Annotated[float, Above(0)] | None = None
    condition: FillerCondition | None = None


@dataclass(frozen=True, slots=True)
class NoFiller:
    """The statement that the coupon was welded without filler."""


NO_FILLER: Final = NoFiller()


@dataclass(frozen=True, slots=True, kw_only=True)
class Service:
    """What the part is for, as far as the choice of filler depends on it."""

    above_65_c: bool | None = None
    anodised_after: bool | None = None
    heat_treated_after: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AlternatingCurrent:
    """The set-up of the AC cycle; EN is electrode negative, EP electrode positive."""

    en_percent: float | None = None
    frequency_hz: float | None = None
    en_current_a: float | None = None
    ep_current_a: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tungsten:
    """The electrode of a GTAW coupon."""

    type: TungstenType | None = None
    diameter_mm: float | None = None
    touched_pool: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WireFeedPath:
    """What the wire of a GMAW coupon runs through."""

    feeder: Feeder | None = None
    cable_m: float | None = None
    rolls: Rolls | None = None
    liner: Liner | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CleaningStep:
    """One cleaning step; the order of the steps is the order in which they were done."""

    step: Step
    at: datetime | None = None
    agent: Agent | None = None
    tool: Tool | None = None
    tool_kept_for: ToolKeptFor | None = None
    pressure: Pressure | None = None
    stroke: Stroke | None = None
    minutes: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One run of a weld whose runs differ."""

    current_a: float | None = None
    voltage_v: float | None = None
    voltage_read: VoltageRead | None = None
    wire_feed_mm_s: float | None = None
    arc_energy_kj: float | None = None
    mean_power_kw: float | None = None
    weld_length_mm: float | None = None
    arc_time_s: float | None = None
    travel_speed_mm_s: float | None = None
    interpass_c: float | None = None
    interpass_brushed: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Everything that one coupon states.

    ``runs`` counts like runs: current, volts, speed, arc time, wire feed and the two energy
    readings are those of one run. Unlike runs stand in ``run_list``.
    """

    process: Process
    id: Annotated[str, LongestText(64)] | None = None
    transfer: Transfer | None = None
    joint: Joint | None = None
    weld: Weld | None = None
    position: Position | None = None
    work: Work | None = None
    base_metals: Annotated[tuple[BaseMetal, ...], Items(1, 2)] | None = None
    filler: Filler | NoFiller | None = None
    service: Service | None = None
    polarity: Polarity | None = None
    ac: AlternatingCurrent | None = None
    current_a: float | None = None
    voltage_v: float | None = None
    voltage_read: VoltageRead | None = None
    wire_feed_mm_s: float | None = None
    arc_energy_kj: float | None = None
    mean_power_kw: float | None = None
    weld_length_mm: float | None = None
    arc_time_s: float | None = None
    travel_speed_mm_s: float | None = None
    runs: Annotated[int, AtLeast(1)] | None = None
    shielding_gas: ShieldingGas | None = None
    gas_flow_l_min: float | None = None
    draught: bool | None = None
    tungsten: Tungsten | None = None
    torch_angle_deg: float | None = None
    arc_length_mm: float | None = None
    nozzle_to_work_mm: float | None = None
    wire_feed_path: WireFeedPath | None = None
    preheat_c: float | None = None
    preheat_minutes: float | None = None
    interpass_c: float | None = None
    interpass_brushed: bool | None = None
    crater_filled: bool | None = None
    root_gap_mm: float | None = None
    air_c: float | None = None
    metal_c: float | None = None
    relative_humidity_percent: float | None = None
    cleaning: tuple[CleaningStep, ...] | None = None
    arc_started_at: datetime | None = None
    minutes_since_cleaning: float | None = None
    covered_since_cleaning: bool | None = None
    fillet: Fillet | None = None
    groove: Groove | None = None
    imperfections: tuple[Imperfection, ...] | None = None
    acceptance_set: str | None = None
    run_list: Annotated[tuple[Run, ...], Items(2, None)] | None = None
    plate_length_mm: float | None = None
    plate_width_mm: float | None = None
    preflow_s: float | None = None
    postflow_s: float | None = None
    rod_used_mm: float | None = None
    weave_mm: float | None = None
    stops: Annotated[int, AtLeast(0)] | None = None
    mismatch_mm: float | None = None
    work_angle_deg: float | None = None
    tabs: bool | None = None
    back_side_cleaned: bool | None = None
    contact_tip_bore_mm: float | None = None
    gloves_clean: bool | None = None
    steel_work_nearby: bool | None = None
    purged: bool | None = None
    penetrant: Penetrant | None = None
    typed: dict[str, Typed] | None = None

    @property
    def sides(self) -> tuple[BaseMetal, BaseMetal] | None:
        """Both sides of the joint, or None when no metal was logged."""
        if not self.base_metals:
            return None
        return self.base_metals[0], self.base_metals[-1]


def read(document: object) -> Facts:
    """Check one JSON object against what a coupon may state, and return its facts.

    Parameters
    ----------
    document : object
        A decoded JSON value in the shape of ``tests/contract/coupon.schema.json``.

    Returns
    -------
    Facts

    Raises
    ------
    weldlog.engine.reading.Unreadable
        When it cannot be read; the message names the member and what would do.

    >>> read({"process": "GTAW", "filler": None}).filler
    NoFiller()
    >>> read({"process": "GTAW", "current_a": "many"})
    Traceback (most recent call last):
    ...
    weldlog.engine.reading.Unreadable: current_a: expected a number, got "many".
    """
    return read_members(Facts, document, stated_none={"filler": NO_FILLER})
