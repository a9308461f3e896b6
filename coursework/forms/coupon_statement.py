"""From the coupon form to what the coupon states: the document for the engine, and the evidence."""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from coursework.choices import NO_FILLER
from coursework.forms.coupon_fields import (
    IMPERFECTION_ROWS,
    NOTHING,
    SEEN_MEMBERS,
    STEP_FIELDS,
    STEPS,
)
from coursework.forms.coupon_members import Member
from coursework.forms.fields import Measure
from coursework.hand_in import Statement
from coursework.models import Exercise
from coursework.models.facts import Document

PLUMBING = {"csrfmiddlewaretoken", "kept_photos", "client_id", "based_on"}


def plain(value: Any) -> Any:
    """Return a measure's number in its base unit, anything else as it is."""
    return value.value if isinstance(value, Measure) else value


def steps_in_order(data: Mapping[str, Any]) -> list[str]:
    """Return the cleaning steps that were numbered, in the order in which they were done."""
    placed = {step: data.get(f"step_{step}_place") for step in STEPS}
    return sorted(
        (step for step, place in placed.items() if place is not None),
        key=lambda step: placed[step] or 0,
    )


@dataclass(frozen=True, slots=True)
class Entry:
    """What was entered on a coupon form, where it could be read.

    Parameters
    ----------
    data : mapping
        The cleaned fields.
    members : iterable of Member
        Those that the exercise asks for.
    day, zone
        The day and time zone that times of day belong to.
    """

    data: Mapping[str, Any]
    members: Iterable[Member]
    exercise: Exercise
    day: date
    zone: ZoneInfo

    def statement(self) -> Statement:
        """Return what the student states, with what was typed as evidence."""
        timed = self.data.get("arc_time_how") == "timed"
        return Statement(
            document=self.document(),
            typed={
                member.path: value.typed
                for member, value in self._values()
                if isinstance(value, Measure)
            },
            timed=timed if self.data.get("arc_time_s") else None,
            reason=self.data.get("reason", ""),
            predicted_level=self.data.get("predicted_level"),
        )

    def document(self) -> Document:
        """Return what the coupon states, as the engine reads it; base units."""
        document = self._measured()
        if self.data.get("filler") == NO_FILLER:
            document["filler"] = None
        elif not self.data.get("filler"):
            document.pop("filler", None)
        steps = steps_in_order(self.data)
        if steps or self.data.get("cleaning_answer") == NOTHING:
            document["cleaning"] = [self._step(step) for step in steps]
        if self.data.get("arc_started_at"):
            document["arc_started_at"] = self._moment(self.data["arc_started_at"])
        seen = list(self._seen())
        if seen or self.data.get("look_answer"):
            document["imperfections"] = seen
        return document

    def _measured(self) -> Document:
        """Return the members that have a field of their own, and what the exercise gives."""
        exercise = self.exercise
        document: Document = {
            name: getattr(exercise, name) for name in ("process", "joint", "weld", "position")
        }
        if exercise.nominal_leg_mm:
            document["fillet"] = {"nominal_leg_mm": exercise.nominal_leg_mm}
        metals: list[Document] = [{}, {}]
        for member, value in self._values():
            member.place(document, metals, plain(value))
        if named := [metal for metal in metals if metal.get("alloy")]:
            document["base_metals"] = named
        return document

    def _values(self) -> Iterator[tuple[Member, Any]]:
        for member in self.members:
            value = self.data.get(member.name)
            if value not in (None, ""):
                yield member, value

    def _moment(self, at: time) -> str:
        return datetime.combine(self.day, at, self.zone).isoformat()

    def _step(self, step: str) -> Document:
        document: Document = {"step": step}
        if at := self.data.get(f"step_{step}_at"):
            document["at"] = self._moment(at)
        parts = {part: self.data.get(f"step_{step}_{part}") for part in STEP_FIELDS.get(step, ())}
        return document | {part: value for part, value in parts.items() if value}

    def _seen(self) -> Iterator[Document]:
        for row in range(1, IMPERFECTION_ROWS + 1):
            if self.data.get(f"seen_{row}_number"):
                found = {m: self.data.get(f"seen_{row}_{part}") for part, m in SEEN_MEMBERS.items()}
                yield {name: plain(value) for name, value in found.items() if value is not None}


def content_hash(typed: Mapping[str, list[str]], exercise: Exercise, photos: list[str]) -> str:
    """Return the hash by which the same hand-in is known when it is sent again.

    Parameters
    ----------
    typed : mapping
        The fields as they were sent.
    photos : list of str
        Names of the stored photos, which are made from their content.
    """
    said = {
        name: values
        for name, values in sorted(typed.items())
        if name not in PLUMBING and any(values)
    }
    text = json.dumps([exercise.pk, said, photos], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()
