"""Water on metal that is colder than the air, against the printed table and a formula."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.cases_cleaning import gtaw
from tests.engine.judging import found, severities
from weldlog.engine import cleaning
from weldlog.engine.condensation import condensation_humidity_percent

PRINTED_HUMIDITY = {1: 93, 2: 87, 3: 81, 4: 75, 5: 70, 6: 66, 7: 61, 8: 57, 9: 53, 10: 50}
PRINTED_HUMIDITY |= {12: 44, 15: 36, 20: 26}


@pytest.mark.parametrize(("colder", "humidity"), PRINTED_HUMIDITY.items())
def test_the_printed_condensation_table_holds_and_equality_stays_dry(
    colder: float, humidity: float
) -> None:
    """Source: SPW catalogue 2019 p. 522; read."""
    air = {"air_c": 25, "metal_c": 25 - colder}
    dry, wet = ({"relative_humidity_percent": humidity + more} for more in (0, 0.1))
    assert not found(cleaning, gtaw(**air, **dry))
    assert severities(cleaning, gtaw(**air, **wet)) == {"cleaning-condensation": "stop"}


def test_prep_C07_metal_5_c_colder_than_the_air_stays_dry_at_65_percent() -> None:
    """Source: SPW catalogue 2019 p. 522, limit 70 percent; read."""
    assert condensation_humidity_percent(25, 20) == 70
    coupon = gtaw(air_c=25, metal_c=20, relative_humidity_percent=65)
    assert not found(cleaning, coupon)


def test_prep_C08_metal_6_c_colder_than_the_air_is_wet_at_70_percent() -> None:
    """Source: SPW catalogue 2019 p. 522, limit 66 percent; read."""
    coupon = gtaw(air_c=25, metal_c=19, relative_humidity_percent=70)
    wet = found(cleaning, coupon)["cleaning-condensation"]
    assert (wet.severity, wet.measured, wet.limit) == ("stop", 70, 66)


@given(air_c=st.floats(-20, 40), colder=st.floats(0, 60), step=st.floats(0, 10))
def test_colder_metal_never_stays_dry_in_damper_air(
    air_c: float, colder: float, step: float
) -> None:
    limit = condensation_humidity_percent(air_c, air_c - colder)
    assert 0 <= condensation_humidity_percent(air_c, air_c - colder - step) <= limit <= 100


@pytest.mark.parametrize("colder", range(1, 34))
def test_the_printed_table_lies_on_the_safe_side_of_the_magnus_formula(colder: int) -> None:
    """Magnus coefficients of Sonntag 1990 (17.62, 243.12 °C), from memory."""

    def saturation_hpa(celsius: float) -> float:
        return 6.112 * math.exp(17.62 * celsius / (243.12 + celsius))

    magnus = 100 * saturation_hpa(22 - colder) / saturation_hpa(22)
    assert condensation_humidity_percent(22, 22 - colder) <= magnus
