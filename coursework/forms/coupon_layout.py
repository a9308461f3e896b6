"""What the template of the coupon form walks through, in the order of the work."""

from dataclasses import dataclass

from django import forms

from coursework.choices import WORDS
from coursework.forms.coupon_fields import IMPERFECTION_ROWS, STEP_FIELDS, STEPS
from coursework.forms.coupon_members import Member
from coursework.forms.fields import Measure


@dataclass(frozen=True, slots=True)
class StepRow:
    """The fields of one cleaning step."""

    words: str
    place: forms.BoundField
    time: forms.BoundField
    details: list[forms.BoundField]


@dataclass(frozen=True, slots=True)
class Fold:
    """Fields that can be folded away, unless one of them has an error or an answer."""

    fields: list[forms.BoundField]

    @property
    def open(self) -> bool:
        return any(field.errors or is_answered(field) for field in self.fields)


def is_answered(field: forms.BoundField) -> bool:
    """Whether a field shows more than its first unit or its blank choice."""
    value = field.value()
    if isinstance(value, Measure):
        return bool(value.text)
    return bool(value[0]) if isinstance(value, list) else value not in (None, "")


class CouponLayout(forms.Form):
    """The parts of the coupon form, each a list of bound fields."""

    members: dict[str, Member]

    def part(self, name: str) -> list[forms.BoundField]:
        """Return the fields of one part."""
        return [self[each.name] for each in self.members.values() if each.part == name]

    metal = property(lambda self: self.part("metal"))
    more_metal = property(lambda self: Fold(self.part("more_metal")))
    set_up = property(lambda self: self.part("set_up"))
    more_set_up = property(lambda self: Fold(self.part("more_set_up")))
    weld = property(lambda self: self.part("weld"))
    more_weld = property(lambda self: Fold(self.part("more_weld")))
    size = property(lambda self: self.part("size"))

    @property
    def steps(self) -> list[StepRow]:
        """The cleaning steps."""
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
    def seen(self) -> list[Fold]:
        """The rows of what was seen."""
        parts = ("number", "count", "size", "at", "length")
        return [
            Fold([self[f"seen_{row}_{part}"] for part in parts])
            for row in range(1, IMPERFECTION_ROWS + 1)
        ]
