"""The rows of a rubric as a form: one level for each criterion, or that it does not apply."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from coursework import scoring
from coursework.models import Criterion

KEPT = scoring.PASSES
LEFT_OUT = 0


def row_name(criterion: Criterion) -> str:
    """Return the name of the form field that holds the level of a criterion."""
    return f"score_{criterion.key}"


class RubricRowsForm(forms.Form):
    """Scores of one coupon; further fields come after the rows.

    Parameters
    ----------
    criteria : iterable of Criterion
        Those that apply to the coupon, with their levels at hand.
    """

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        criteria: Iterable[Criterion],
        initial: Mapping[str, Any] | None = None,
    ) -> None:
        self.criteria = list(criteria)
        super().__init__(data, initial=dict(initial or {}))
        rows = {row_name(each): _row_field(each) for each in self.criteria}
        self.fields = rows | self.fields

    def scores(self) -> dict[str, int]:
        """Return the levels given so far, by the key of the criterion."""
        levels = {each.key: self[row_name(each)].value() for each in self.criteria}
        return {key: int(level) for key, level in levels.items() if str(level) in {*"1234"}}

    def left_out(self) -> set[str]:
        """Return the keys of the criteria that are said not to apply."""
        return {
            each.key
            for each in self.criteria
            if not each.gate and str(self[row_name(each)].value()) == str(LEFT_OUT)
        }

    def all_answered(self) -> bool:
        """Return whether every row has a level or is left out; after validation."""
        return all(row_name(each) in self.cleaned_data for each in self.criteria)

    def rows(self) -> list[dict[str, Any]]:
        """Return the criteria for ``{% rubric_row %}``."""
        return [self._row(each) for each in self.criteria]

    def _row(self, criterion: Criterion) -> dict[str, Any]:
        field = self[row_name(criterion)]
        return {
            "name": criterion.title,
            "html_name": field.html_name,
            "weight": _("weight %(weight)g") % {"weight": criterion.weight},
            "gate": criterion.gate,
            "chosen": field.value(),
            "error": " ".join(str(each) for each in field.errors),
            "levels": _cells(criterion),
        }


def _cells(criterion: Criterion) -> list[tuple[int, str, str]]:
    words = {each.digit: each.words for each in criterion.levels.all()}
    return cells(words, gate=criterion.gate)


def cells(words: Mapping[int, str], *, gate: bool) -> list[tuple[int, str, str]]:
    """Return value, heading and words of each cell of a row, the worst first; a heading begins
    with the digits that choose it. A gate is kept or it is not.

    Parameters
    ----------
    words : mapping of int to str
        What each level looks like.
    """
    if gate:
        return [
            (scoring.NOT_KEPT, _("1 Not kept"), words.get(scoring.NOT_KEPT, "")),
            (KEPT, _("2–4 Kept"), words.get(KEPT, "")),
        ]
    levels = [(digit, str(digit), text) for digit, text in sorted(words.items())]
    return [*levels, (LEFT_OUT, "", _("Does not apply"))]


def _row_field(criterion: Criterion) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        label=criterion.title,
        choices=[(value, heading) for value, heading, _words in _cells(criterion)],
        coerce=int,
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Say whether it was kept.") if criterion.gate else _("Choose a level."),
            "invalid_choice": _("Choose one of the levels shown."),
        },
    )
