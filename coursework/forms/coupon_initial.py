"""What the form for a correction shows at first: what the coupon states, as it was typed."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from coursework.choices import NO_FILLER
from coursework.forms.coupon_fields import ANSWERED, NOTHING, SEEN_MEMBERS, STEP_FIELDS
from coursework.forms.coupon_members import MEMBERS
from coursework.forms.fields import Measure
from coursework.models import Coupon, CouponFacts
from coursework.models.facts import Document


def initial_from(coupon: Coupon, zone: ZoneInfo) -> dict[str, Any]:
    """Return the first values of every field of the form.

    Parameters
    ----------
    coupon : Coupon
        With its facts at hand.
    zone : ZoneInfo
        The time zone of the school, in which times of day are shown.
    """
    facts = coupon.facts
    if facts is None:
        return {}
    document = facts.document()
    return {
        "client_id": coupon.client_id,
        "based_on": coupon.version,
        "reason": facts.reason,
        "predicted_level": coupon.predicted_level,
        "arc_time_how": "timed" if facts.arc_time_timed else "",
        **_members(facts, document),
        **_cleaning(document, zone),
        **_seen(document),
    }


def _members(facts: CouponFacts, document: Document) -> dict[str, Any]:
    initial: dict[str, Any] = {}
    for member in MEMBERS:
        value = member.value_in(document)
        if value is not None:
            typed = facts.typed.get(member.path)
            initial[member.name] = Measure(value, typed["text"], _unit(typed)) if typed else value
    if "filler" in document and document["filler"] is None:
        initial["filler"] = NO_FILLER
    return initial


def _unit(typed: dict[str, str]) -> str:
    """Return the unit to choose for what was typed; minutes and seconds stand under seconds."""
    return "s" if typed.get("unit") == "min:s" else typed.get("unit", "")


def _cleaning(document: Document, zone: ZoneInfo) -> dict[str, Any]:
    initial: dict[str, Any] = {}
    if "cleaning" in document:
        initial["cleaning_answer"] = ANSWERED if document["cleaning"] else NOTHING
    for place, step in enumerate(document.get("cleaning", ()), start=1):
        name = f"step_{step['step']}"
        initial |= {f"{name}_place": place, f"{name}_at": _clock(step.get("at"), zone)}
        initial |= {f"{name}_{part}": step.get(part) for part in STEP_FIELDS.get(step["step"], ())}
    return initial | {"arc_started_at": _clock(document.get("arc_started_at"), zone)}


def _seen(document: Document) -> dict[str, Any]:
    initial: dict[str, Any] = {}
    if "imperfections" in document:
        initial["look_answer"] = ANSWERED if document["imperfections"] else NOTHING
    for row, seen in enumerate(document.get("imperfections", ()), start=1):
        initial |= {f"seen_{row}_{part}": seen.get(name) for part, name in SEEN_MEMBERS.items()}
    return initial


def _clock(moment: str | None, zone: ZoneInfo) -> str:
    """Return the time of day, without seconds where there are none."""
    if moment is None:
        return ""
    at = datetime.fromisoformat(moment).astimezone(zone)
    return at.strftime("%H:%M:%S").removesuffix(":00")
