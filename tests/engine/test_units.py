"""Conversions, against the exact definitions, the notes' check values and pint."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldlog.engine.units import UNITS, convert, from_base, to_base

PINT = pint.UnitRegistry()
PINT_NAMES = {
    "m/min": "meter/minute",
    "m/s": "meter/second",
    "mm/min": "millimeter/minute",
    "cm/min": "centimeter/minute",
    "in/min": "inch/minute",
    "ft3/h": "foot**3/hour",
    "ft3": "foot**3",
    "min": "minute",
    "h": "hour",
    "0.001 in": "thou",
    "mm²": "millimeter**2",
    "in²": "inch**2",
    "°C more": "delta_degC",
    "°F more": "delta_degF",
    "°C": "degC",
    "°F": "degF",
    "%": "percent",
}
NUMBERS = st.floats(-1e6, 1e6, allow_nan=False)

CHECKED = [
    ("heat_CV01", 1, "kJ/mm", "kJ/in", 25.4, 1e-9, "identity"),
    ("heat_CV02", 45, "kJ/in", "kJ/mm", 1.7716535, 1e-6, "identity, pint"),
    ("heat_CV03_mm_min", 10, "in/min", "mm/min", 254, 1e-6, "identity, pint"),
    ("heat_CV03_mm_s", 10, "in/min", "mm/s", 4.233333, 1e-6, "identity, pint"),
    ("heat_CV04", 250, "mm/min", "in/min", 9.842520, 1e-6, "identity"),
    ("heat_CV44", 20, "ft3/h", "L/min", 9.43895, 1e-5, "identity, pint"),
    ("wire_feed", 1, "in/min", "m/min", 0.0254, 1e-12, "heat notes 1.3, exact"),
    ("flow", 1, "ft3/h", "L/min", 0.4719474432, 1e-12, "heat notes 1.3, exact"),
    ("flow_back", 1, "L/min", "ft3/h", 2.118880003, 1e-9, "heat notes 1.3"),
    ("volume", 1, "ft3", "L", 28.316846592, 1e-12, "heat notes 1.3, exact"),
    ("energy_cm", 1, "kJ/mm", "kJ/cm", 10, 1e-12, "heat notes 1.3, exact"),
    ("energy_j", 1, "kJ/mm", "J/mm", 1000, 1e-12, "heat notes 1.3, exact"),
    ("solidus_6061", 582, "°C", "°F", 1080, 1e-3, "melting range of 6061, heat-S38"),
]


@pytest.mark.parametrize(
    ("value", "unit", "into", "expected", "tolerance", "source"),
    [each[1:] for each in CHECKED],
    ids=[each[0] for each in CHECKED],
)
def test_conversion_gives_the_check_value(
    value: float, unit: str, into: str, expected: float, tolerance: float, source: str
) -> None:
    assert source
    assert convert(value, unit, into) == pytest.approx(expected, rel=tolerance)


@pytest.mark.parametrize("unit", UNITS.values(), ids=lambda unit: unit.symbol)
def test_pint_agrees_on_every_unit(unit: object) -> None:
    known = UNITS[unit.symbol]  # type: ignore[attr-defined]
    there = PINT_NAMES.get(known.symbol, known.symbol)
    base = PINT_NAMES.get(known.base, known.base)
    expected = PINT.Quantity(12.5, there).to(base).magnitude
    assert to_base(12.5, known.symbol) == pytest.approx(expected, rel=1e-12)


@given(NUMBERS, st.sampled_from(sorted(UNITS)))
def test_there_and_back_gives_the_same_number(value: float, unit: str) -> None:
    assert from_base(to_base(value, unit), unit) == pytest.approx(value, rel=1e-9, abs=1e-9)


def test_a_unit_of_another_kind_is_refused() -> None:
    with pytest.raises(ValueError, match="mm cannot be turned into s"):
        convert(1, "mm", "s")
    with pytest.raises(KeyError):
        to_base(1, "furlong")
