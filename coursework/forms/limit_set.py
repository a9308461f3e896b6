"""The form of one set of limits of the school's own: a name, and a row for each limit.

The engine has the last word on a row; what it refuses is shown beside it.
"""

from typing import Any, Final

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.forms.fields import Measure, MeasureField, NumberField
from weldlog.engine.imperfection_list import IMPERFECTIONS, find
from weldlog.engine.reading import Unreadable
from weldlog.engine.school import read_rules

type Document = dict[str, Any]

BLANK_ROWS: Final = 2
MOST_ROWS: Final = 60
LENGTHS: Final = ("base_mm", "cap_mm", "in_any_mm")
NUMBERS: Final = ("factor", "percent", "percent_of_length")
JUDGED_BY: Final = {
    "size": gettext_lazy("by its size: height, depth or diameter"),
    "undersize": gettext_lazy("by what the fillet lacks of the leg wanted"),
    "length": gettext_lazy("by how much of the weld has it"),
    "porosity_area": gettext_lazy("by the share of the face that pores take up"),
    "root_depth": gettext_lazy("the weld nowhere thinner than the plate"),
    "never": gettext_lazy("none accepted"),
    "never_in_butt": gettext_lazy("none accepted in a butt joint"),
    "never_after_penetrant": gettext_lazy("none accepted where penetrant shows it"),
    "allowed": gettext_lazy("accepted, whatever its size"),
    "look_up": gettext_lazy("looked up by a person each time"),
}
OF: Final = {
    "thickness": gettext_lazy("thickness of the thinner side"),
    "throat": gettext_lazy("throat wanted"),
    "throat_or_thickness": gettext_lazy("throat wanted; in a butt joint the thickness"),
    "face_width": gettext_lazy("width of the weld face"),
    "leg": gettext_lazy("leg wanted"),
}


def imperfections() -> list[tuple[str, str]]:
    """Return every kind by its key, and each number of its own where a kind has several."""
    found = [("", str(_("none: a blank row")))]
    for kind in IMPERFECTIONS:
        found.append((kind.key, f"{kind.name} ({', '.join(kind.numbers)})"))
        if len(kind.numbers) > 1:
            only = _("%(name)s, only %(number)s")
            found += [(each, only % {"name": kind.name, "number": each}) for each in kind.numbers]
    return found


class LimitRow(forms.Form):
    """One limit. ``document`` is what the engine reads of it, None where the row is blank."""

    imperfection = forms.ChoiceField(label=gettext_lazy("Imperfection"), required=False)
    judged_by = forms.ChoiceField(
        label=gettext_lazy("How it is judged"),
        choices=list(JUDGED_BY.items()),
        required=False,
    )
    base_mm = MeasureField("length", label=gettext_lazy("Up to"))
    factor = NumberField(label=gettext_lazy("Up to, or plus, so many times"), above_zero=True)
    of = forms.ChoiceField(
        label=gettext_lazy("Times what"),
        choices=[("", gettext_lazy("nothing")), *OF.items()],
        required=False,
    )
    cap_mm = MeasureField("length", label=gettext_lazy("At most, in any case"))
    percent_of_length = NumberField(
        label=gettext_lazy("On so much of the weld, percent"), above_zero=True
    )
    in_any_mm = MeasureField("length", label=gettext_lazy("Counted in any"))
    percent = NumberField(label=gettext_lazy("Pores on so much of the face, percent"))

    document: Document | None = None
    SELDOM = ("percent_of_length", "in_any_mm", "percent")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = imperfections()
        # A number that a list of before holds, narrower than those of the classroom list.
        stated = str(self["imperfection"].value() or "")
        if stated not in dict(choices) and (kind := find(stated)):
            choices.append((stated, f"{kind.name} ({stated})"))
        field = self.fields["imperfection"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 -- as declared
        field.choices = choices

    def plain(self) -> list[forms.BoundField]:
        """Return the fields that most limits need."""
        return [field for field in self if field.name not in self.SELDOM]

    def seldom(self) -> list[forms.BoundField]:
        """Return the fields that only limits by length or by face need."""
        return [self[name] for name in self.SELDOM]

    def is_open(self) -> bool:
        """Return whether one of the fields that are seldom needed has something to show."""
        return any(_text(each.value()) or each.errors for each in self.seldom())

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if self.errors:
            return data
        stated = {name: _bare(data.get(name)) for name in self.fields if data.get(name)}
        zero = {name: 0.0 for name in ("base_mm", "percent") if _bare(data.get(name)) == 0}
        document = {**stated, **zero}
        if document.keys() <= {"judged_by"}:
            return data
        if not document.get("imperfection"):
            self.add_error("imperfection", _("Choose the imperfection, or clear the row."))
        elif fault := self._fault(document):
            self.add_error("judged_by", fault)
        else:
            self.document = document
        return data

    def _fault(self, document: Document) -> str:
        """Return what the engine says against the row, with the names of this form."""
        try:
            read_rules({"limit_sets": [{"name": "own", "limits": [document]}]})
        except Unreadable as refusal:
            said = str(refusal).partition(": ")[2] or str(refusal)
            for name in sorted(self.fields, key=len, reverse=True):
                said = said.replace(name, f"“{self.fields[name].label}”") if "_" in name else said
            for value, words in JUDGED_BY.items():
                said = said.replace(f'"{value}"', f"“{words}”")
            return said[:1].upper() + said[1:]
        return ""


def _text(value: Any) -> Any:
    """Return what is typed of a value, without the unit that is always chosen."""
    return value[0] if isinstance(value, list) else value


def _bare(value: Any) -> Any:
    return value.value if isinstance(value, Measure) else value


# Generic for the type checker, and not when it runs.
class RowSet(forms.BaseFormSet):  # type: ignore[type-arg]
    """The rows of a set; a blank one counts for nothing."""

    def initial_form_count(self) -> int:
        return 0

    def total_form_count(self) -> int:
        if self.is_bound:
            return super().total_form_count()
        return len(self.initial or ()) + BLANK_ROWS

    def clean(self) -> None:
        if not any(self.errors) and not self.documents():
            raise forms.ValidationError(_("Fill in one row at least."), "no_row")

    def documents(self) -> list[Document]:
        """Return the rows as the engine reads them."""
        return [each.document for each in self.forms if each.document]


LimitRows = forms.formset_factory(
    LimitRow, formset=RowSet, extra=0, max_num=MOST_ROWS, absolute_max=MOST_ROWS
)


def rows_of(limit_set: Document | None) -> list[Document]:
    """Return the stored rows as the form shows them."""
    return [
        {name: _shown(name, value) for name, value in row.items()}
        for row in (limit_set or {}).get("limits", ())
    ]


def _shown(name: str, value: Any) -> Any:
    return Measure(value, f"{value:.12g}", "mm") if name in LENGTHS else value


class LimitSetForm(forms.Form):
    """The name of a set, which no other set of the school and none of the engine's has."""

    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=40,
        help_text=gettext_lazy("Exercises name the set by it, such as First term."),
    )
    based_on = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, others: list[Document], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.others = others

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        probe = {"imperfection": "crack", "judged_by": "never"}
        try:
            read_rules({"limit_sets": [*self.others, {"name": name, "limits": [probe]}]})
        except Unreadable:
            raise forms.ValidationError(
                _("There is a set of this name already; choose another."), "taken"
            ) from None
        return name
