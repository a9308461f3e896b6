"""The preparation of butt joints; common practice, no source, but for printed settings."""

import pytest

from tests.engine.cases_cleaning import Document, gtaw
from tests.engine.cases_joint import groove, square
from tests.engine.judging import severities
from weldlog.engine import setup
from weldlog.engine.facts import read
from weldlog.engine.review import review


def design(document: Document) -> set[str]:
    """Return the rules on the preparation that speak."""
    names = ("setup-square-groove", "setup-groove", "setup-root-face")
    return {rule for rule in severities(setup, document) if rule.startswith(names)}


@pytest.mark.parametrize("more", [{"runs": 2}, {"root_gap_mm": 1.5}, {"weld": "fillet"}])
def test_a_thick_butt_with_a_gap_or_a_run_from_the_back_is_left_alone(more: Document) -> None:
    assert not design(square(10, **more))


def test_what_was_not_logged_of_the_preparation_is_not_asked_for() -> None:
    assert not design(gtaw(weld="v_groove"))
    bare = {name: each for name, each in square(10).items() if name != "root_gap_mm"}
    assert not design(bare)


@pytest.mark.parametrize("thickness_mm", [2, 3.2, 6, 6.35])
def test_printed_square_butts_of_gmaw_are_left_alone(thickness_mm: float) -> None:
    """Square butts of 2 to 6 mm in one run: AlcoTec, Lincoln, OTC Daihen settings; read."""
    assert not design(square(thickness_mm, process="GMAW"))


def test_a_root_face_of_more_than_half_the_plate_is_thick() -> None:
    thin = groove(root_face_mm=2) | {"base_metals": [{"thickness_mm": 3.2}]}
    assert design(thin) == {"setup-root-face-thick"}
    assert design(groove(angle_deg=20, root_face_mm=5)) == {
        "setup-groove-narrow",
        "setup-root-face-thick",
    }


def test_the_preparation_is_evidence_for_incomplete_penetration() -> None:
    said = review(read(square(10) | {"imperfections": [{"number": "402"}]}))
    cause = said.causes[0]
    assert (cause.cause, cause.evidence) == ("gap-small", "recorded")
