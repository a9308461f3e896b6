"""The base alloys: their table against pages and handbooks, and the rules of the metal alone."""

import re
from typing import Any

import pymat
import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldlog.engine import alloys
from weldlog.engine.alloys import ALLOYS, Alloy
from weldlog.engine.facts import read
from weldlog.engine.figures import Figures
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.findings import Case, Finding, NotAssessed
from weldlog.engine.school import DEFAULT
from weldlog.engine.sources import Sourced, source


def known(designation: str) -> Alloy:
    found = alloys.find(designation)
    assert found, designation
    return found


def said(document: dict[str, Any]) -> list[Finding | NotAssessed]:
    return list(alloys.check(Case(read(document), Figures(), DEFAULT)))


def test_there_are_34_alloys_and_each_is_found_by_its_own_name() -> None:
    assert len(ALLOYS) == 34
    assert all(known(name) is alloy for name, alloy in ALLOYS.items())


@pytest.mark.parametrize(
    ("typed", "designation"),
    [
        ("6061-T6", "6061"),
        ("6061 t651", "6061"),
        ("EN AW-6082", "6082"),
        ("EN AW-6082 [AlSi1MgMn]", "6082"),
        ("aa5052-h32", "5052"),
        (" 5083 H116 ", "5083"),
        ("6005A-T6", "6005A"),
        ("1100-O", "1100"),
        ("A356", "A356.0"),
        ("a356.0-t6", "A356.0"),
        ("356", "356.0"),
        ("356.0", "356.0"),
    ],
)
def test_a_designation_is_found_as_people_type_it(typed: str, designation: str) -> None:
    assert known(typed).designation == designation


@pytest.mark.parametrize("typed", ["6060", "unknown", "", "6061/5052", "606", "steel", "C356"])
def test_what_is_not_in_the_table_is_not_guessed(typed: str) -> None:
    assert alloys.find(typed) is None


@pytest.mark.parametrize("alloy", ALLOYS.values(), ids=lambda alloy: alloy.designation)
def test_nominal_contents_lie_within_the_limits(alloy: Alloy) -> None:
    for element in ("si", "mg", "cu", "zn", "mn"):
        limit, content = alloy.limits.get(element), getattr(alloy.nominal, element)
        if limit and content:
            assert (limit.low or 0.0) <= content <= (limit.high or 0.0), element


@pytest.mark.parametrize("alloy", ALLOYS.values(), ids=lambda alloy: alloy.designation)
def test_every_value_says_where_it_comes_from(alloy: Alloy) -> None:
    always = {"limits", "nominal", "melting", "conductivity", "strength", "density", "weldability"}
    assert always <= alloy.sources.keys()
    assert ("welded" in alloy.sources) == (alloy.welded_uts_mpa is not None)
    assert ("haz" in alloy.sources) == (alloy.haz_uts_mpa is not None)
    assert all(source(key).title for keys in alloy.sources.values() for key in keys)
    assert alloy.solidus_c < alloy.liquidus_c < 661


# Residual silicon of an alloy that has none added is an assumption of ours (common practice).
def test_residual_silicon_is_told_from_silicon_that_is_added() -> None:
    assert known("5052").nominal_percent["si"] == Sourced(0.12, "practice")
    assert known("6061").nominal_percent["si"] == Sourced(0.6, "alloy-S8")
    assert known("6061").nominal_percent["cr"] == Sourced(0.2, "alloy-S8")


@pytest.mark.parametrize("alloy", ALLOYS.values(), ids=lambda alloy: alloy.designation)
def test_nominal_contents_with_their_sources_are_those_that_are_mixed(alloy: Alloy) -> None:
    for element in ("si", "mg", "cu", "zn", "mn"):
        stated = alloy.nominal_percent.get(element)
        assert (stated.value if stated else 0.0) == getattr(alloy.nominal, element)


# What a card or the guide says of an alloy must hold whatever the part is for, so it names no
# filler: the fillers are judged one by one beside it.
@pytest.mark.parametrize("alloy", ALLOYS.values(), ids=lambda alloy: alloy.designation)
def test_the_reason_of_weldability_names_no_filler(alloy: Alloy) -> None:
    named = set(re.findall(r"\b\d{4}\b", alloy.why)) & set(FILLERS)
    assert named <= set(ALLOYS) - {"1100", "2319"}


@given(
    st.sampled_from(sorted(ALLOYS)),
    st.sampled_from(["", "EN AW-", "EN AW ", "AA ", "aa", "AW-", "Al "]),
    st.sampled_from(["", "-T6", " t651", " H116", "-O", " [AlSi1MgMn]"]),
    st.booleans(),
    st.text(" \t", max_size=3),
)
def test_prefix_temper_spaces_and_case_do_not_matter(
    name: str, before: str, behind: str, lower: bool, space: str
) -> None:
    typed = f"{space}{before}{name}{behind}{space}"
    assert known(typed.lower() if lower else typed).designation == name


@given(st.text(max_size=30))
def test_any_text_is_an_alloy_or_none(typed: str) -> None:
    found = alloys.find(typed)
    assert found is None or found.designation.removesuffix(".0") in typed.upper()


def test_a_row_that_cannot_be_read_stops_the_import() -> None:
    row = {"alloy": "9999", "weldability": "maybe", "heat_treatable": "no"}
    with pytest.raises(ValueError, match="9999"):
        alloys._alloy(row)


# --- py-materials, a package of material data: 6061 and 7075 nominal, 6063 limits

SYMBOLS = {"si": "Si", "mg": "Mg", "cu": "Cu", "zn": "Zn"}


def parts(material: Any) -> dict[str, Any]:
    """Return its contents by element, as the package gives them: a share, or one with a spread."""
    assert material.composition
    return dict(material.composition)


def contents(material: Any) -> dict[str, float]:
    """Return its contents by element [percent by mass]."""
    return {
        symbol: 100 * getattr(part, "nominal_value", part)
        for symbol, part in parts(material).items()
    }


@pytest.mark.parametrize(
    ("designation", "material", "elements"),
    [
        # It prints Cu 0.4 for 6061, which is the upper limit: the nominal 0.28 is ours.
        ("6061", pymat.aluminum.a6061, ("si", "mg")),
        ("6063", pymat.aluminum.a6063, ("si", "mg")),
        ("7075", pymat.aluminum.a7075, ("mg", "cu", "zn")),
    ],
)
def test_nominal_contents_agree_with_py_materials(
    designation: str, material: Any, elements: tuple[str, ...]
) -> None:
    theirs, ours = contents(material), known(designation).nominal
    for element in elements:
        assert getattr(ours, element) == pytest.approx(theirs[SYMBOLS[element]], abs=0.05)


def test_limits_of_6063_agree_with_py_materials() -> None:
    theirs = parts(pymat.aluminum.a6063)
    for element in ("si", "mg"):
        middle = 100 * theirs[SYMBOLS[element]].nominal_value
        half = 100 * theirs[SYMBOLS[element]].std_dev
        limit = known("6063").limits[element]
        assert limit.low is not None
        assert limit.high is not None
        assert limit.high - limit.low == pytest.approx(2 * half, abs=0.01)
        assert limit.low <= middle <= limit.high


def test_copper_of_6061_in_py_materials_is_our_upper_limit() -> None:
    assert known("6061").limits["cu"].high == pytest.approx(contents(pymat.aluminum.a6061)["Cu"])


@pytest.mark.parametrize(
    ("designation", "material"),
    [("6061", pymat.aluminum.a6061.T6), ("7075", pymat.aluminum.a7075.T6)],
)
def test_strength_and_density_agree_with_py_materials(designation: str, material: Any) -> None:
    alloy, theirs = known(designation), material.properties.mechanical
    assert alloy.typical_uts_mpa == theirs.tensile_strength
    assert alloy.typical_yield_mpa == theirs.yield_strength
    assert alloy.density_g_cm3 == pytest.approx(theirs.density, abs=0.01)


# --- rules


# Armao, Weldable and unweldable aluminum alloys: 2024 and 7075 are not arc welded, nor is 2014.
@pytest.mark.parametrize("alloy", ["2014", "2024", "7075", "520.0"])
def test_alloy_not_for_arc_welding(alloy: str) -> None:
    document = {"process": "GTAW", "base_metals": [{"alloy": "6061"}, {"alloy": alloy}]}
    findings = [each for each in said(document) if isinstance(each, Finding)]
    assert [(each.rule.id, each.severity) for each in findings] == [
        ("alloy-not-for-arc-welding", "stop")
    ]
    assert alloy in findings[0].says


# The same page: 2219 is the weldable exception among the copper alloys; 7005 holds no copper.
@pytest.mark.parametrize("alloy", ["2219", "7003", "7005", "7020"])
def test_copper_free_zinc_alloys_and_2219_may_be_welded(alloy: str) -> None:
    assert said({"process": "GTAW", "base_metals": [{"alloy": alloy}]}) == []


# ABS 2-5-5 Table 1A, note 5, and Corrosion 15(2) 1959: no base above 3 % magnesium stays warm.
@pytest.mark.parametrize(
    ("alloy", "stops"), [("5083", 1), ("5154", 1), ("5754", 1), ("5454", 0), ("5052", 0)]
)
def test_alloy_warm_service(alloy: str, stops: int) -> None:
    document = {
        "process": "GMAW",
        "base_metals": [{"alloy": alloy}],
        "service": {"above_65_c": True},
    }
    assert [each.rule.id for each in said(document) if isinstance(each, Finding)] == [
        "alloy-warm-service"
    ] * stops


def test_an_unknown_alloy_gets_a_question_and_no_verdict() -> None:
    for base_metals in ([{"alloy": "unknown"}], [{"thickness_mm": 3}]):
        (asked,) = said({"process": "GTAW", "base_metals": base_metals})
        assert isinstance(asked, NotAssessed)
        assert asked.missing == ("base_metals.alloy",)
        assert "stamp" in asked.what


def test_no_metal_logged_is_not_assessed() -> None:
    assert said({"process": "GTAW"}) == [
        NotAssessed("weldability of the base metal", ("base_metals",))
    ]


def test_two_like_sides_are_spoken_of_once() -> None:
    document = {
        "process": "GTAW",
        "base_metals": [{"alloy": "7075", "thickness_mm": 3}, {"alloy": "7075", "thickness_mm": 6}],
    }
    assert len(said(document)) == 1
