"""Check values of inspection, the numbers of imperfections, and guide data, against their sources.

C22, C24 to C26 and C31 stand in ``test_acceptance.py``, C25 again and C27 to C30 in
``test_iso_limits.py``, C20 and C21 in ``test_imperfections.py``, C38 in ``test_safety.py``.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldlog.engine.alloys import ALLOYS
from weldlog.engine.causes import CAUSES, MOST
from weldlog.engine.destructive_tests import MANDRELS, TESTS, mandrel, mandrel_diameter_mm
from weldlog.engine.imperfection_guide import GUIDE, VIEWING
from weldlog.engine.imperfection_list import IMPERFECTIONS, by_key, find
from weldlog.engine.sources import SOURCES
from weldlog.engine.units import convert


def diameter_mm(alloy: str, thickness_mm: float, *, temper: str = "", filler: str = "") -> float:
    row = mandrel(alloy, temper=temper, filler=filler)
    assert row
    return round(mandrel_diameter_mm(row, thickness_mm), 1)


def test_prep_C32_a_6061_weld_with_4043_is_bent_over_52_4_mm() -> None:
    """AlcoTec, bend test questions and Technical Guide p. 13 (16.5 T at 3.2 mm); read.

    16.5 times 3.2 is 52.8: the printed 52.4 goes with 1/8 in, and that side is taken.
    """
    assert diameter_mm("6061", 3.2, temper="T6", filler="4043") == 52.4
    row = mandrel("6061", filler="ER4043")
    assert row
    assert (row.multiple, row.machined_mm) == (16.5, 3.2)


def test_prep_C33_5083_of_9_5_mm_is_bent_over_63_5_mm() -> None:
    """AlcoTec, bend test questions and Technical Guide p. 13 (6 2/3 T at 9.5 mm); read."""
    assert diameter_mm("5083", 9.5, filler="5183") == 63.5


@pytest.mark.parametrize(
    ("alloy", "temper", "filler", "multiple"),
    [
        ("6061", "T6", "5356", 16.5),
        ("6061", "O", "5356", 6.6667),
        ("6061", "O", "4043", 16.5),
        ("5052", "H32", "5356", 4),
        ("5052", "H32", "ER4043", 16.5),
        ("3003", "", "1100", 4),
        ("5456", "", "5556", 6.6667),
        ("7005", "T53", "5356", 8),
        ("2219", "O", "2319", 8),
    ],
)
def test_the_mandrel_goes_with_metal_temper_and_filler(
    alloy: str, temper: str, filler: str, multiple: float
) -> None:
    """AlcoTec, bend test questions and Technical Guide p. 13; read. Members of the groups M21 and
    M22 are from memory."""
    row = mandrel(alloy, temper=temper, filler=filler)
    assert row
    assert row.multiple == multiple


def test_no_mandrel_is_made_up() -> None:
    assert mandrel("2219", temper="T87", filler="2319") is None
    assert mandrel("7075", filler="5356") is None
    assert mandrel("") is None


def test_the_printed_diameters_come_out() -> None:
    """As printed: 38 mm and 63.5 mm for 9.5 mm, 52.4 mm for 3.2 mm; read (prep-S15)."""
    for row in MANDRELS:
        if row.printed_mm and row.printed_for_mm:
            worked_out = mandrel_diameter_mm(row, row.printed_for_mm)
            assert worked_out == pytest.approx(row.printed_mm, abs=0.2)


@given(st.sampled_from(MANDRELS), st.floats(0.5, 50))
def test_a_thicker_specimen_is_never_bent_over_a_thinner_mandrel(row: object, mm: float) -> None:
    assert mandrel_diameter_mm(row, mm + 0.2) > mandrel_diameter_mm(row, mm)  # type: ignore[arg-type]


def test_mandrels_are_for_alloys_of_the_tables() -> None:
    assert {alloy for row in MANDRELS for alloy in row.alloys} <= set(ALLOYS)


def test_prep_C37_35_cubic_feet_an_hour_are_16_5_liters_a_minute() -> None:
    """Exact: 1 ft³ is 28.316846592 L; calc."""
    assert round(convert(35, "ft3/h", "L/min"), 1) == 16.5


# Mathers 2002 Table 11.1, GL Rules II-3-2 Annex B and European Aluminium Association Table VIII.4.
READ = (
    "100 101 104 2011 2012 2013 2014 2017 303 3034 3041 3042 4011 4012 4013 402 4021 501 502 504 "
    "517 602 606"
)
# ISO 6520-1:2007, remembered; Mathers prints 602 for a stray arc, the standard has 601.
REMEMBERED = (
    "2016 2025 401 5011 5012 5013 503 506 507 508 509 511 510 512 513 514 515 516 5213 5214 520 "
    "601 604 617"
)


@pytest.mark.parametrize("number", READ.split())
def test_a_number_that_was_read_says_so(number: str) -> None:
    kind = find(number)
    assert kind
    assert kind.standing_of(number) == "read"


@pytest.mark.parametrize("number", REMEMBERED.split())
def test_a_number_from_memory_says_so(number: str) -> None:
    kind = find(number)
    assert kind
    assert kind.standing_of(number) == "memory"


def test_the_first_digit_of_a_number_is_its_group() -> None:
    """ISO 6520-1, groups 1 to 6 (European Aluminium Association Table VIII.4); read."""
    for kind in IMPERFECTIONS:
        for number in kind.numbers:
            assert kind.group == (number[0] if number != "L1" else "")


# Dossier section 3.3: how many causes of each strength. Causes read in Mathers 2002 Tables 2.3
# and 11.1, European Aluminium Association VIII.4 and Welding Journal 2015; strengths practice. The
# second cause of a crater crack and that of a stray strike are common practice.
STRENGTHS = {
    "pore": "33332222",
    "crack": "322",
    "crater_crack": "32",
    "crater_pipe": "3",
    "oxide": "33222",
    "tungsten": "32",
    "copper": "2",
    "lack_of_fusion": "333222",
    "root_penetration": "332",
    "undercut": "333",
    "excess_weld_metal": "32",
    "excess_penetration": "33",
    "burn_through": "3",
    "overlap": "3",
    "unequal_legs": "3",
    "throat_small": "32",
    "underfill": "3",
    "root_concavity": "2",
    "restart": "3",
    "misalignment": "3",
    "distortion": "2",
    "spatter": "2",
    "soot": "31",
    "irregular": "3",
    "fillet_gap": "3",
    "stray_arc": "3",
    "pore_line": "2",
    "root_porosity": "2",
}


def test_the_cause_matrix_has_every_row() -> None:
    keys = {key for row in CAUSES for key in row.imperfections}
    found = {
        key: "".join(str(row.strength) for row in CAUSES if key in row.imperfections)
        for key in keys
    }
    assert found == STRENGTHS


# ISO 17637:2003 as quoted in a procedure (prep-S29); penetrant light in TM 5-5420-279-23 (prep-S2).
CONDITIONS = {
    "light": (350, None, "lx", "prep-S29"),
    "distance": (None, 600, "mm", "prep-S29"),
    "angle": (30, None, "°", "prep-S29"),
    "lens": (2, 5, "×", "prep-S29"),
    "penetrant-light": (500, None, "lx", "prep-S2"),
}


def test_a_weld_is_looked_at_as_the_sources_say() -> None:
    found = {each.key: (each.least, each.most, each.unit, each.source) for each in VIEWING}
    assert found == CONDITIONS


def test_what_the_guide_tells_of_destructive_tests_has_a_source() -> None:
    """Limits of bend, break and macro are from memory (AWS D1.2), the etchants were read."""
    standing = {each.key: SOURCES[each.source].standing for each in TESTS}
    assert standing["bend-limits"] == standing["fillet-break"] == standing["macro"] == "memory"
    assert standing["bend-jig"] == standing["etching"] == "read"


def test_the_guide_has_every_kind_with_its_likeliest_causes() -> None:
    assert [entry.kind for entry in GUIDE] == list(IMPERFECTIONS)
    for entry in GUIDE:
        strengths = [row.strength for row in entry.causes]
        assert strengths == sorted(strengths, reverse=True)
        assert len(strengths) <= MOST
        assert all(limit.words for limit in (*entry.limits, *entry.further_limits))


def test_the_guide_says_what_is_from_memory() -> None:
    undercut = next(entry for entry in GUIDE if entry.kind is by_key("undercut"))
    assert [limit.id for limit in undercut.limits] == ["classroom-CV04"]
    assert [limit.standing for limit in undercut.limits] == ["read"]
    iso = [limit for limit in undercut.further_limits if limit.set.startswith("iso10042")]
    assert {limit.standing for limit in iso} == {"memory"}
    assert {limit.row for limit in iso} == {"Q08", "Q09", "Q10"}
