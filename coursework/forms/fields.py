"""Numbers as they are typed in a shop: point or comma, with the unit chosen beside them.

A unit that is typed behind the number counts instead of the chosen one. A fraction is read in a
field for a length, and minutes with seconds in one for a time.
"""

import re
from dataclasses import dataclass
from datetime import time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.forms.typed_numbers import (
    parse_fraction,
    parse_number,
    parse_time_span,
    split_unit,
)
from weldlog.engine import units

# What a quantity may be typed in: the words on the page, and the engine's unit. The first of each
# is the base unit that the engine works in.
UNITS: dict[str, dict[str, str]] = {
    "length": {"mm": "mm", "in": "in"},
    "speed": {"mm/s": "mm/s", "mm/min": "mm/min", "in/min": "in/min"},
    "wire_feed": {"mm/s": "mm/s", "m/min": "m/min", "in/min": "in/min"},
    "gas_flow": {"L/min": "L/min", "CFH": "ft3/h"},
    "current": {"A": "A"},
    "voltage": {"V": "V"},
    "time": {"s": "s", "min": "min"},
    "energy": {"kJ": "kJ"},
    "power": {"kW": "kW"},
    "percent": {"%": "%"},
    "en_percent": {"% EN": "%"},
    "frequency": {"Hz": "Hz"},
    "angle": {"°": ""},
    "temperature": {"°C": "°C", "°F": "°F"},
}


def in_base_unit(number: float, quantity: str, unit: str) -> float:
    """Return a number typed in one of the units of a quantity, in its base unit."""
    symbol = UNITS[quantity][unit]
    return units.to_base(number, symbol) if symbol else number


@dataclass(frozen=True, slots=True)
class Measure:
    """A value in the base unit of its quantity, and what was typed."""

    value: float
    text: str
    unit: str

    @property
    def typed(self) -> dict[str, str]:
        """The evidence that is kept."""
        return {"text": self.text, "unit": self.unit}


class UnitSelect(forms.RadioSelect):
    """The units of one quantity; each tells the page's script how many base units it is."""

    def __init__(self, quantity: str) -> None:
        self.quantity = quantity
        super().__init__(choices=[(unit, unit) for unit in UNITS[quantity]])

    def create_option(self, *args: Any, **kwargs: Any) -> dict[str, Any]:
        option = super().create_option(*args, **kwargs)
        symbol = UNITS[self.quantity][option["value"]]
        if symbol and not units.UNITS[symbol].offset:
            option["factor"] = repr(units.UNITS[symbol].factor)
        return option


class MeasureWidget(forms.MultiWidget):
    """A text input with its units joined on the right."""

    template_name = "forms/measure.html"

    def __init__(self, quantity: str, step: str = "") -> None:
        self.quantity, self.step = quantity, step
        super().__init__(
            {
                "": forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
                "unit": UnitSelect(quantity),
            }
        )

    def decompress(self, value: Any) -> list[str | None]:
        """Show a measure as it was typed, a bare number in the base unit."""
        first = next(iter(UNITS[self.quantity]))
        if isinstance(value, Measure):
            return [value.text, value.unit or first]
        return [None if value in (None, "") else f"{value:g}", first]

    def value_from_datadict(self, data: Any, files: Any, name: str) -> list[Any]:
        text, unit = super().value_from_datadict(data, files, name)
        return [text, unit or next(iter(UNITS[self.quantity]))]

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        context["widget"]["step"] = self.step
        return context


class MeasureField(forms.MultiValueField):
    """A number with a unit; cleans to a ``Measure`` or None.

    Parameters
    ----------
    quantity : str
        A key of ``UNITS``.
    unit : str
        The unit that is chosen at first; the base unit when empty.
    signed : bool
        Whether a number below zero has a meaning.
    above_zero : bool
        Whether zero is an error too.
    """

    widget: MeasureWidget

    def __init__(
        self,
        quantity: str,
        *,
        unit: str = "",
        signed: bool = False,
        above_zero: bool = False,
        step: str = "",
        **kwargs: Any,
    ) -> None:
        self.quantity, self.signed, self.above_zero = quantity, signed, above_zero
        names = list(UNITS[quantity])
        initial = kwargs.pop("initial", None)
        if initial is None and unit:
            initial = Measure(0.0, "", unit)
        super().__init__(
            fields=(
                forms.CharField(required=False, strip=True),
                forms.ChoiceField(required=False, choices=[(name, name) for name in names]),
            ),
            widget=MeasureWidget(quantity, step),
            require_all_fields=False,
            required=kwargs.pop("required", False),
            initial=initial,
            **kwargs,
        )

    def clean(self, value: Any) -> Measure | None:
        text, unit = (*(value or ("", "")), "")[:2]
        text = (text or "").strip()
        if not text:
            if self.required:
                raise ValidationError(_("Type a value here."), "required")
            return None
        if unit not in UNITS[self.quantity]:
            raise ValidationError(_("Choose one of the units beside the value."), "unit")
        measure = self._span(text) or self._measure(text, unit)
        self._refuse_meaningless(measure.value)
        return measure

    def _span(self, text: str) -> Measure | None:
        """Read minutes and seconds, where the field is for a time."""
        if self.quantity != "time":
            return None
        span = parse_time_span(text)
        if span is None and ":" in text:
            raise ValidationError(
                _("“%(text)s” is not a time. Type minutes and seconds like 1:33, or 93 s."),
                "span",
                {"text": text[:20]},
            )
        return None if span is None else Measure(span, text, "min:s")

    def _measure(self, text: str, chosen: str) -> Measure:
        """Read a number in the unit that is typed behind it, else in the one that is chosen."""
        bare, symbol = split_unit(text)
        unit = chosen if symbol is None else self._unit(text, symbol)
        fraction = parse_fraction(bare) if self.quantity == "length" else None
        number = parse_number(bare) if fraction is None else fraction
        return Measure(in_base_unit(number, self.quantity, unit), bare, unit)

    def _unit(self, text: str, symbol: str) -> str:
        """Return the choice that means a unit of the engine."""
        choices = UNITS[self.quantity]
        for name, known in choices.items():
            if known == symbol:
                return name
        raise ValidationError(
            _("“%(text)s” has another unit. Type it in %(units)s."),
            "other_unit",
            {"text": text[:40], "units": _(" or ").join(choices)},
        )

    def _refuse_meaningless(self, number: float) -> None:
        if number < 0 and not self.signed:
            raise ValidationError(
                _("This cannot be below zero. Take the minus sign out."), "negative"
            )
        if number <= 0 and self.above_zero:
            raise ValidationError(_("This cannot be zero. Type the measured value."), "zero")


class NumberField(forms.CharField):
    """A bare number with a point or a comma; cleans to float or None."""

    def __init__(self, *, above_zero: bool = False, **kwargs: Any) -> None:
        self.above_zero = above_zero
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        )
        super().__init__(required=kwargs.pop("required", False), **kwargs)

    def prepare_value(self, value: Any) -> Any:
        return f"{value:.12g}" if isinstance(value, float) else value

    def clean(self, value: Any) -> float | None:
        text = super().clean(value).strip()
        if not text:
            return None
        number = parse_number(text)
        if number < 0 or (self.above_zero and not number):
            raise ValidationError(_("Type a number above zero, such as 4 or 0.5."), "not_above")
        return number


class WholeNumberField(forms.CharField):
    """A whole number; cleans to int or None."""

    default_error = gettext_lazy("Type a whole number of %(low)s or more, such as 3.")

    def __init__(self, *, low: int = 0, **kwargs: Any) -> None:
        self.low = low
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        )
        super().__init__(required=kwargs.pop("required", False), **kwargs)

    def clean(self, value: Any) -> int | None:
        text = super().clean(value).strip()
        if not text:
            return None
        if not text.isascii() or not text.isdigit() or int(text[:9]) < self.low or len(text) > 6:
            raise ValidationError(self.default_error, "whole", {"low": self.low})
        return int(text)


class ClockField(forms.CharField):
    """A time of day such as ``9:58`` or ``0958``; cleans to ``datetime.time`` or None."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        )
        super().__init__(required=kwargs.pop("required", False), **kwargs)

    def clean(self, value: Any) -> time | None:
        text = super().clean(value).strip()
        if not text:
            return None
        found = re.fullmatch(r"(\d{1,2})[:.h ]?(\d{2})(?::(\d{2}))?", text)
        try:
            if found is None or not text.isascii():
                raise ValueError
            return time(int(found[1]), int(found[2]), int(found[3] or 0))
        except ValueError:
            raise ValidationError(
                _("“%(text)s” is not a time of day. Type it like 9:58 or 14:05."),
                "clock",
                {"text": text[:20]},
            ) from None
