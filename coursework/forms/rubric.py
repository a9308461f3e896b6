"""The forms of a rubric: its title to start with, then a row for each criterion."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.forms.fields import NumberField
from coursework.forms.rubric_rows import cells
from coursework.models import Criterion, Level, Rubric
from coursework.rubrics import Row, shares

PREFIX: Final = "row"
MOST_ROWS: Final = 20
FIRST_ROWS: Final = 3
DIGITS: Final = (1, 2, 3, 4)
# Of a gate only these are shown when it is scored: kept, or not.
OF_A_GATE: Final = (1, 3)
FIELDS: Final = ("key", "title", "weight", "gate", "check_test", *(f"level_{n}" for n in DIGITS))

type Typed = dict[str, Any]


class RubricTitleForm(forms.Form):
    """A title that no other rubric of the school has."""

    title = forms.CharField(label=gettext_lazy("Title"), max_length=120)

    def __init__(self, *args: Any, others: QuerySet[Rubric], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.others = others

    def clean_title(self) -> str:
        title: str = self.cleaned_data["title"]
        if self.others.filter(title=title).exists():
            raise ValidationError(_("There is a rubric of this title already."), "taken")
        return title


class RubricStartForm(RubricTitleForm):
    """The title of a new rubric, and the one whose rows it starts from."""

    like = forms.ModelChoiceField(
        label=gettext_lazy("Start from the rows of"),
        queryset=Rubric.objects.none(),
        required=False,
        empty_label=gettext_lazy("none: begin with empty rows"),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["like"].queryset = self.others  # type: ignore[attr-defined]


class CriterionForm(forms.Form):
    """One row; its labels carry its place, so that a list of errors can be read."""

    key = forms.SlugField(required=False, max_length=40, widget=forms.HiddenInput)
    title = forms.CharField(max_length=Criterion._meta.get_field("title").max_length)
    weight = NumberField(above_zero=True)
    gate = forms.BooleanField(required=False)
    check_test = forms.BooleanField(required=False)

    def __init__(self, *args: Any, place: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.place = place
        for digit in DIGITS:
            self.fields[f"level_{digit}"] = forms.CharField(
                required=False,
                max_length=Level._meta.get_field("words").max_length,
                widget=forms.Textarea(attrs={"rows": 3}),
            )
        for name, label in self._labels().items():
            self.fields[name].label = _("Row %(place)d, %(label)s") % {
                "place": place,
                "label": label[:1].lower() + label[1:],
            }
            self.fields[name].short_label = label  # type: ignore[attr-defined]

    def _labels(self) -> dict[str, str]:
        return {
            "title": _("Title"),
            "weight": _("Weight"),
            "gate": _("Must be kept: if it is not, the coupon ends at level 1"),
            "check_test": _("Scored only with a check test"),
            **{f"level_{digit}": _("Level %d") % digit for digit in DIGITS},
        }

    def clean_weight(self) -> float | None:
        weight: float | None = self.cleaned_data["weight"]
        if weight is not None and not 0.01 <= weight <= 100:
            raise ValidationError(_("Type a weight from 0.01 to 100."), "weight")
        return weight

    def clean(self) -> Typed:
        data = super().clean() or self.cleaned_data
        if data.get("gate") and data.get("weight"):
            self.add_error("weight", _("A row that must be kept has no weight: clear it."))
        if not data.get("gate") and "weight" in data and not data["weight"]:
            self.add_error("weight", _("Type a weight, or say that the row must be kept."))
        for digit in OF_A_GATE if data.get("gate") else DIGITS:
            if f"level_{digit}" in data and not data[f"level_{digit}"]:
                self.add_error(f"level_{digit}", _("Say what this level looks like."))
        return data

    def row(self) -> Row:
        """Return the row as it was written."""
        data = self.cleaned_data
        one, two, three, four = (" ".join(data[f"level_{digit}"].split()) for digit in DIGITS)
        return Row(
            title=data["title"],
            levels=(one, two, three, four),
            weight=Decimal(f"{data['weight'] or 0:.2f}"),
            gate=data["gate"],
            check_test=data["check_test"],
            key=data["key"],
        )


class CriterionSet(forms.BaseFormSet):  # type: ignore[type-arg]  # not generic when it runs
    """The rows of a rubric in their order; one that was left blank counts for nothing."""

    def initial_form_count(self) -> int:
        return 0

    def total_form_count(self) -> int:
        return super().total_form_count() if self.is_bound else len(self.initial or ())

    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        return {**super().get_form_kwargs(index), "place": (index or 0) + 1}

    def clean(self) -> None:
        self._refuse_doubled_titles()
        if any(self.errors):
            return
        weighted = [each for each in self.rows() if each.weight]
        if not weighted:
            raise ValidationError(_("Give one row a weight at least."), "no_weight")
        if all(each.check_test for each in weighted):
            raise ValidationError(
                _("Give a row a weight that is scored without a check test too."), "no_weight"
            )

    def _refuse_doubled_titles(self) -> None:
        places: dict[str, int] = {}
        for each in self.forms:
            title = (getattr(each, "cleaned_data", None) or {}).get("title", "").casefold()
            if title in places:
                said = _("Row %(place)d has this title already.") % {"place": places[title]}
                each.add_error("title", said)
            elif title:
                places[title] = each.place

    def rows(self) -> list[Row]:
        """Return the rows as they were written."""
        return [each.row() for each in self.forms if each.has_changed()]


CriterionRows = forms.formset_factory(
    CriterionForm, formset=CriterionSet, extra=0, max_num=MOST_ROWS, absolute_max=MOST_ROWS
)


def typed_rows(data: Mapping[str, Any]) -> list[Typed]:
    """Return the rows that a browser sent, read but not judged."""
    total = str(data.get(f"{PREFIX}-TOTAL_FORMS", ""))
    number = int(total) if total.isascii() and total.isdigit() and len(total) < 4 else 0
    return [
        {name: data.get(f"{PREFIX}-{place}-{name}", "") for name in FIELDS}
        for place in range(min(number, MOST_ROWS))
    ]


def as_typed(row: Row) -> Typed:
    """Return a stored row as the form shows it."""
    return {
        "key": row.key,
        "title": row.title,
        "weight": f"{row.weight.normalize():f}" if row.weight else "",
        "gate": row.gate,
        "check_test": row.check_test,
        **{f"level_{digit}": words for digit, words in zip(DIGITS, row.levels, strict=True)},
    }


def arranged(rows: list[Typed], act: str, place: int) -> list[Typed]:
    """Return the rows after ``add``, or after ``up``, ``down`` or ``remove`` of one from 1."""
    rows, index = list(rows), place - 1
    if act == "add" and len(rows) < MOST_ROWS:
        rows.append({})
    elif 0 <= index < len(rows) and act in {"up", "down", "remove"}:
        row = rows.pop(index)
        if act != "remove":
            rows.insert(max(index + (1 if act == "down" else -1), 0), row)
    return rows


def preview(rows: list[Row]) -> list[dict[str, Any]]:
    """Return rows for ``{% rubric_row row %}`` as the page for grading draws them."""
    return [
        {
            "name": row.title,
            "html_name": f"preview_{place}",
            "weight": _("weight %(weight)g") % {"weight": row.weight},
            "gate": row.gate,
            "chosen": None,
            "levels": cells(dict(zip(DIGITS, row.levels, strict=True)), gate=row.gate),
            "with_test": with_test,
            "without_test": without_test,
            "check_test": row.check_test,
        }
        for place, (row, (with_test, without_test)) in enumerate(
            zip(rows, shares(rows), strict=True), start=1
        )
    ]


def readable(rows: list[Typed]) -> list[Row]:
    """Return what can be drawn of rows that are still being written."""
    found = []
    for typed in rows:
        if not typed.get("title"):
            continue
        weight = _weight(str(typed.get("weight", "")))
        one, two, three, four = (str(typed.get(f"level_{digit}", "")) for digit in DIGITS)
        gate, test = bool(typed.get("gate")), bool(typed.get("check_test"))
        levels = (one, two, three, four)
        found.append(Row(typed["title"], levels, Decimal(0) if gate else weight, gate, test))
    return found


def _weight(text: str) -> Decimal:
    try:
        return Decimal(str(NumberField().clean(text) or 0))
    except ValidationError:
        return Decimal(0)
