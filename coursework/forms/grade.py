"""The rubric as a form: one level for each criterion, the words to the student, the decision."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework import scoring
from coursework.check_tests import Seen, is_asked
from coursework.forms.fields import MeasureField
from coursework.forms.rubric_rows import KEPT, RubricRowsForm, row_name
from coursework.models import Coupon, Criterion, Grade, Phrase, Score

PASSED, FAILED = "passed", "failed"


class GradeForm(RubricRowsForm):
    """Scores, comment and decision for one coupon.

    Parameters
    ----------
    criteria : iterable of Criterion
        Those that apply to the coupon, with their levels at hand.
    coupon : Coupon
        With ``grade`` and its scores at hand where it has one: then this grades it again.
    """

    comment = forms.CharField(
        label=gettext_lazy("Words to the student"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    reason = forms.CharField(
        label=gettext_lazy("Why it is graded again"),
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": gettext_lazy("Say why. The first grade stays on file.")},
    )
    phrases = forms.ModelMultipleChoiceField(
        label=gettext_lazy("Phrases of yours, added to the words"),
        queryset=Phrase.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": gettext_lazy("This phrase is gone; choose another.")},
    )
    keep_phrase = forms.BooleanField(
        label=gettext_lazy("Keep these words as a phrase"), required=False
    )
    repeat = forms.CharField(
        label=gettext_lazy("What to repeat"),
        required=False,
        max_length=200,
        help_text=gettext_lazy("For a coupon that you return."),
    )
    check_result = forms.ChoiceField(
        label=gettext_lazy("Check test"),
        choices=[
            ("", gettext_lazy("not tested now")),
            (PASSED, gettext_lazy("passed")),
            (FAILED, gettext_lazy("failed")),
        ],
        required=False,
        widget=forms.RadioSelect,
    )
    check_opening = MeasureField("length", label=gettext_lazy("Largest opening"), unit="mm")
    check_note = forms.CharField(
        label=gettext_lazy("What the test showed"), required=False, max_length=300
    )
    hold = forms.BooleanField(
        label=gettext_lazy("Hold it, to be released with others"), required=False
    )
    decision = forms.ChoiceField(
        label=gettext_lazy("Decision"),
        choices=Grade.Decision.choices,
        error_messages={"required": gettext_lazy("Accept the coupon or return it.")},
    )

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        criteria: Iterable[Criterion],
        coupon: Coupon,
        phrases: QuerySet[Phrase] | None = None,
        held: bool = False,
    ) -> None:
        given = {"hold": held or coupon.state == Coupon.State.HELD} | _initial(coupon.grade)
        super().__init__(data, criteria=criteria, initial=given)
        choices = self.fields["phrases"]
        assert isinstance(choices, forms.ModelMultipleChoiceField)  # noqa: S101 -- as declared
        choices.queryset = Phrase.objects.none() if phrases is None else phrases
        self.fields["check_result"].widget.template_name = "forms/cells.html"
        self._drop(coupon)

    def _drop(self, coupon: Coupon) -> None:
        """Take out what this coupon does not ask for."""
        unasked = ["hold"] * coupon.is_graded + ["reason"] * (not coupon.has_grade)
        if not is_asked(coupon.exercise):
            unasked += ["check_result", "check_opening", "check_note"]
        for name in unasked:
            del self.fields[name]

    @property
    def based_on(self) -> int | None:
        """The version of the coupon that was looked at; None where the form does not say."""
        text = str(self.data.get("based_on", ""))
        return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None

    def words(self) -> str:
        """Return the words to the student: those typed, then the phrases that were chosen."""
        typed = self.data.get("comment", "").strip()
        return " ".join([typed, *(each.text for each in self.chosen_phrases())]).strip()

    def chosen_phrases(self) -> list[Phrase]:
        """Return the phrases that were ticked; one that is gone counts for nothing."""
        field = self.fields["phrases"]
        try:
            return list(field.clean(self["phrases"].value() or ()))
        except forms.ValidationError:
            return []

    def check_seen(self) -> Seen | None:
        """Return what the check test showed, None where none was made now."""
        said = self.cleaned_data
        if not said.get("check_result"):
            return None
        opening = said.get("check_opening")
        return Seen(
            passed=said["check_result"] == PASSED,
            largest_opening_mm=opening.value if opening else None,
            note=said["check_note"],
        )

    def given(self) -> dict[str, Any]:
        """Return what was sent, read but not judged."""
        return {
            "based_on": self.based_on,
            "scores": self.scores(),
            "decision": self.data.get("decision", ""),
            "comment": self.words(),
        }

    def clean(self) -> dict[str, Any]:
        """Refuse to accept what does not pass."""
        cleaned = super().clean() or {}
        if cleaned.get("decision") == Grade.Decision.RETURNED and not cleaned.get("repeat"):
            self.add_error("repeat", _("Say what to repeat on the next coupon."))
        outcome = scoring.preview(self.scores(), self.criteria)
        if outcome is None and self.all_answered():
            self.add_error("decision", _("Score at least one row that has a weight."))
        wants_to_accept = cleaned.get("decision") == Grade.Decision.ACCEPTED
        if wants_to_accept and self.all_answered() and outcome and not outcome.passes:
            self.add_error("decision", self._does_not_pass(outcome))
        return cleaned

    def _does_not_pass(self, outcome: scoring.Outcome) -> str:
        """Say which rows keep a coupon from passing, and what can be done."""
        scores = self.scores()
        if outcome.capped_by:
            rows = outcome.capped_by
        else:
            low = [each for each in self.criteria if scores.get(each.key, KEPT) < scoring.PASSES]
            rows = ", ".join(each.title for each in low)
        return _(
            "This makes level %(level)s, and %(passes)s passes. Return the coupon, or look again "
            "at: %(rows)s."
        ) % {"level": outcome.level, "passes": scoring.PASSES, "rows": rows}


def _initial(grade: Grade | None) -> dict[str, Any]:
    """Return what the coupon was given before, to start a second grading from."""
    if grade is None:
        return {}
    given = {row_name(each.criterion): _shown_level(each) for each in grade.scores.all()}
    return given | {"comment": grade.comment, "repeat": grade.repeat}


def _shown_level(score: Score) -> int:
    """Return the cell that shows a score: a gate has two alone."""
    return KEPT if score.criterion.gate and score.level > scoring.NOT_KEPT else score.level
