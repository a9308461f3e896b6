"""For each cleaning rule: a coupon that makes it fire, and one that keeps it quiet."""

from typing import Any

type Document = dict[str, Any]
type Step = dict[str, Any]

DEGREASE: Step = {"step": "degrease", "agent": "acetone", "tool": "lint_free_cloth"}
DRY: Step = {"step": "dry"}
BRUSH: Step = {
    "step": "remove_oxide",
    "tool": "stainless_hand_brush",
    "tool_kept_for": "aluminium_only",
    "pressure": "light",
    "stroke": "one_way",
}
ETCH: Step = {"step": "remove_oxide", "agent": "caustic_etch"}
RECUT: Step = {"step": "recut_rod"}
WASH: Step = {"step": "degrease", "agent": "alkaline"}
CLEAN: list[Step] = [DEGREASE, DRY, BRUSH]


def at(clock: str, step: Step, *, day: int = 14) -> Step:
    """Return the step with a time of day."""
    return step | {"at": moment(clock, day=day)}


def moment(clock: str, *, day: int = 14) -> str:
    """Return a time of day in September 2026."""
    return f"2026-09-{day}T{clock}:00-05:00"


def gtaw(**members: Any) -> Document:
    """Return a GTAW coupon on AC that was cleaned in order just before the arc."""
    waited = {} if "arc_started_at" in members else {"minutes_since_cleaning": 15}
    return {
        "process": "GTAW",
        "base_metals": [metal()],
        "filler": rod(),
        "polarity": "AC",
        "shielding_gas": "argon",
        "cleaning": CLEAN,
        **waited,
        **members,
    }


def gmaw(**members: Any) -> Document:
    """Return a GMAW coupon that was cleaned in order just before the arc."""
    wire = {"designation": "5356", "form": "spool", "diameter_mm": 1.2, "condition": "clean_sealed"}
    return gtaw(**({"process": "GMAW", "polarity": "DCEP", "filler": wire} | members))


def metal(**members: Any) -> dict[str, Any]:
    """Return one side of a joint: bare, dry 6061."""
    usual = {"alloy": "6061", "thickness_mm": 3.2, "stored": "indoors", "coating": "none"}
    return {**usual, "edge": "sheared", **members}


def rod(**members: Any) -> dict[str, Any]:
    """Return a wiped rod."""
    usual = {"designation": "5356", "form": "cut_length", "diameter_mm": 2.4}
    return {**usual, "condition": "wiped", **members}


def cleaned(*steps: Step, **members: Any) -> Document:
    """Return a GTAW coupon with these cleaning steps."""
    return gtaw(cleaning=list(steps), **members)


def brushed(**members: Any) -> Document:
    """Return a GTAW coupon whose brush or brushing was different."""
    return cleaned(DEGREASE, DRY, BRUSH | members)


def timed(wiped: str, brush_at: str, *, arc: str, **members: Any) -> Document:
    """Return a GTAW coupon that was wiped and brushed at these times, with no drying logged."""
    steps = [at(wiped, DEGREASE), at(brush_at, BRUSH)]
    return gtaw(cleaning=steps, arc_started_at=moment(arc), **members)


QUIET = gtaw()

CASES: dict[str, tuple[Document, Document]] = {
    "cleaning-degrease-missing": (cleaned(BRUSH), QUIET),
    "cleaning-degrease-late": (
        cleaned(BRUSH, DEGREASE, DRY),
        cleaned(BRUSH, DEGREASE, DRY, BRUSH),
    ),
    "cleaning-dry-missing": (cleaned(WASH, BRUSH), QUIET),
    "cleaning-dry-not-logged": (
        timed("09:00", "09:05", arc="09:15"),
        timed("09:00", "09:04", arc="09:15"),
    ),
    "cleaning-dry-late": (cleaned(DEGREASE, BRUSH, DRY), cleaned(DEGREASE, DRY, BRUSH, DRY)),
    "cleaning-residue-left": (
        cleaned(*CLEAN, {"step": "wipe", "agent": "alkaline"}),
        cleaned(*CLEAN, {"step": "wipe", "agent": "alkaline"}, DRY),
    ),
    "cleaning-oxide-missing": (cleaned(DEGREASE, DRY), QUIET),
    "cleaning-oxide-wiped": (brushed(tool="lint_free_cloth"), brushed(tool="scraper")),
    "cleaning-edge-work-late": (
        cleaned(DEGREASE, DRY, {"step": "deburr", "tool": "file"}, BRUSH),
        cleaned({"step": "deburr", "tool": "file"}, *CLEAN),
    ),
    "cleaning-coating-left": (
        gtaw(base_metals=[metal(), metal(coating="anodised")]),
        cleaned({"step": "strip_coating"}, *CLEAN, base_metals=[metal(coating="anodised")]),
    ),
    "cleaning-coating-unknown": (gtaw(base_metals=[metal(coating="unknown")]), QUIET),
    "cleaning-carbon-steel-brush": (brushed(tool="carbon_steel_brush"), QUIET),
    "cleaning-brass-brush": (brushed(tool="brass_brush"), QUIET),
    "cleaning-brush-shared": (brushed(tool_kept_for="shared_with_steel"), QUIET),
    "cleaning-tool-shared": (
        brushed(tool="scraper", tool_kept_for="shared_with_steel"),
        brushed(tool="scraper"),
    ),
    "cleaning-brush-unknown": (brushed(tool_kept_for="unknown"), QUIET),
    "cleaning-power-wheel": (brushed(tool="power_wire_wheel"), QUIET),
    "cleaning-brush-pressure": (brushed(pressure="heavy"), QUIET),
    "cleaning-brush-stroke": (brushed(stroke="back_and_forth"), QUIET),
    "cleaning-degreaser-none": (cleaned(DEGREASE | {"agent": "none"}, DRY, BRUSH), QUIET),
    "cleaning-alcohol": (cleaned(DEGREASE | {"agent": "alcohol"}, DRY, BRUSH), QUIET),
    "cleaning-shop-rag": (cleaned(DEGREASE | {"tool": "shop_rag"}, DRY, BRUSH), QUIET),
    "cleaning-compressed-air": (
        cleaned(DEGREASE, DRY, {"step": "blow_off"}, BRUSH),
        cleaned({"step": "blow_off"}, DEGREASE, DRY, BRUSH),
    ),
    "cleaning-grit-left": (
        brushed(tool="flap_disc"),
        cleaned({"step": "dress_edge", "tool": "flap_disc"}, *CLEAN),
    ),
    "cleaning-window": (gtaw(minutes_since_cleaning=241), gtaw(minutes_since_cleaning=240)),
    "cleaning-redo": (gtaw(minutes_since_cleaning=481), gtaw(minutes_since_cleaning=480)),
    "cleaning-uncovered": (
        gtaw(minutes_since_cleaning=45, covered_since_cleaning=False),
        gtaw(minutes_since_cleaning=30, covered_since_cleaning=False),
    ),
    "cleaning-times-disagree": (
        cleaned(at("09:10", DEGREASE), at("09:05", DRY), BRUSH),
        cleaned(at("09:05", DEGREASE), at("09:05", DRY), BRUSH),
    ),
    "cleaning-times-disagree-with-wait": (
        timed("09:00", "09:10", arc="09:14") | {"minutes_since_cleaning": 600},
        timed("09:00", "09:10", arc="09:14") | {"minutes_since_cleaning": 14},
    ),
    "cleaning-etch-rinse": (cleaned(DEGREASE, DRY, ETCH, DRY), QUIET),
    "cleaning-edge-oxy-fuel": (gtaw(base_metals=[metal(edge="oxy_fuel")]), QUIET),
    "cleaning-edge-not-dressed": (
        gtaw(base_metals=[metal(edge="plasma", edge_dressed_mm=2.9)]),
        gtaw(base_metals=[metal(edge="plasma", edge_dressed_mm=3)]),
    ),
    "cleaning-disc-used-on-steel": (
        gtaw(base_metals=[metal(edge="abrasive_disc", disc_condition="used_on_steel")]),
        gtaw(base_metals=[metal(edge="abrasive_disc", disc_condition="new")]),
    ),
    "cleaning-hydrated-oxide": (
        gtaw(base_metals=[metal(stored="immersed")]),
        brushed(tool="scraper") | {"base_metals": [metal(stored="immersed")]},
    ),
    "cleaning-spool-wet": (
        gmaw(filler={"designation": "5356", "condition": "wet"}),
        gmaw(),
    ),
    "cleaning-rod-wet": (gtaw(filler=rod(condition="wet")), gtaw(filler=None)),
    "cleaning-filler-dull": (gtaw(filler=rod(condition="dull")), QUIET),
    "cleaning-rod-not-wiped": (gtaw(filler=rod(condition="not_wiped")), QUIET),
    "cleaning-gloves": (gtaw(gloves_clean=False), gtaw(gloves_clean=True)),
    "cleaning-steel-nearby": (gtaw(steel_work_nearby=True), gtaw(steel_work_nearby=False)),
    "cleaning-back-side": (gtaw(back_side_cleaned=False), gtaw(back_side_cleaned=True)),
    "cleaning-condensation": (
        gtaw(air_c=25, metal_c=19, relative_humidity_percent=70),
        gtaw(air_c=25, metal_c=20, relative_humidity_percent=65),
    ),
    "cleaning-between-runs": (
        gtaw(runs=3, interpass_brushed=False),
        gtaw(runs=1, interpass_brushed=False),
    ),
    "cleaning-rod-end-not-cut": (gtaw(stops=1), gtaw(stops=1, cleaning=[*CLEAN, RECUT])),
}
