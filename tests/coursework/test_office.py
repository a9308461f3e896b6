"""The office: from an empty school to a section with a plan and people who teach it."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from coursework import staffing, terms
from coursework.models import CoursePlan, Enrolment, Rubric, School, Section, SignInCode, User
from tests.factories import (
    MOMENT,
    CoordinatorFactory,
    CoursePlanFactory,
    EnrolmentFactory,
    InstructorFactory,
    SectionFactory,
    StudentFactory,
    TermFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client: Client, coordinator: User) -> Client:
    client.force_login(coordinator)
    return client


def lead_of(section: Section) -> list[str]:
    return list(
        section.enrolments.filter(lead=True, left_at=None).values_list("user__username", flat=True)
    )


def teaching(section: Section) -> set[str]:
    rows = section.enrolments.filter(role="instructor", left_at=None)
    return set(rows.values_list("user__username", flat=True))


class TestFirstPlan:
    """The plan that ships, laid out once, as common practice."""

    def test_it_comes_with_its_rubric_and_windows(self, office: Client, school: School) -> None:
        page = office.get("/office/").text
        assert "common practice, no source: a start to be edited, not a standard" in page
        office.post("/office/plans/first/")
        plan = CoursePlan.objects.get(school=school)
        exercises = plan.exercises.all()
        assert len(exercises) == 12
        assert all(each.windows.exists() for each in exercises)
        version = exercises[0].rubric.current()
        assert version.origin == "common practice, no source"
        assert f"{len(exercises)} exercises" in office.get("/office/").text

    def test_a_second_time_changes_nothing(self, office: Client, school: School) -> None:
        office.post("/office/plans/first/")
        answer = office.post("/office/plans/first/", follow=True)
        assert "is there already" in answer.text
        assert CoursePlan.objects.count() == 1
        assert Rubric.objects.filter(school=school).count() == len(
            {each.rubric_id for each in CoursePlan.objects.get().exercises.all()}
            | set(Rubric.objects.values_list("pk", flat=True))
        )

    def test_another_school_has_its_own(self, office: Client) -> None:
        other = TermFactory.create().school
        office.post("/office/plans/first/")
        assert not CoursePlan.objects.filter(school=other).exists()


class TestSections:
    """A section in one step, and who teaches it."""

    def open_section(self, office: Client, **changes: Any) -> Any:
        term = TermFactory.create(school=School.objects.get())
        plan = CoursePlanFactory.create(school=term.school)
        people = [InstructorFactory.create(school=term.school) for _one in range(2)]
        typed = {
            "name": "A",
            "plan": plan.pk,
            "instructors": [each.pk for each in people],
            "lead": people[1].pk,
        }
        return office.post(f"/office/terms/{term.pk}/sections/new/", typed | changes)

    def test_name_plan_and_instructors_are_one_step(self, office: Client) -> None:
        answer = self.open_section(office)
        section = Section.objects.get()
        assert answer.headers["Location"] == f"/sections/{section.pk}/"
        assert len(teaching(section)) == 2
        assert lead_of(section) == [User.objects.filter(role="instructor").last().username]  # type: ignore[union-attr]
        assert len(section.join_code) == 8

    def test_who_leads_teaches(self, office: Client) -> None:
        answer = self.open_section(office, instructors=[])
        assert answer.status_code == 422
        assert "Who leads also teaches: tick the name above." in answer.text
        assert not Section.objects.exists()

    def test_a_name_is_given_once(self, office: Client, section: Section) -> None:
        typed = {"name": section.name, "plan": section.plan_id}
        answer = office.post(f"/office/terms/{section.term_id}/sections/new/", typed)
        assert answer.status_code == 422
        assert "has a section of that name" in answer.text

    def test_a_plan_or_a_person_of_another_school_is_no_choice(
        self, office: Client, section: Section
    ) -> None:
        typed = {
            "name": "C",
            "plan": CoursePlanFactory.create().pk,
            "instructors": [InstructorFactory.create().pk],
        }
        answer = office.post(f"/office/terms/{section.term_id}/sections/new/", typed)
        assert answer.status_code == 422
        assert "Choose a course plan of this school." in answer.text
        assert "Choose instructors of this school." in answer.text

    def test_who_is_taken_off_sees_the_section_no_more_and_may_come_back(
        self, office: Client, section: Section, instructor: User, other_instructor: User
    ) -> None:
        address = f"/sections/{section.pk}/staff/"
        office.post(address, {"instructors": [other_instructor.pk], "lead": other_instructor.pk})
        assert teaching(section) == {other_instructor.username}
        assert lead_of(section) == [other_instructor.username]
        gone = Client()
        gone.force_login(instructor)
        assert gone.get(f"/sections/{section.pk}/").status_code == 404
        office.post(address, {"instructors": [instructor.pk, other_instructor.pk]})
        assert teaching(section) == {instructor.username, other_instructor.username}
        assert lead_of(section) == []
        assert gone.get(f"/sections/{section.pk}/").status_code == 200

    def test_the_day_on_which_somebody_left_stays(self, section: Section, instructor: User) -> None:
        staffing.set_instructors(section, [], lead=None, by=None, at=MOMENT)
        staffing.set_instructors(section, [], lead=None, by=None, at=MOMENT + timedelta(days=9))
        assert Enrolment.objects.get(user=instructor).left_at == MOMENT


class TestStaff:
    """Added with a code on paper; let go without losing what they did."""

    def test_who_is_added_has_no_password_and_a_code(self, office: Client, school: School) -> None:
        typed = {
            "first_name": "Ife",
            "last_name": "Marrow",
            "username": "ife",
            "role": "instructor",
        }
        answer = office.post("/office/staff/", typed)
        added = User.objects.get(username="ife")
        assert not added.has_usable_password()
        assert (added.school, added.role) == (school, "instructor")
        assert SignInCode.objects.get().user == added
        assert "Sign-in code for Ife Marrow" in answer.text

    @pytest.mark.parametrize(
        ("changes", "sentence"),
        [
            ({"username": "ODO"}, "This user name is taken."),
            ({"role": "student"}, "Select a valid choice."),
            ({"last_name": ""}, "This field is required."),
        ],
    )
    @pytest.mark.usefixtures("instructor")
    def test_what_cannot_be_is_said(
        self, office: Client, changes: dict[str, str], sentence: str
    ) -> None:
        typed = {
            "first_name": "Ife",
            "last_name": "Marrow",
            "username": "ife",
            "role": "instructor",
        }
        before = User.objects.count()
        answer = office.post("/office/staff/", typed | changes)
        assert answer.status_code == 422
        assert sentence in answer.text
        assert 'value="Ife"' in answer.text
        assert User.objects.count() == before

    @pytest.mark.usefixtures("section")
    def test_ended_access_ends_at_once_and_can_be_given_back(
        self, office: Client, instructor: User
    ) -> None:
        there = Client()
        there.force_login(instructor)
        address = f"/people/{instructor.pk}/access/"
        office.post(address, {"access": "end"})
        assert there.get("/sections/").status_code == 302
        assert "no access" in office.get("/office/staff/").text
        office.post(address, {"access": "back"})
        assert User.objects.get(pk=instructor.pk).is_active

    def test_nobody_ends_the_own_access(self, office: Client, coordinator: User) -> None:
        answer = office.post(f"/people/{coordinator.pk}/access/", {"access": "end"}, follow=True)
        assert "You cannot end your own access." in answer.text
        assert User.objects.get(pk=coordinator.pk).is_active

    def test_an_instructor_becomes_a_coordinator_and_comes_back(
        self, office: Client, coordinator: User
    ) -> None:
        someone = InstructorFactory.create(school=coordinator.school)
        address = f"/people/{someone.pk}/role/"
        said = office.post(address, {"role": "coordinator"}, follow=True)
        assert f"{someone} is coordinator now." in said.text
        there = Client()
        there.force_login(someone)
        assert there.get("/office/staff/").status_code == 200
        there.post(f"/people/{coordinator.pk}/role/", {"role": "instructor"})
        assert office.get("/office/staff/").status_code == 403
        own = there.post(address, {"role": "instructor"}, follow=True)
        assert f"{someone} is the last coordinator." in own.text
        assert User.objects.get(pk=someone.pk).is_coordinator

    def test_who_could_not_sign_in_is_no_coordinator_to_leave_the_office_to(
        self, office: Client, coordinator: User, school: School
    ) -> None:
        gone = CoordinatorFactory.create(school=school)
        office.post(f"/people/{gone.pk}/access/", {"access": "end"})
        CoordinatorFactory.create()
        said = office.post(f"/people/{coordinator.pk}/role/", {"role": "instructor"}, follow=True)
        assert "is the last coordinator. Make somebody else a coordinator first." in said.text
        with pytest.raises(staffing.NeverAlone):
            staffing.end_access(coordinator, by=gone)

    def test_who_teaches_stays_an_instructor_until_somebody_else_does(
        self, office: Client, section: Section, instructor: User
    ) -> None:
        address = f"/people/{instructor.pk}/role/"
        said = office.post(address, {"role": "coordinator"}, follow=True).text
        assert f"{instructor} teaches {section}. Say first who teaches there" in said
        assert User.objects.get(pk=instructor.pk).is_instructor
        staffing.set_instructors(section, [], lead=None, by=None, at=MOMENT)
        office.post(address, {"role": "coordinator"})
        assert User.objects.get(pk=instructor.pk).is_coordinator

    def test_a_student_has_no_role_to_change(self, office: Client, student: User) -> None:
        answer = office.post(f"/people/{student.pk}/role/", {"role": "coordinator"})
        assert answer.status_code == 404
        with pytest.raises(ValueError, match="Only instructors and coordinators"):
            staffing.change_role(student, "coordinator", by=student)
        assert User.objects.get(pk=student.pk).is_student


def test_an_instructor_is_told_who_runs_the_office(
    client: Client, instructor: User, coordinator: User
) -> None:
    client.force_login(instructor)
    page = client.get("/office/").text
    assert str(coordinator) in page
    assert "/office/staff/" not in page


@pytest.mark.parametrize(("address", "most"), [("/office/", 14), ("/office/staff/", 8)])
def test_more_terms_sections_and_people_cost_no_further_query(
    office: Client,
    section: Section,
    instructor: User,
    django_assert_max_num_queries: Any,
    address: str,
    most: int,
) -> None:
    for _term in range(4):
        term = TermFactory.create(school=section.term.school)
        for _section in range(4):
            one = SectionFactory.create(term=term, plan=section.plan)
            people = [InstructorFactory.create(school=term.school) for _person in range(2)]
            staffing.set_instructors(one, people, lead=people[0], by=None, at=MOMENT)
    with django_assert_max_num_queries(most):
        assert office.get(address).status_code == 200


def test_a_term_with_many_sections_costs_no_further_query(
    office: Client, section: Section, django_assert_max_num_queries: Any
) -> None:
    for number in range(8):
        one = terms.open_section(
            section.term,
            section.plan,
            name=f"M{number}",
            instructors=[InstructorFactory.create(school=section.term.school)],
            lead=None,
            by=None,
            at=MOMENT,
        )
        assert len(teaching(one)) == 1
    with django_assert_max_num_queries(7):
        page = office.get(f"/office/terms/{section.term_id}/").text
    assert page.count("Who teaches") == 9


class TestFirstSteps:
    """What a new school still needs, the next thing first, until a student is there."""

    def next_step(self, office: Client) -> str:
        page = office.get("/office/").text
        start = page.index('id="first-steps"')
        steps = page[start : page.index("</ol>", start)]
        found = re.findall(r"<b>(\d [^<]+)</b>", steps.partition('class="go"')[0])
        return str(found[-1])

    def test_a_coordinator_without_a_section_lands_in_the_office(
        self, office: Client, section: Section
    ) -> None:
        assert office.get("/").headers["Location"] == "/sections/"
        section.delete()
        assert office.get("/").headers["Location"] == "/office/"

    def test_each_step_leads_to_the_next(
        self, office: Client, school: School, coordinator: User
    ) -> None:
        assert self.next_step(office) == "1 Start from a course plan"
        office.post("/office/plans/first/")
        assert self.next_step(office) == "2 Add the instructors"
        teacher = InstructorFactory.create(school=school)
        assert self.next_step(office) == "3 Open a term"
        term = TermFactory.create(school=school)
        assert self.next_step(office) == "4 Open a section in it"
        assert f"/office/terms/{term.pk}/sections/new/" in office.get("/office/").text
        plan = CoursePlan.objects.get()
        section = terms.open_section(
            term, plan, name="A", instructors=[teacher], lead=None, by=coordinator, at=MOMENT
        )
        assert self.next_step(office) == "5 Bring the students in"
        EnrolmentFactory.create(section=section, user=StudentFactory.create(school=school))
        assert "First steps" not in office.get("/office/").text

    def test_a_closed_term_is_no_place_for_a_section(self, office: Client, school: School) -> None:
        CoursePlanFactory.create(school=school)
        InstructorFactory.create(school=school)
        TermFactory.create(school=school, closed_at=MOMENT)
        assert self.next_step(office) == "3 Open a term"

    def test_a_section_form_without_instructors_says_where_they_come_from(
        self, office: Client, school: School
    ) -> None:
        term = TermFactory.create(school=school)
        plan = CoursePlanFactory.create(school=school)
        address = f"/office/terms/{term.pk}/sections/new/"
        assert "The school has no instructor yet." in office.get(address).text
        section_page = office.post(address, {"name": "A", "plan": plan.pk}, follow=True).text
        assert "Nobody teaches this section yet." in section_page
