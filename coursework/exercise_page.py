"""What both pages for an exercise share: the form, its windows, proposals, and what is said."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from coursework import access, exercises
from coursework.exercises import Asked
from coursework.forms.exercise import ExerciseForm
from coursework.forms.exercise_windows import (
    NO_PROPOSAL,
    PREFIX,
    Proposal,
    WindowRows,
    propose,
    shown,
    with_proposals,
)
from coursework.models import CoursePlan, Exercise

WANTED = ("process", "weld", "thickness_mm")


class ExercisePage:
    """The page of a new exercise, or of one that is there.

    ``asked`` is what was typed, None where the page only shows, proposes or refuses.
    """

    def __init__(
        self, request: HttpRequest, plan: CoursePlan, exercise: Exercise | None = None
    ) -> None:
        self.request, self.plan, self.exercise = request, plan, exercise
        self.settings = access.school_settings(access.person(request))
        self.asked: Asked | None = None
        self.proposals: list[Proposal] = []
        self.said, self.status, self.checked = "", 200, False
        if request.method != "POST":
            self._show(exercises.asked_of(exercise) if exercise else None)
        elif "propose" in request.POST:
            self._propose(request.POST)
        else:
            self._read(request.POST)

    def _forms(self, data: Any = None, **kwargs: Any) -> ExerciseForm:
        user = access.person(self.request)
        own_sets = [each["name"] for each in self.settings.limit_sets]
        found = access.rubrics(user).filter(versions__published_at__isnull=False).distinct()
        return ExerciseForm(data, rubrics=found, own_sets=own_sets, **kwargs)

    def _show(self, asked: Asked | None) -> None:
        self.form = self._forms(asked=asked)
        rows = shown(dict(asked.windows) if asked else {}, metric=self.settings.metric_first)
        self.windows = WindowRows(initial=rows, prefix=PREFIX)

    def _read(self, data: Any) -> None:
        self.form = self._forms(data)
        stored = dict(exercises.asked_of(self.exercise).windows) if self.exercise else {}
        self.windows = windows = WindowRows(data, prefix=PREFIX, stored=stored)
        self.checked = True
        if all([self.form.is_valid(), windows.is_valid()]):
            self.asked = Asked(self.form.columns(), self.windows.windows())
        else:
            self.status = 422

    def _propose(self, data: Any) -> None:
        """Fill the windows in; what else is typed stays as it is and is not judged yet."""
        form = self._forms(data)
        lacking = [str(form.fields[name].label) for name in WANTED if form[name].errors]
        if lacking:
            self.form, self.windows = form, WindowRows(data, prefix=PREFIX)
            self.checked, self.status = True, 422
            return
        process, weld, thickness = (form.cleaned_data[name] for name in WANTED)
        self.proposals = propose(process, weld, thickness.value)
        self.said = "" if self.proposals else str(NO_PROPOSAL)
        filled = with_proposals(data, self.proposals)
        self.form, self.windows = self._forms(filled), WindowRows(filled, prefix=PREFIX)
        for each in (self.form, *self.windows.forms):
            each.judged = False

    def answer(self, *, conflict: str = "") -> HttpResponse:
        """Return the page; with a ``conflict`` nothing was stored."""
        exercise = self.exercise
        logged = exercise.coupons.count() if exercise else 0
        shown_one = exercise if exercise and self.request.method != "POST" else None
        context = {
            "plan": self.plan,
            "exercise": exercise,
            "form": self.form,
            "windows": self.windows,
            "checked": self.checked and not self.asked,
            "proposals": self.proposals,
            "said": self.said,
            "logged": logged,
            "replaces": bool(exercise and exercises.has_coupons(exercise)),
            "based_on": exercises.fingerprint(shown_one)
            if shown_one
            else self.request.POST.get("based_on", ""),
            "conflict": conflict,
        }
        status = 409 if conflict else self.status
        return render(self.request, "coursework/exercise_form.html", context, status=status)
