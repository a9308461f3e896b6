"""The form on which a student logs a coupon, and the document it makes for the engine."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext as _

from coursework.choices import NO_FILLER, WORDS
from coursework.forms.coupon_fields import (
    IMPERFECTION_ROWS,
    MEMBERS,
    STEP_FIELDS,
    STEPS,
    Member,
    imperfection_fields,
    step_fields,
)
from coursework.forms.fields import ClockField, Measure
from coursework.hand_in import Statement
from coursework.models import Coupon, CouponFacts, Exercise
from coursework.models.facts import Document

# Radios that are drawn as joined cells, a thumb wide.
CELLS = {
    "cleaning_answer": "forms/cells.html",
    "look_answer": "forms/cells.html",
    "predicted_level": "forms/level_cells.html",
}
ANSWERED = "done"
NOTHING = "none"


@dataclass(frozen=True, slots=True)
class StepRow:
    """The fields of one cleaning step, for the template."""

    words: str
    place: forms.BoundField
    time: forms.BoundField
    details: list[forms.BoundField]


class CouponForm(forms.Form):
    """Everything a coupon may state, in the order of the work.

    Parameters
    ----------
    exercise : Exercise
        Process, joint and position come from it.
    day : date
        The day that times of day belong to.
    zone : ZoneInfo
        Time zone of the school.
    metric : bool
        Whether millimeters are chosen at first.
    last : CouponFacts or None
        The student's last coupon, from which facts that stay the same are carried over.
    last_number : int
        Its number, for the note beside the field.
    live : bool
        Read what can be read, ask for nothing: for the figures beside the form.
    """

    kept_note = ""
    kept_count = 0

    client_id = forms.UUIDField(widget=forms.HiddenInput)
    based_on = forms.IntegerField(widget=forms.HiddenInput, required=False)
    arc_time_how = forms.CharField(widget=forms.HiddenInput, required=False)
    kept_photos = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(
        self,
        *args: Any,
        exercise: Exercise,
        day: date,
        zone: ZoneInfo,
        metric: bool = False,
        last: CouponFacts | None = None,
        last_number: int = 0,
        live: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.exercise, self.day, self.zone, self.live = exercise, day, zone, live
        self.members = {each.name: each for each in MEMBERS if each.applies(exercise)}
        carried = last.document() if last else {}
        for member in self.members.values():
            self.fields[member.name] = member.field(exercise, metric)
            self._prefill(member, carried, last_number)
        self.fields["cleaning_answer"] = forms.ChoiceField(
            label=_("Cleaning"),
            choices=[
                (ANSWERED, _("I cleaned it: the steps are below")),
                (NOTHING, _("Nothing cleaned")),
            ],
            widget=forms.RadioSelect,
            required=False,
        )
        for step in STEPS:
            self.fields.update(step_fields(step))
        self.fields["arc_started_at"] = ClockField(
            label=_("Arc started at"), help_text=_("Time of day, such as 10:49.")
        )
        for row in range(1, IMPERFECTION_ROWS + 1):
            self.fields.update(imperfection_fields(row, metric))
        self.fields["look_answer"] = forms.ChoiceField(
            label=_("What do you see?"),
            choices=[(NOTHING, _("Nothing to see")), (ANSWERED, _("What I saw is below"))],
            widget=forms.RadioSelect,
            required=False,
        )
        self.fields["predicted_level"] = forms.TypedChoiceField(
            label=_("What will your instructor give this one?"),
            help_text=_("Does not count. You will see both side by side."),
            choices=[
                ("1", _("not yet")),
                ("2", _("getting there")),
                ("3", _("meets it")),
                ("4", _("every time")),
            ],
            widget=forms.RadioSelect,
            coerce=int,
            empty_value=None,
            required=False,
        )
        for name, template in CELLS.items():
            self.fields[name].widget.template_name = template
        self.fields["reason"] = forms.CharField(
            label=_("Something odd about a value?"),
            help_text=_("An unusual value is saved as it is. Say why, if you know."),
            widget=forms.Textarea(attrs={"rows": 2}),
            max_length=1000,
            required=False,
        )

    def _prefill(self, member: Member, carried: Document, last_number: int) -> None:
        """Show what stays the same from one coupon to the next, marked as carried over."""
        field = self.fields[member.name]
        if member.name in self.initial:
            return
        if member.carry and (value := member.value_in(carried)) is not None:
            self.initial[member.name] = value
            field.carried = _("from coupon %(number)s") % {"number": last_number}
        elif member.target and (value := getattr(self.exercise, member.target)) not in ("", None):
            self.initial[member.name] = value
            field.carried = _("from the exercise")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.live:
            self._ask_for_answers(data)
        self._check_steps(data)
        self._check_imperfections(data)
        return data

    def _ask_for_answers(self, data: dict[str, Any]) -> None:
        """A hand-in states both: how it was cleaned, and with which filler it was welded."""
        if "filler" not in self.errors and not data.get("filler"):
            self.add_error("filler", _("Choose the filler, or “No filler” if you used none."))
        answer = data.get("cleaning_answer")
        if not answer and not self._steps(data):
            self.add_error(
                "cleaning_answer", _("Say how you cleaned it, or choose “Nothing cleaned”.")
            )
        if answer == ANSWERED and not self._steps(data) and not self._step_errors():
            self.add_error(
                "cleaning_answer",
                _("Number the steps in the order you did them, or choose “Nothing cleaned”."),
            )
        if answer == NOTHING and self._steps(data):
            self.add_error(
                "cleaning_answer",
                _("Steps are numbered below. Clear them, or choose “I cleaned it”."),
            )

    def _step_errors(self) -> bool:
        return any(
            f"step_{step}_{part}" in self.errors for step in STEPS for part in ("place", "at")
        )

    def _check_steps(self, data: dict[str, Any]) -> None:
        """Two steps cannot have the same place; a time without a place has no place in the order."""
        taken: dict[int, str] = {}
        for step in STEPS:
            name = f"step_{step}_place"
            place = data.get(name)
            if place in taken:
                self.add_error(name, _("Two steps have number %(place)s.") % {"place": place})
            elif place is not None:
                taken[place] = step
            elif data.get(f"step_{step}_at") and name not in self.errors:
                self.add_error(
                    name, _("Give this step its number in the order, or clear its time.")
                )

    def _check_imperfections(self, data: dict[str, Any]) -> None:
        for row in range(1, IMPERFECTION_ROWS + 1):
            rest = [data.get(f"seen_{row}_{part}") for part in ("count", "size", "at", "length")]
            if any(value is not None for value in rest) and not data.get(f"seen_{row}_number"):
                self.add_error(f"seen_{row}_number", _("Choose what it is, or clear the row."))
            elif data.get(f"seen_{row}_number") and data.get("look_answer") == NOTHING:
                self.add_error(
                    "look_answer", _("Something is listed below. Clear it, or choose “What I saw”.")
                )
                return

    def _steps(self, data: dict[str, Any]) -> list[str]:
        """Return the steps that were numbered, in the order in which they were done."""
        placed = {step: data.get(f"step_{step}_place") for step in STEPS}
        return sorted(
            (s for s, place in placed.items() if place is not None), key=lambda s: placed[s] or 0
        )

    def _moment(self, at: time) -> str:
        return datetime.combine(self.day, at, self.zone).isoformat()

    def _values(self) -> Iterator[tuple[Member, Any]]:
        for member in self.members.values():
            value = self.cleaned_data.get(member.name)
            if value not in (None, ""):
                yield member, value

    def document(self) -> Document:
        """Return what the coupon states, as the engine reads it; base units."""
        data = self.cleaned_data
        document: Document = {
            "process": self.exercise.process,
            "joint": self.exercise.joint,
            "weld": self.exercise.weld,
            "position": self.exercise.position,
        }
        metals: list[Document] = [{}, {}]
        for member, value in self._values():
            plain = value.value if isinstance(value, Measure) else value
            member.place(document, metals, plain)
        document["base_metals"] = [metal for metal in metals if metal.get("alloy")] or None
        if data.get("filler") == NO_FILLER:
            document["filler"] = None
        elif not data.get("filler"):
            document.pop("filler", None)
        if self.exercise.nominal_leg_mm:
            document.setdefault("fillet", {})["nominal_leg_mm"] = self.exercise.nominal_leg_mm
        if data.get("cleaning_answer") == NOTHING or self._steps(data):
            document["cleaning"] = [self._step_document(step) for step in self._steps(data)]
        if data.get("arc_started_at"):
            document["arc_started_at"] = self._moment(data["arc_started_at"])
        seen = list(self._seen())
        if seen or data.get("look_answer"):
            document["imperfections"] = seen
        if document["base_metals"] is None:
            del document["base_metals"]
        return document

    def _step_document(self, step: str) -> Document:
        data = self.cleaned_data
        document: Document = {"step": step}
        if at := data.get(f"step_{step}_at"):
            document["at"] = self._moment(at)
        for part in STEP_FIELDS.get(step, ()):
            if value := data.get(f"step_{step}_{part}"):
                document[part] = value
        return document

    def _seen(self) -> Iterator[Document]:
        names = {"size": "size_mm", "at": "at_mm", "length": "length_mm", "count": "count"}
        for row in range(1, IMPERFECTION_ROWS + 1):
            number = self.cleaned_data.get(f"seen_{row}_number")
            if number:
                found = {"number": number}
                for part, member in names.items():
                    value = self.cleaned_data.get(f"seen_{row}_{part}")
                    if value is not None:
                        found[member] = value.value if isinstance(value, Measure) else value
                yield found

    def refuse_other_content(self) -> None:
        """Say that this entry was already handed in and now says something else."""
        self.add_error(
            None,
            _(
                "This entry was handed in already, and what you send now is different. Open the "
                "coupon to correct it, or start a new entry for a new coupon."
            ),
        )

    def refuse_stale(self, coupon: Coupon) -> None:
        """Say that the coupon was changed since this form was opened."""
        self.add_error(
            None,
            _("This coupon is now %(state)s, so the correction was not saved. Open it to see why.")
            % {"state": coupon.get_state_display()}
            if not coupon.is_open
            else _(
                "This coupon was corrected somewhere else since you opened this page. Open it again, then correct it."
            ),
        )

    def statement(self) -> Statement:
        """Return what the student states, with what was typed as evidence."""
        return Statement(
            document=self.document(),
            typed={
                member.path: value.typed
                for member, value in self._values()
                if isinstance(value, Measure)
            },
            timed=self.cleaned_data.get("arc_time_how") == "timed"
            if self.cleaned_data.get("arc_time_s")
            else None,
            reason=self.cleaned_data.get("reason", ""),
            predicted_level=self.cleaned_data.get("predicted_level"),
        )

    def content_hash(self, photo_names: list[str]) -> str:
        """Return the hash by which the same hand-in is known when it is sent again."""
        plumbing = {"csrfmiddlewaretoken", "kept_photos", "client_id", "based_on"}
        typed = {
            name: values
            for name, values in sorted(dict(self.data.lists()).items())
            if name not in plumbing and any(values)
        }
        text = json.dumps([self.exercise.pk, typed, photo_names], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()

    # What the template walks through, in the order of the work.

    def part(self, name: str) -> list[forms.BoundField]:
        """Return the fields of one part of the form."""
        return [self[each.name] for each in self.members.values() if each.part == name]

    metal = property(lambda self: self.part("metal"))
    more_metal = property(lambda self: self.part("more_metal"))
    set_up = property(lambda self: self.part("set_up"))
    more_set_up = property(lambda self: self.part("more_set_up"))
    weld = property(lambda self: self.part("weld"))
    more_weld = property(lambda self: self.part("more_weld"))
    size = property(lambda self: self.part("size"))
    more_metal_open = property(lambda self: self.has_something("more_metal"))
    more_set_up_open = property(lambda self: self.has_something("more_set_up"))
    more_weld_open = property(lambda self: self.has_something("more_weld"))

    def has_something(self, part: str) -> bool:
        """Whether a folded part holds an error or an answer, so that it must not be folded."""
        return any(field.errors or _answered(field) for field in self.part(part))

    @property
    def steps(self) -> list[StepRow]:
        return [
            StepRow(
                str(WORDS["step"][step]),
                self[f"step_{step}_place"],
                self[f"step_{step}_at"],
                [self[f"step_{step}_{part}"] for part in STEP_FIELDS.get(step, ())],
            )
            for step in STEPS
        ]

    @property
    def seen(self) -> list[dict[str, Any]]:
        parts = ("number", "count", "size", "at", "length")
        rows = [
            [self[f"seen_{row}_{part}"] for part in parts]
            for row in range(1, IMPERFECTION_ROWS + 1)
        ]
        return [
            {"fields": row, "open": any(each.errors or _answered(each) for each in row)}
            for row in rows
        ]


def _answered(field: forms.BoundField) -> bool:
    """Whether a field shows more than its first unit or its blank choice."""
    value = field.value()
    if isinstance(value, Measure):
        return bool(value.text)
    return bool(value[0]) if isinstance(value, list) else value not in (None, "")


def initial_from(coupon: Coupon, zone: ZoneInfo) -> dict[str, Any]:
    """Return what a correction form shows at first: what the coupon states, as it was typed."""
    facts = coupon.facts
    if facts is None:
        return {}
    document = facts.document()
    initial: dict[str, Any] = {
        "client_id": coupon.client_id,
        "based_on": coupon.version,
        "reason": facts.reason,
        "predicted_level": coupon.predicted_level,
        "arc_time_how": "timed" if facts.arc_time_timed else "",
    }
    for member in MEMBERS:
        value = member.value_in(document)
        if value is not None:
            typed = facts.typed.get(member.path)
            initial[member.name] = Measure(value, typed["text"], _unit(typed)) if typed else value
    initial["filler"] = initial.get("filler") or (NO_FILLER if "filler" in document else "")
    if "cleaning" in document:
        initial["cleaning_answer"] = ANSWERED if document["cleaning"] else NOTHING
    for place, step in enumerate(document.get("cleaning", ()), start=1):
        initial[f"step_{step['step']}_place"] = place
        if "at" in step:
            initial[f"step_{step['step']}_at"] = _clock(step["at"], zone)
        for part in STEP_FIELDS.get(step["step"], ()):
            initial[f"step_{step['step']}_{part}"] = step.get(part)
    if "arc_started_at" in document:
        initial["arc_started_at"] = _clock(document["arc_started_at"], zone)
    if "imperfections" in document:
        initial["look_answer"] = ANSWERED if document["imperfections"] else NOTHING
    for row, seen in enumerate(document.get("imperfections", ()), start=1):
        parts = {
            "number": "number",
            "count": "count",
            "size": "size_mm",
            "at": "at_mm",
            "length": "length_mm",
        }
        initial |= {f"seen_{row}_{part}": seen.get(member) for part, member in parts.items()}
    return initial


def _unit(typed: dict[str, str]) -> str:
    """Return the unit to choose for what was typed; minutes and seconds are typed under seconds."""
    return "s" if typed.get("unit") == "min:s" else typed.get("unit", "")


def _clock(moment: str, zone: ZoneInfo) -> str:
    return datetime.fromisoformat(moment).astimezone(zone).strftime("%H:%M:%S").removesuffix(":00")
