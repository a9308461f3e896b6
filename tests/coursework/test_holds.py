"""The page on which records are put on hold, and the hold lifted."""

from collections.abc import Callable

import pytest
from django.test import Client

from coursework.models import Enrolment, Hold, Section, User
from tests.factories import StudentFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client_of: Callable[[User], Client], coordinator: User) -> Client:
    """The coordinator's browser."""
    return client_of(coordinator)


def test_a_student_and_a_section_are_put_on_hold_and_the_hold_is_lifted(
    office: Client, enrolment: Enrolment, section: Section, coordinator: User
) -> None:
    office.post("/office/holds/", {"student": enrolment.user_id, "reason": "Asked for the file."})
    office.post("/office/holds/", {"section": section.pk, "reason": "An audit."})
    page = office.get("/office/holds/").content.decode()
    assert page.index("An audit.") < page.index("Asked for the file.")
    assert "ALW 12, Section A, Fall 2026" in page
    hold = Hold.objects.get(student=enrolment.user)
    assert hold.placed_by == coordinator
    assert "lifted" in office.post(f"/office/holds/{hold.pk}/lift/", follow=True).content.decode()
    hold.refresh_from_db()
    assert hold.lifted_by == coordinator


@pytest.mark.parametrize("chosen", [[], ["student", "section"]])
def test_one_of_the_two_is_chosen_and_what_was_typed_stays(
    office: Client, enrolment: Enrolment, section: Section, chosen: list[str]
) -> None:
    both = {"student": enrolment.user_id, "section": section.pk}
    answer = office.post(
        "/office/holds/", {name: both[name] for name in chosen} | {"reason": "An audit."}
    )
    assert answer.status_code == 422
    assert "Choose a student or a section, one of the two." in answer.content.decode()
    assert 'value="An audit."' in answer.content.decode()
    assert not Hold.objects.exists()


def test_a_student_of_another_school_is_not_on_the_list(office: Client) -> None:
    answer = office.post("/office/holds/", {"student": StudentFactory.create().pk, "reason": "x"})
    assert answer.status_code == 422
    assert not Hold.objects.exists()


def test_the_first_moment_of_a_lift_stays(
    office: Client, enrolment: Enrolment, coordinator: User
) -> None:
    office.post("/office/holds/", {"student": enrolment.user_id, "reason": "Audit."})
    hold = Hold.objects.get()
    office.post(f"/office/holds/{hold.pk}/lift/")
    first = Hold.objects.get().lifted_at
    office.post(f"/office/holds/{hold.pk}/lift/")
    assert Hold.objects.get().lifted_at == first
