"""For each safety rule: a coupon that makes it fire, and one that keeps it quiet."""

from tests.engine.cases_cleaning import (
    BRUSH,
    CLEAN,
    DEGREASE,
    DRY,
    Document,
    brushed,
    cleaned,
    gtaw,
    metal,
)

QUIET = gtaw()


def degreased_with(agent: str) -> Document:
    """Return a GTAW coupon that was degreased with this agent."""
    return cleaned(DEGREASE | {"agent": agent}, DRY, BRUSH)


def cut_with_disc(condition: str) -> Document:
    """Return a GTAW coupon whose edge was cut with a disc in this condition."""
    return gtaw(base_metals=[metal(edge="abrasive_disc", disc_condition=condition)])


CASES: dict[str, tuple[Document, Document]] = {
    "safety-chlorinated-solvent": (degreased_with("chlorinated"), QUIET),
    "safety-acid-etch": (degreased_with("acid_etch"), QUIET),
    "safety-caustic-etch": (degreased_with("caustic_etch"), degreased_with("alkaline")),
    "safety-bonded-wheel": (brushed(tool="bonded_wheel"), QUIET),
    "safety-disc-used-again": (cut_with_disc("used_on_aluminium"), cut_with_disc("new")),
    "safety-solvent-not-dried": (
        cleaned(*CLEAN, {"step": "wipe", "agent": "acetone"}),
        cleaned(*CLEAN, {"step": "wipe", "agent": "acetone"}, DRY),
    ),
    "safety-thoriated-tungsten": (
        gtaw(tungsten={"type": "thoriated"}),
        gtaw(tungsten={"type": "lanthanated"}),
    ),
}
