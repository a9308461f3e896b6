"""The form on which a student logs a coupon, in the order of the work."""

from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.forms.coupon_fields import (
    ANSWERED,
    IMPERFECTION_ROWS,
    NOTHING,
    STEPS,
    answer_fields,
    imperfection_fields,
    step_fields,
)
from coursework.forms.coupon_layout import CouponLayout
from coursework.forms.coupon_members import MEMBERS, Member
from coursework.forms.coupon_statement import Entry, steps_in_order
from coursework.models import Coupon, Exercise
from coursework.models.facts import Document


class CouponForm(CouponLayout):
    """Everything a coupon may state.

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
    last : dict
        The last coupon of this exercise (``exercise``) and of this process (``machine``), from
        which facts that stay the same are carried over.
    live : bool
        Read what can be read, ask for nothing: for the figures beside the form.
    """

    kept_note = ""
    kept_count = 0

    client_id = forms.UUIDField(widget=forms.HiddenInput)
    based_on = forms.IntegerField(widget=forms.HiddenInput, required=False)
    photos = forms.Field(
        label=gettext_lazy("Photos"), widget=forms.FileInput, required=False, disabled=True
    )
    arc_time_how = forms.CharField(widget=forms.HiddenInput, required=False)
    kept_photos = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(
        self,
        *args: Any,
        exercise: Exercise,
        day: date,
        zone: ZoneInfo,
        metric: bool = False,
        last: dict[str, Coupon] | None = None,
        live: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.exercise, self.day, self.zone, self.live = exercise, day, zone, live
        self.members = {each.name: each for each in MEMBERS if each.applies(exercise)}
        carried = {
            kind: (coupon.number, coupon.facts.document())
            for kind, coupon in (last or {}).items()
            if coupon.facts
        }
        for member in self.members.values():
            self.fields[member.name] = member.make(metric)
            self._prefill(member, *carried.get(member.carry, (0, {})))
        for step in STEPS:
            self.fields.update(step_fields(step))
        for row in range(1, IMPERFECTION_ROWS + 1):
            self.fields.update(imperfection_fields(row))
        self.fields.update(answer_fields())

    def _prefill(self, member: Member, number: int, carried: Document) -> None:
        """Show what stays the same from one coupon to the next, marked as carried over."""
        if member.name in self.initial:
            return
        note = ""
        if (value := member.value_in(carried)) is not None:
            note = _("from coupon %(number)s") % {"number": number}
        elif member.target and (value := getattr(self.exercise, member.target)) not in ("", None):
            note = _("from the exercise")
        if note:
            self.initial[member.name] = value
        if note and self._still_shows(member.name, value):
            # Not a setting of Django's fields: `forms/field.html` shows it.
            vars(self.fields[member.name])["carried"] = note

    def _still_shows(self, name: str, value: Any) -> bool:
        """Whether a form that was sent still holds the value that was carried over."""
        shown = f"{value:g}" if isinstance(value, int | float) else str(value)
        return not self.is_bound or self.data.get(name) == shown

    def entry(self) -> Entry:
        """Return what was entered, as far as it could be read."""
        return Entry(self.cleaned_data, self.members.values(), self.exercise, self.day, self.zone)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.live:
            self._ask_for_filler(data)
            self._ask_for_cleaning(data)
        self._check_steps(data)
        self._check_seen(data)
        return data

    def _ask_for_filler(self, data: dict[str, Any]) -> None:
        if "filler" not in self.errors and not data.get("filler"):
            self.add_error("filler", _("Choose the filler, or “No filler” if you used none."))

    def _ask_for_cleaning(self, data: dict[str, Any]) -> None:
        answer, steps = data.get("cleaning_answer"), steps_in_order(data)
        unread = any(name.startswith("step_") for name in self.errors)
        error = ""
        if not answer and not steps and not unread:
            error = _("Say how you cleaned it, or choose “Nothing cleaned”.")
        elif answer == ANSWERED and not steps and not unread:
            error = _("Number the steps in the order you did them, or choose “Nothing cleaned”.")
        elif answer == NOTHING and steps:
            error = _("Steps are numbered below. Clear them, or choose “I cleaned it”.")
        if error:
            self.add_error("cleaning_answer", error)

    def _check_steps(self, data: dict[str, Any]) -> None:
        """Two steps cannot have one place, and a time alone has no place in the order."""
        taken: set[int] = set()
        for name in (f"step_{step}_place" for step in STEPS):
            place = data.get(name)
            if place in taken:
                self.add_error(name, _("Two steps have number %(place)s.") % {"place": place})
            elif place is not None:
                taken.add(place)
            elif data.get(name.replace("_place", "_at")) and name not in self.errors:
                self.add_error(
                    name, _("Give this step its number in the order, or clear its time.")
                )

    def _check_seen(self, data: dict[str, Any]) -> None:
        named = False
        for row in range(1, IMPERFECTION_ROWS + 1):
            rest = [data.get(f"seen_{row}_{part}") for part in ("count", "size", "at", "length")]
            number = data.get(f"seen_{row}_number")
            named = named or bool(number)
            if not number and any(value is not None for value in rest):
                self.add_error(f"seen_{row}_number", _("Choose what it is, or clear the row."))
        if named and data.get("look_answer") == NOTHING:
            self.add_error(
                "look_answer", _("Something is listed below. Clear it, or choose “What I saw”.")
            )

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
        if coupon.is_open:
            said = _(
                "This coupon was corrected somewhere else since you opened this page. Open it "
                "again, then correct it."
            )
        else:
            said = _(
                "This coupon is now %(state)s, so the correction was not saved. Open it to see why."
            ) % {"state": coupon.get_state_display()}
        self.add_error(None, said)
