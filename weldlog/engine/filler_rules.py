"""The rules that speak of the filler: their sentences and sources.

``filler_joint`` and ``filler_service`` say when. ``{instead}`` is a sentence on what would do in
this joint; ``filler_advice`` writes it, so that no sentence names a filler that a rule speaks
against.
"""

from typing import Final

from weldlog.engine.findings import Rule

FILLER_AND_BASE: Final = ("filler.designation", "base_metals")
MIXTURE: Final = ("filler.designation", "base_metals", "weld")

SILICON_ON_MAGNESIUM: Final = Rule(
    id="filler-silicon-on-magnesium",
    severity="stop",
    says=(
        "{filler} brings silicon to {alloy}, which holds {magnesium:.1f} % magnesium: together "
        "they form brittle Mg2Si. {instead}"
    ),
    source="alloy-S22",
    fields=FILLER_AND_BASE,
)
SILICON_NEAR_MAGNESIUM_LIMIT: Final = Rule(
    id="filler-silicon-near-magnesium-limit",
    severity="warn",
    says=(
        "{alloy} holds {magnesium:.1f} % magnesium, and sources draw the line for silicon fillers "
        "such as {filler} between 2.0 and 2.5 %: the weld is less ductile. {instead}"
    ),
    source="alloy-S1",
    fields=FILLER_AND_BASE,
)
MAGNESIUM_ON_SILICON: Final = Rule(
    id="filler-magnesium-on-silicon",
    severity="warn",
    says=(
        "{filler} brings magnesium to {alloy}, which holds {silicon:.1f} % silicon: together they "
        "form brittle Mg2Si. {instead}"
    ),
    source="alloy-S1",
    fields=FILLER_AND_BASE,
)
MAGNESIUM_ON_COPPER: Final = Rule(
    id="filler-magnesium-on-copper",
    severity="stop",
    says=(
        "{filler} brings magnesium to {alloy}, which holds {copper:.1f} % copper: together they "
        "crack while the weld freezes, in whatever share they mix. {instead}"
    ),
    source="practice",
    fields=FILLER_AND_BASE,
)
WARM_SERVICE: Final = Rule(
    id="filler-warm-service",
    severity="stop",
    says=(
        "{filler} holds {magnesium:.1f} % magnesium, and above 3 % a weld is not for long service "
        "above 65 °C: stress corrosion sets in. {instead}"
    ),
    source="alloy-S25",
    fields=("filler.designation", "service.above_65_c"),
)
WELD_MAGNESIUM_LOW: Final = Rule(
    id="filler-weld-magnesium-low",
    severity="stop",
    says=(
        "By estimate this weld holds {magnesium:.2f} % magnesium and {silicon:.2f} % silicon. A "
        "weld in {alloy} is safe from cracks from 3 % magnesium on, or from 2 % silicon on. "
        "{cure}{instead}"
    ),
    source="alloy-S21a",
    fields=MIXTURE,
)
ZINC_MAGNESIUM: Final = Rule(
    id="filler-zinc-magnesium",
    severity="warn",
    says=(
        "{alloy} is a zinc-magnesium alloy, and {filler} leaves its weld weak: it wants magnesium "
        "and not silicon. {instead}"
    ),
    source="alloy-S1",
    fields=FILLER_AND_BASE,
)
ANODISED_COLOR: Final = Rule(
    id="filler-anodised-color",
    severity="warn",
    says=(
        "A weld made with {filler} turns {color} when the part is anodized and stands out from "
        "the metal beside it. {instead}"
    ),
    source="alloy-S21c",
    fields=("filler.designation", "base_metals", "service.anodised_after"),
)
HEAT_TREATED_MAGNESIUM: Final = Rule(
    id="filler-heat-treated-magnesium",
    severity="stop",
    says=(
        "{filler} holds {magnesium:.1f} % magnesium: after a full heat treatment its weld is "
        "prone to stress corrosion. {instead}"
    ),
    source="alloy-S21c",
    fields=("filler.designation", "base_metals", "service.heat_treated_after"),
)
HEAT_TREATED_WEAK: Final = Rule(
    id="filler-heat-treated-weak",
    severity="warn",
    says=(
        "A weld made with {filler} hardly gains strength in the heat treatment that follows. "
        "{instead}"
    ),
    source="alloy-S21d",
    fields=("filler.designation", "base_metals", "service.heat_treated_after"),
)
HEAT_TREATED_THICK: Final = Rule(
    id="filler-heat-treated-thick",
    severity="warn",
    says=(
        "{filler} answers to heat treatment only through magnesium that it picks up from the "
        "base, and at {thickness_text} too little of it reaches the middle of the weld. "
        "{instead}"
    ),
    source="alloy-S21e",
    fields=("filler.designation", "base_metals.thickness_mm", "service.heat_treated_after"),
)
PURE_ON_ALLOYED: Final = Rule(
    id="filler-pure-on-alloyed",
    severity="stop",
    says=(
        "{filler} is almost pure, and {alloy} thins it onto a crack peak. Pure fillers are for "
        "1xxx, and at most for 3003. {instead}"
    ),
    source="alloy-S21g",
    fields=FILLER_AND_BASE,
)
MAGNESIUM_ON_PURE: Final = Rule(
    id="filler-magnesium-on-pure",
    severity="warn",
    says=(
        "With {filler} on {alloy} the weld should keep 3 % magnesium, and by estimate it holds "
        "{magnesium:.2f} %. {cure}{instead}"
    ),
    source="practice",
    fields=MIXTURE,
)
COPPER_ON_COPPER_FREE: Final = Rule(
    id="filler-copper-on-copper-free",
    severity="warn",
    says=(
        "{filler} brings about 6 % copper and is made for 2219: elsewhere it brings cracks and "
        "corrosion. {instead}"
    ),
    source="practice",
    fields=FILLER_AND_BASE,
)
FILLET_SHEAR: Final = Rule(
    id="filler-fillet-shear",
    severity="advise",
    says=(
        "A fillet or lap on {alloy} breaks in the weld, and an Al-Mg filler holds about 1.5 times "
        "as much there as {filler}. Think of {stronger} where strength comes first."
    ),
    source="alloy-S21c",
    fields=FILLER_AND_BASE,
)
PLATE_STRENGTH: Final = Rule(
    id="filler-plate-strength",
    severity="advise",
    says=(
        "{alloy} needs {stronger} to be sure of the strength of its joint; {filler} is for "
        "ductility and lighter duty."
    ),
    source="alloy-S21b",
    fields=FILLER_AND_BASE,
)
THINNED_5554: Final = Rule(
    id="filler-5554-thinned",
    severity="advise",
    says=(
        "By estimate the base thins {filler} to {magnesium:.2f} % magnesium, and a weld with less "
        "than 2.6 % may crack. Keep {filler} for parts that serve warm, and melt little of the "
        "base."
    ),
    source="practice",
    fields=MIXTURE,
)
CRACK_RANGE: Final = Rule(
    id="filler-crack-range",
    severity="warn",
    says=(
        "About {base_percent:.0f} % of this weld is base metal by estimate, a mix that cracks "
        "while it freezes. {cure}{instead}"
    ),
    source="memory-crack-curves",
    fields=MIXTURE,
)
CRACK_RANGE_NEAR: Final = Rule(
    id="filler-crack-range-near",
    severity="advise",
    says=("{mix} Feed a full, slightly convex bead and fill the crater."),
    source="memory-crack-curves",
    fields=MIXTURE,
)
GTAW_SHARE: Final = Rule(
    id="filler-gtaw-share",
    severity="advise",
    says=(
        "By common practice GTAW melts so much of the base that about {base_percent:.0f} % of "
        "this weld is base metal, a mix that cracks; at {usual_percent:.0f} % the weld is "
        "{verdict}. Feed more filler or open the joint, and fill the crater."
    ),
    source="practice",
    fields=(*MIXTURE, "process"),
)
CONCAVE_BEAD: Final = Rule(
    id="filler-concave-bead",
    severity="warn",
    says=(
        "The fillet is concave by {hollow_text}, and a concave bead cracks even with the right "
        "filler. Add filler until it is flat or slightly convex."
    ),
    source="alloy-S47",
    fields=("fillet.convexity_mm",),
)
ROD_AS_WIRE: Final = Rule(
    id="filler-rod-as-wire",
    severity="stop",
    says=(
        "{filler} is a rod that was never tested as wire, so it cannot stand in a GMAW log. "
        "Check the spool for its ER number and correct the entry."
    ),
    source="alloy-S24",
    fields=("filler.designation", "process"),
)
PAIR_NOT_RECOMMENDED: Final = Rule(
    id="filler-pair-not-recommended",
    severity="stop",
    says=(
        "{alloys} are not recommended as a welded pair, whatever the filler. {why} "
        "Ask your instructor for another way to join them."
    ),
    source="practice",
    fields=("base_metals",),
)
PAIR_NEVER: Final = Rule(
    id="filler-pair-never",
    severity="warn",
    says="{filler} is advised against for {alloys}. {why} {instead}",
    source="practice",
    fields=FILLER_AND_BASE,
)

RULES: Final = (
    PAIR_NOT_RECOMMENDED,
    ROD_AS_WIRE,
    SILICON_ON_MAGNESIUM,
    SILICON_NEAR_MAGNESIUM_LIMIT,
    PURE_ON_ALLOYED,
    WELD_MAGNESIUM_LOW,
    WARM_SERVICE,
    HEAT_TREATED_MAGNESIUM,
    MAGNESIUM_ON_COPPER,
    MAGNESIUM_ON_SILICON,
    ZINC_MAGNESIUM,
    COPPER_ON_COPPER_FREE,
    MAGNESIUM_ON_PURE,
    ANODISED_COLOR,
    HEAT_TREATED_WEAK,
    HEAT_TREATED_THICK,
    CRACK_RANGE,
    CONCAVE_BEAD,
    PAIR_NEVER,
    FILLET_SHEAR,
    PLATE_STRENGTH,
    THINNED_5554,
    CRACK_RANGE_NEAR,
    GTAW_SHARE,
)

#: The rules that say how the estimated weld stands to what cracks.
SPEAK_OF_SHARE: Final = frozenset(
    each.id
    for each in (
        WELD_MAGNESIUM_LOW,
        MAGNESIUM_ON_PURE,
        CRACK_RANGE,
        CRACK_RANGE_NEAR,
        GTAW_SHARE,
        THINNED_5554,
    )
)
