"""Published strengths of welded joints, each with its document."""

import pytest

from weldlog.engine.alloys import ALLOYS
from weldlog.engine.filler_choice import choose
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.groove_strength import KSI_MPA, groove_strengths


# ABS High-Speed Craft rules, Part 2, 2-5-A1 Table 2: least ultimate strength of butt welds.
@pytest.mark.parametrize(
    ("check", "designation", "mpa", "ksi"),
    [
        ("C19", "5083", 276, 40),
        ("C22", "5086", 241, 35),
        ("C25", "5454", 214, 31),
        ("C34", "6061", 165, 24),
    ],
    ids=lambda value: f"alloy_{value}" if str(value).startswith("C") else "",
)
def test_least_strength_of_a_welded_joint(
    check: str, designation: str, mpa: float, ksi: float
) -> None:
    assert ALLOYS[designation].welded_uts_mpa == mpa, check
    assert mpa / KSI_MPA == pytest.approx(ksi, abs=0.1)


# AlcoTec Technical Guide: typical strength of groove welds as welded [ksi].
@pytest.mark.parametrize(
    ("check", "alloy", "filler", "ksi"),
    [
        ("C07", "3003", "1100", 16),
        ("C10", "2219", "2319", 35),
        ("C14", "5052", "5356", 28),
        ("C35", "6061", "4043", 27),
        ("C35", "6061", "5356", 30),
    ],
    ids=lambda value: f"alloy_{value}" if str(value).startswith("C") else "",
)
def test_typical_strength_of_a_groove_weld(check: str, alloy: str, filler: str, ksi: float) -> None:
    as_welded = next(
        each for each in groove_strengths(alloy, filler) if not each.heat_treated_after
    )
    assert as_welded.uts_ksi == ksi, check
    offers = {each.designation: each for each in choose(alloy, weld="v_groove").fillers}
    assert as_welded.says in offers[filler].reasons


# EN 1999-1-1 Table 3.2b: 6061-T6 115 / 175 MPa.
def test_alloy_c40_heat_affected_zone_of_6061() -> None:
    alloy = ALLOYS["6061"]
    assert (alloy.haz_proof_mpa, alloy.haz_uts_mpa) == (115, 175)


# Lloyd's Register linkspan rules give 125 / 190 MPa for welded 6082-T6; EN 1999-1-1, from memory,
# 125 / 185. We keep the lower one.
def test_alloy_c39_heat_affected_zone_of_6082() -> None:
    alloy = ALLOYS["6082"]
    assert alloy.haz_proof_mpa == 125
    assert alloy.haz_uts_mpa == 185 < 190
    assert alloy.sources["haz"] == ("memory-en-1999-1-1", "alloy-S13")


# Armao on 5356 against 4043: "almost 50 %" more along a fillet. Shear from memory.
def test_alloy_c60_5356_holds_half_as_much_again_as_4043() -> None:
    magnesium, silicon = FILLERS["5356"].shear_along_mpa, FILLERS["4043"].shear_along_mpa
    assert magnesium
    assert silicon
    assert magnesium / silicon == pytest.approx(1.5, abs=0.03)
