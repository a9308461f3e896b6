"""Sets of limits of the school's own: typed as rows, stored in the shape that the engine reads."""

import json
from pathlib import Path
from typing import Any, get_args

import jsonschema
import pytest
from django.test import Client

from coursework.assess import school_rules
from coursework.forms.limit_set import JUDGED_BY, OF, LimitRow, rows_of
from coursework.models import Exercise, School, SchoolSettings, User
from weldlog.engine.limits import TERMS, JudgedBy, Reference

pytestmark = pytest.mark.django_db

CONTRACT = Path(__file__).resolve().parents[1] / "contract"
SCHEMA = json.loads((CONTRACT / "rules.schema.json").read_text(encoding="utf-8"))
EXAMPLE = json.loads((CONTRACT / "rules.example.json").read_text(encoding="utf-8"))
SIZE = {"imperfection": "undercut", "judged_by": "size", "base_mm": "0,5", "cap_mm": "1"}
NEVER = {"imperfection": "crack", "judged_by": "never"}


@pytest.fixture
def office(client: Client, coordinator: User) -> Client:
    client.force_login(coordinator)
    return client


def typed(*rows: dict[str, str], name: str = "First term", **more: str) -> dict[str, str]:
    """Return the form as a browser sends it; a blank row still chooses how it is judged."""
    blank = {"judged_by": "size", "base_mm_unit": "mm", "cap_mm_unit": "mm", "in_any_mm_unit": "mm"}
    sent = {"form-TOTAL_FORMS": str(len(rows) + 1), "form-INITIAL_FORMS": "0", "name": name}
    for place, row in enumerate([*rows, {}]):
        sent |= {f"form-{place}-{key}": value for key, value in (blank | row).items()}
    return sent | more


def stored(school: School) -> list[dict[str, Any]]:
    sets: list[dict[str, Any]] = SchoolSettings.objects.get(school=school).limit_sets
    return sets


def shown(office: Client, place: int) -> dict[str, str]:
    """Return what the page of a set would send as it is shown."""
    page = office.get(f"/office/limit-sets/{place}/")
    form, rows = page.context["form"], page.context["rows"]
    sent = {
        "form-TOTAL_FORMS": str(len(rows.forms)),
        "form-INITIAL_FORMS": "0",
        "name": form["name"].value(),
        "based_on": form["based_on"].value(),
    }
    for row in rows:
        for field in row:
            value = field.value()
            widget = row.fields[field.name].widget
            if hasattr(widget, "decompress"):
                text, unit = widget.decompress(value)
                sent |= {field.html_name: text or "", f"{field.html_name}_unit": unit}
            else:
                sent[field.html_name] = "" if value is None else str(value)
    return sent


def test_the_form_knows_every_way_to_judge_and_every_reference() -> None:
    assert set(JUDGED_BY) == set(get_args(JudgedBy))
    assert set(OF) == set(get_args(Reference))
    assert set(LimitRow().fields) == {"imperfection", *TERMS}


def test_rows_are_stored_as_the_contract_says(office: Client, school: School) -> None:
    answer = office.post("/office/limit-sets/0/", typed(SIZE, NEVER), follow=True)
    assert "“manage.py recheck” assesses them again" in answer.text
    assert stored(school) == [
        {
            "name": "First term",
            "limits": [
                {"imperfection": "undercut", "judged_by": "size", "base_mm": 0.5, "cap_mm": 1.0},
                NEVER,
            ],
        }
    ]
    jsonschema.validate({"limit_sets": stored(school)}, SCHEMA)
    rules = school_rules(SchoolSettings.objects.get(school=school))
    words = [each.words.replace("\u00a0", " ") for each in rules.own_sets["First term"].limits]
    assert words == ["up to 0.5 mm (0.02 in), at most 1 mm (0.039 in)", "none"]


def test_inches_become_millimeters(office: Client, school: School) -> None:
    # 1/32 in is 0.79375 mm: 25.4 / 32, by the definition of the inch.
    office.post("/office/limit-sets/0/", typed(SIZE | {"base_mm": "0.03125", "base_mm_unit": "in"}))
    assert stored(school)[0]["limits"][0]["base_mm"] == pytest.approx(0.79375, abs=1e-12)


def test_every_set_of_the_contract_goes_through_the_form_unchanged(
    office: Client, school: School
) -> None:
    """`rules.example.json` is the engine's own example of what a school may set."""
    settings = SchoolSettings.objects.get(school=school)
    settings.limit_sets = EXAMPLE["limit_sets"]
    settings.save()
    assert settings.limit_sets
    for place in range(1, len(settings.limit_sets) + 1):
        answer = office.post(f"/office/limit-sets/{place}/", shown(office, place))
        assert answer.status_code == 302
    assert stored(school) == EXAMPLE["limit_sets"]


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        (NEVER | {"judged_by": "size", "base_mm": "1"}, "A crack is never accepted."),
        (SIZE | {"base_mm": ""}, "needs “Up to”, or factor and of"),
        (SIZE | {"factor": "0.1"}, "Factor and of go together"),
        (SIZE | {"percent": "3"}, "takes no percent"),
        (SIZE | {"in_any_mm": "100"}, "“On so much of the weld, percent” is missing"),
        (SIZE | {"imperfection": ""}, "Choose the imperfection, or clear the row."),
        (SIZE | {"base_mm": "half"}, "is not a number"),
        (SIZE | {"imperfection": "hole"}, "Select a valid choice."),
    ],
)
def test_what_the_engine_refuses_is_said_beside_the_row(
    office: Client, school: School, row: dict[str, str], sentence: str
) -> None:
    answer = office.post("/office/limit-sets/0/", typed(NEVER, row))
    assert answer.status_code == 422
    assert sentence in answer.text
    assert 'value="First term"' in answer.text
    assert answer.context["rows"].forms[0].errors == {}
    assert answer.context["rows"].forms[1].errors
    assert stored(school) == []


@pytest.mark.parametrize("name", ["classroom", "iso10042_c", "Second term"])
def test_a_name_is_given_once(office: Client, school: School, name: str) -> None:
    office.post("/office/limit-sets/0/", typed(SIZE, name="Second term"))
    answer = office.post("/office/limit-sets/0/", typed(SIZE, name=name))
    assert answer.status_code == 422
    assert "There is a set of this name already" in answer.text


def test_a_set_without_a_row_is_refused(office: Client) -> None:
    answer = office.post("/office/limit-sets/0/", typed())
    assert answer.status_code == 422
    assert "Fill in one row at least." in answer.text


def test_more_rows_keep_what_was_typed(office: Client, school: School) -> None:
    answer = office.post("/office/limit-sets/0/", typed(SIZE, more="1"))
    assert answer.status_code == 200
    assert len(answer.context["rows"].forms) == 5
    assert 'value="0,5"' in answer.text
    assert stored(school) == []


def test_a_row_that_is_cleared_is_gone(office: Client, school: School) -> None:
    office.post("/office/limit-sets/0/", typed(SIZE, NEVER))
    sent = shown(office, 1) | {
        "form-0-imperfection": "",
        "form-0-base_mm": "",
        "form-0-cap_mm": "",
    }
    office.post("/office/limit-sets/1/", sent)
    assert stored(school)[0]["limits"] == [NEVER]


def test_the_loser_of_a_race_keeps_what_was_typed(office: Client, school: School) -> None:
    office.post("/office/limit-sets/0/", typed(SIZE))
    mine = shown(office, 1) | {"form-0-base_mm": "0.4"}
    office.post("/office/limit-sets/1/", shown(office, 1) | {"form-0-base_mm": "0.3"})
    answer = office.post("/office/limit-sets/1/", mine)
    assert answer.status_code == 409
    assert "Somebody else changed this set just now." in answer.text
    assert 'value="0.4"' in answer.text
    assert stored(school)[0]["limits"][0]["base_mm"] == 0.3


class TestInUse:
    """An exercise is judged by the set: it keeps its name and stays."""

    @pytest.fixture
    def used(self, office: Client, exercise: Exercise) -> Exercise:
        office.post("/office/limit-sets/0/", typed(SIZE))
        exercise.acceptance_set = "First term"
        exercise.save()
        return exercise

    @pytest.mark.parametrize("change", [{"name": "Other"}, {"remove": "1"}])
    def test_it_is_refused(
        self, office: Client, school: School, used: Exercise, change: dict[str, str]
    ) -> None:
        answer = office.post("/office/limit-sets/1/", shown(office, 1) | change)
        assert answer.status_code == 409
        assert f"The exercise “{used.title}” is judged by “First term”." in answer.text
        assert stored(school)[0]["name"] == "First term"

    @pytest.mark.usefixtures("used")
    def test_its_rows_may_change(self, office: Client, school: School) -> None:
        office.post("/office/limit-sets/1/", shown(office, 1) | {"form-0-base_mm": "0.3"})
        assert stored(school)[0]["limits"][0]["base_mm"] == 0.3


def test_a_set_is_taken_out(office: Client, school: School) -> None:
    office.post("/office/limit-sets/0/", typed(SIZE))
    office.post("/office/limit-sets/1/", shown(office, 1) | {"remove": "1"})
    assert stored(school) == []


def test_a_set_that_is_not_there_is_not_found(office: Client) -> None:
    assert office.get("/office/limit-sets/1/").status_code == 404


def test_a_new_form_has_blank_rows() -> None:
    assert rows_of(None) == []
