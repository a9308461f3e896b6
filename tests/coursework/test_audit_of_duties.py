"""What is asked, decided, disclosed, held and purged is in the audit table, and stays in it."""

from typing import Any

import pytest

from coursework import corrections, holds, purge_plan, purging
from coursework.disclosures import disclose
from coursework.models import AuditRow, Coupon, Enrolment, School, Section, User
from tests.coursework.past_terms import COUPONS_PAST, close
from tests.factories import MOMENT

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


def written() -> list[tuple[str, str, dict[str, Any]]]:
    """Return act, who, and what it changed to, in the order of the table."""
    return [
        (each.act, each.actor_name, {name: after for name, _before, after in each.changes})
        for each in AuditRow.objects.order_by("number")
    ]


def test_a_correction_request_leaves_a_row_each_time_it_moves(
    enrolment: Enrolment, coupon: Coupon, instructor: User
) -> None:
    before = len(written())
    for _time in range(2):
        asked = corrections.ask(enrolment, coupon, "Not mine.", at=MOMENT)
    corrections.decide(asked, "declined", "It is.", by=instructor, at=MOMENT)
    corrections.state(asked, "It is not.", at=MOMENT)
    assert written()[before:] == [
        ("correction_requested", "Ansa Quill", {"what": "Not mine."}),
        ("correction_decided", "Odo Hale", {"decision": "declined"}),
        ("correction_answered", "Ansa Quill", {"statement": "It is not."}),
    ]


def test_a_disclosure_names_about_whom_to_whom_and_why(
    enrolment: Enrolment, instructor: User
) -> None:
    disclose(instructor, [enrolment], "Record", "Gannet Shipyard", "consent", "On file.")
    row = AuditRow.objects.order_by("-number").first()
    assert row
    assert row.about_name == "Record, to Gannet Shipyard"
    assert written()[-1] == (
        "disclosed",
        "Odo Hale",
        {"about": ["Ansa Quill"], "why": "consent", "note": "On file."},
    )


def test_holds_and_purges_say_what_how_many_and_by_whom_and_outlast_the_purge(
    school: School, section: Section, coupon: Coupon, student: User, coordinator: User
) -> None:
    school = School.objects.select_related("settings").get(pk=school.pk)
    hold = holds.place(school, student, "Complaint.", by=coordinator, at=MOMENT)
    for _time in range(2):
        holds.lift(hold, by=coordinator, at=MOMENT)
    close(section)
    plan = purge_plan.plan(school, COUPONS_PAST)
    purge = purging.start(school, plan, by=coordinator, at=COUPONS_PAST)
    before = len(written())
    list(purging.run(purge, by=coordinator, at=COUPONS_PAST))
    assert [each[:2] for each in written()[before - 3 :]] == [
        ("hold_set", "Runa Moss"),
        ("hold_lifted", "Runa Moss"),
        ("purge_confirmed", "Runa Moss"),
        ("purged", "Runa Moss"),
    ]
    assert written()[-2][2] == {"confirmed": plan.as_json()}
    assert written()[-1][2] == {"outcome": "finished", "removed": {"coupons": 1}}
