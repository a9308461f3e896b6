"""How what is stored is worded on a page: flags, causes, figures against their window, facts."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.choices import words_of
from coursework.measures import (
    LABELS,
    asked,
    in_unit,
    label_of,
    shown,
    units_of,
    value_in,
    with_unit,
)
from coursework.models import (
    Assessment,
    Coupon,
    CouponFacts,
    Finding,
    TargetWindow,
)
from coursework.models.facts import Document
from coursework.templatetags.weldlog_tags import significant
from weldlog.engine.imperfections import find as find_imperfection
from weldlog.engine.review import RULES
from weldlog.engine.sources import SOURCES

STANDINGS = {
    "read": gettext_lazy("read"),
    "memory": gettext_lazy("from memory, check your own copy"),
    "practice": gettext_lazy("common practice"),
    "doubtful": gettext_lazy("doubtful"),
}


def _rests_on(
    fields: Iterable[str], document: Document, typed: Mapping[str, Mapping[str, str]]
) -> list[tuple[str, str]]:
    """Return label and value of what was logged and can be said in a word."""
    found = []
    for member in fields:
        value = value_in(document, member)
        if isinstance(value, str | int | float):
            found.append((label_of(member), shown(member, value, typed)))
    return found


def sentence(finding: Finding) -> str:
    """Return a stored finding's sentence: from its rule where the rule is still there."""
    rule = RULES.get(finding.rule)
    try:
        return rule.says.format_map(finding.values) if rule else finding.says
    except (KeyError, ValueError, IndexError):
        return finding.says


def finding_card(finding: Finding, document: Document, typed: Mapping[str, Any]) -> dict[str, Any]:
    """Return one flag for ``{% finding %}``; its first sentence is the heading."""
    source = SOURCES.get(finding.source)
    heading, _dot, rest = sentence(finding).partition(". ")
    return {
        "rule": finding.rule,
        "severity": finding.severity,
        "safety": finding.is_safety,
        "heading": heading if rest else "",
        "says": rest or heading,
        "rests_on": _rests_on(finding.fields, document, typed),
        "source_title": source.title if source else finding.source,
        "source_standing": str(STANDINGS[source.standing]) if source else "",
    }


def finding_cards(
    assessment: Assessment, document: Document, typed: Mapping[str, Any]
) -> list[dict[str, Any]]:
    """Return the flags of an assessment in their stored order: stop, warn, advise."""
    return [finding_card(each, document, typed) for each in assessment.findings.all()]


def imperfection(number: str) -> dict[str, Any]:
    """Return name, ISO 6520-1 group and key in the guide of an imperfection, as pages show it.

    What stands in no group is drawn as one of group 6, other imperfections.
    """
    known = find_imperfection(number)
    return {
        "number": number,
        "name": known.name if known else _("imperfection %(number)s") % {"number": number},
        "group": (known.group if known else "") or 6,
        "kind": known.key if known else "",
    }


def cause_groups(
    assessment: Assessment, document: Document, typed: Mapping[str, Any]
) -> list[dict[str, Any]]:
    """Return the causes by what was seen, for ``{% cause_group %}``."""
    groups: dict[str, dict[str, Any]] = {}
    for cause in assessment.causes:
        number = cause["imperfection"]
        group = groups.setdefault(number, {"imperfection": imperfection(number), "causes": []})
        evidence = _rests_on(cause.get("fields", ()), document, typed)
        group["causes"].append(
            {
                "strength": cause["strength"],
                "evidence": cause["evidence"],
                "coaching": cause["coaching"],
                "evidence_text": ", ".join(f"{label} {value}" for label, value in evidence)
                if cause["evidence"] == "recorded"
                else "",
            }
        )
    return list(groups.values())


def bead_marks(document: Document) -> list[dict[str, Any]]:
    """Return what the student saw, as marks for ``{% bead_strip %}``."""
    return [
        imperfection(seen["number"])
        | {
            "key": key,
            "at_mm": seen.get("at_mm"),
            "length_mm": seen.get("length_mm"),
            "count": seen.get("count"),
            "size_text": with_unit("size_mm", seen["size_mm"])[0] if "size_mm" in seen else "",
        }
        for key, seen in enumerate(document.get("imperfections", ()), start=1)
    ]


@dataclass(frozen=True, slots=True)
class FigureKind:
    """One figure that a page shows against its window."""

    member: str
    name: Any
    figures: int


FIGURES = (
    FigureKind("travel_speed_mm_s", gettext_lazy("Travel speed"), 2),
    FigureKind("arc_energy_kj_mm", gettext_lazy("Arc energy"), 3),
    FigureKind("heat_input_kj_mm", gettext_lazy("Heat input"), 2),
    FigureKind("current_a", gettext_lazy("Current"), 3),
    FigureKind("leg_mm", gettext_lazy("Leg, smaller"), 2),
    FigureKind("gas_flow_l_min", gettext_lazy("Gas flow"), 2),
)
# What follows from the log beside them, shown where it could be worked out.
FURTHER_FIGURES = (
    FigureKind("deposited_area_mm2", gettext_lazy("Metal from the wire"), 3),
    FigureKind("expected_leg_mm", gettext_lazy("Leg that the wire makes"), 2),
    FigureKind("measured_area_mm2", gettext_lazy("Metal in the weld"), 3),
    FigureKind("rod_length_mm", gettext_lazy("Rod that the weld takes"), 2),
    FigureKind("burn_off_mm3_per_a_s", gettext_lazy("Wire melted for each amp"), 2),
    FigureKind("tungsten_heat_share_percent", gettext_lazy("Heat into the tungsten"), 2),
    FigureKind("bulk_rise_upper_bound_k", gettext_lazy("Warming of the coupon, at most"), 2),
    FigureKind("condensation_humidity_percent", gettext_lazy("Humidity that wets the metal"), 2),
)
_HOW = {
    "deposited_area_mm2": gettext_lazy(
        "one run; %(deposition_efficiency)g of the wire stays, common practice"
    ),
    "expected_leg_mm": gettext_lazy("flat, equal legs, all runs"),
    "measured_area_mm2": gettext_lazy("its section, from what was measured"),
    "rod_length_mm": gettext_lazy("without stubs"),
    "burn_off_mm3_per_a_s": gettext_lazy("wire feed × wire area ÷ amps"),
    "tungsten_heat_share_percent": gettext_lazy("a teaching model, not measured"),
    "bulk_rise_upper_bound_k": gettext_lazy("if no heat was lost"),
    "condensation_humidity_percent": gettext_lazy("from how much colder it is than the air"),
}
_METHODS = {
    "energy": gettext_lazy("energy shown over length"),
    "power": gettext_lazy("mean power over speed"),
    "averages": gettext_lazy("volts × amps over speed"),
}


def _smaller_leg(document: Document) -> float | None:
    legs = [document.get("fillet", {}).get(name) for name in ("leg_1_mm", "leg_2_mm")]
    return min((leg for leg in legs if leg is not None), default=None)


def _how(kind: FigureKind, worked_out: Mapping[str, Any], document: Document) -> str:
    """Say how a figure was got."""
    if kind.member == "heat_input_kj_mm" and worked_out.get("thermal_efficiency"):
        return _("arc energy × %(k)g for %(process)s") % {
            "k": worked_out["thermal_efficiency"],
            "process": document.get("process", ""),
        }
    if kind.member == "arc_energy_kj_mm" and worked_out.get("energy_method"):
        return str(_METHODS[worked_out["energy_method"]])
    if kind.member == "travel_speed_mm_s" and "travel_speed_mm_s" not in document:
        return _("length over time")
    return str(_HOW.get(kind.member, "")) % worked_out


def figures(
    worked_out: Mapping[str, Any],
    document: Document,
    windows: Sequence[TargetWindow],
    *,
    shop_first: bool = False,
) -> list[dict[str, Any]]:
    """Return figures for ``{% figure %}``: value in both unit systems, and the exercise's window.

    A figure without a value is shown only where the exercise has a window for it.
    """
    by_member = {each.figure: each for each in windows}
    rows = []
    for kind in FIGURES + FURTHER_FIGURES:
        value = worked_out.get(kind.member, document.get(kind.member))
        if kind.member == "leg_mm":
            value = _smaller_leg(document)
        window = by_member.get(kind.member)
        if value is None and window is None:
            continue
        rows.append(
            _figure(kind, value, window, _how(kind, worked_out, document), shop_first=shop_first)
        )
    return rows


def _figure(
    kind: FigureKind,
    value: float | None,
    window: TargetWindow | None,
    how: str,
    *,
    shop_first: bool,
) -> dict[str, Any]:
    metric, shop = units_of(kind.member)
    first, second = (shop, metric) if shop and shop_first else (metric, shop)

    def written(amount: float, unit: str, figures: int = kind.figures) -> str:
        return significant(in_unit(amount, metric, unit), figures)

    return {
        "name": str(kind.name),
        "how": how,
        "value": value,
        "value_text": "" if value is None else written(value, first),
        "unit": first,
        "other_text": f"{written(value, second)}\u00a0{second}"
        if second and value is not None
        else "",
        "missing": value is None,
        "low": window.low if window else None,
        "high": window.high if window else None,
        "low_text": written(window.low, first, 2) if window else "",
        "high_text": written(window.high, first, 2) if window else "",
    }


def fact_rows(facts: CouponFacts, document: Document) -> list[tuple[str, str]]:
    """Return what was logged, label and value as typed, in the order of the work."""
    rows: list[tuple[str, str]] = []
    if metals := document.get("base_metals"):
        names = [
            "-".join(filter(None, (metal.get("alloy"), metal.get("temper"))))
            + (
                f" {shown('thickness_mm', metal['thickness_mm'])}"
                if "thickness_mm" in metal
                else ""
            )
            for metal in metals
        ]
        rows.append((_("metal"), " + ".join(names)))
    if "filler" in document:
        filler = document["filler"]
        rows.append((_("filler"), filler["designation"] if filler else _("none")))
    for member in LABELS:
        value = value_in(document, member)
        shown_above = member in {"filler", "process", "filler.designation"}
        if isinstance(value, str | int | float) and not shown_above:
            rows.append((label_of(member), shown(member, value, facts.typed)))
    return rows


def cleaning_rows(document: Document, zone: ZoneInfo) -> list[str] | None:
    """Return the cleaning steps in words, in order; None where nobody was asked."""
    if "cleaning" not in document:
        return None
    lines = []
    for step in document["cleaning"]:
        details = [
            words_of(part, step[part])
            for part in ("agent", "tool", "tool_kept_for")
            if part in step
        ]
        at = (
            datetime.fromisoformat(step["at"]).astimezone(zone).strftime("%H:%M")
            if "at" in step
            else ""
        )
        words = words_of("step", step["step"])
        lines.append(", ".join([" ".join(filter(None, (at, words))), *details]))
    return lines


def not_judged(assessment: Assessment) -> list[tuple[str, str]]:
    """Return what could not be judged and what is missing for it, in words.

    Only what the form asks for: a student cannot supply the rest.
    """
    found = []
    for each in assessment.not_assessed:
        missing = [label_of(member) for member in each["missing"] if asked(member)]
        if missing or not each["missing"]:
            found.append((each["what"], ", ".join(dict.fromkeys(missing))))
    return found


def since_last(
    now: Mapping[str, Any], before: Mapping[str, Any] | None, *, shop_first: bool = False
) -> list[tuple[str, str, str]]:
    """Return what the main figures were last time and are now, where both are known and differ."""
    rows = []
    for kind in FIGURES:
        this, last = now.get(kind.member), (before or {}).get(kind.member)
        if isinstance(this, int | float) and isinstance(last, int | float):
            metric, shop = units_of(kind.member)
            unit = shop if shop and shop_first else metric
            before_text, now_text = (
                significant(in_unit(each, metric, unit), kind.figures) for each in (last, this)
            )
            if before_text != now_text:
                rows.append((f"{kind.name}, {unit}", before_text, now_text))
    return rows


def zone_of(coupon: Coupon) -> ZoneInfo:
    """Return the time zone of the coupon's school."""
    return ZoneInfo(coupon.section.term.school.settings.time_zone)


def live_cards(findings: Sequence[Mapping[str, Any]], document: Document) -> list[dict[str, Any]]:
    """Return the stop and warn flags of a review that is not stored, for the logging page."""
    stored = {"rule", "severity", "says", "fields", "source", "values"}
    return [
        finding_card(Finding(**{name: each[name] for name in stored}), document, {})
        for each in findings
        if each["severity"] != "advise"
    ]
