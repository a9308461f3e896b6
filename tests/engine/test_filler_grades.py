"""Plain grades of a filler on a pair of base metals."""

import pytest

from weldlog.engine.alloys import ALLOYS
from weldlog.engine.filler_grades import grades
from weldlog.engine.filler_metals import FILLERS


# Worked by section: crack verdict at 30 and 60 % base metal; strength against the weaker base.
@pytest.mark.parametrize(
    ("pair", "wire", "grade", "expected"),
    [
        ("6061 6061", "4043", "crack_resistance", "good"),
        ("6061 6061", "5356", "crack_resistance", "fair"),
        ("1100 2219", "2319", "crack_resistance", "poor"),
        ("6061 6061", "4043", "strength", "fair"),
        ("6061 6061", "5356", "strength", "good"),
        ("5083 5083", "5356", "strength", "fair"),
        ("5083 5083", "5183", "strength", "good"),
        ("5083 5083", "4043", "ductility", "do_not_use"),
        ("5052 5052", "4043", "ductility", "poor"),
        ("5083 5083", "5356", "corrosion", "good"),
        ("6061 6061", "5356", "corrosion", "fair"),
        ("5083 5083", "5356", "hot_service", "do_not_use"),
        ("5454 5454", "5554", "hot_service", "good"),
        ("6061 6061", "4043", "anodised_match", "poor"),
        ("6061 6061", "5356", "anodised_match", "good"),
        ("6061 6061", "4643", "heat_treatment", "good"),
        ("5052 5052", "5356", "heat_treatment", "not_applicable"),
        ("319.0 319.0", "4145", "strength", "unknown"),
    ],
)
def test_plain_grades(pair: str, wire: str, grade: str, expected: str) -> None:
    alloy_a, alloy_b = (ALLOYS[each] for each in pair.split())
    assert grades((alloy_a, alloy_b), FILLERS[wire])[grade] == expected
