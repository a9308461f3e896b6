"""The rubric of a second grading: the rows, and words to the other grader."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework import scoring
from coursework.forms.rubric_rows import RubricRowsForm


class SecondLookForm(RubricRowsForm):
    """Scores of a coupon that somebody else has graded; nothing of that grade is in it."""

    comment = forms.CharField(
        label=gettext_lazy("Words to the other grader"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def clean(self) -> dict[str, Any]:
        """Refuse a rubric of which every row that has a weight is left out."""
        cleaned = super().clean() or {}
        if self.all_answered() and scoring.preview(self.scores(), self.criteria) is None:
            self.add_error(None, _("Score at least one row that has a weight."))
        return cleaned
