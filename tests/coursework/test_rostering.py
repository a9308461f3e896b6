"""What a class list changes in a section: shown first, applied whole or not at all."""

from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from coursework import roster, rostering, usernames
from coursework.conflicts import ClosedTerm
from coursework.models import Coupon, Enrolment, Section, User
from coursework.roster_diff import Diff, Kind, compare
from tests.factories import (
    EnrolmentFactory,
    InstructorFactory,
    SchoolFactory,
    StudentFactory,
)

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 9, 14, 15, 0, tzinfo=UTC)
HEADER = "last name,first name,student number,user name,source id\n"


def diff_of(section: Section, text: str, *, complete: bool = True) -> Diff:
    found = roster.read(HEADER + text)
    assert found.problems == ()
    return compare(section, found.rows, complete=complete)


def applied(section: Section, text: str, *, complete: bool = True, **more: Any) -> Diff:
    rows = roster.read(HEADER + text).rows
    shown = compare(section, rows, complete=complete)
    assert shown.problems == ()
    return rostering.apply(
        section, rows, complete=complete, fingerprint=shown.fingerprint, by=None, at=NOW, **more
    )


def kinds(diff: Diff) -> dict[str, Kind]:
    return {each.row.last_name: each.kind for each in diff.changes}


def enrolled(section: Section, last_name: str, **state: Any) -> Enrolment:
    user = StudentFactory.create(
        school=section.term.school, first_name="Ansa", last_name=last_name, student_number=""
    )
    return EnrolmentFactory.create(section=section, user=user, **state)


def test_a_list_finds_who_is_new_who_is_there_and_who_is_not_listed(section: Section) -> None:
    enrolled(section, "Quill")
    gone = enrolled(section, "Tansy")
    diff = diff_of(section, "Quill,Ansa\nRook,Cilla\n")
    assert kinds(diff) == {"Quill": Kind.STAYS, "Rook": Kind.NEW}
    assert diff.leaving == (gone,)
    assert [each.row.last_name for each in diff.unchanged] == ["Quill"]


def test_a_part_of_the_section_makes_nobody_leave(section: Section) -> None:
    enrolled(section, "Quill")
    assert diff_of(section, "Rook,Cilla\n", complete=False).leaving == ()


def test_new_students_get_an_account_that_no_password_opens(section: Section) -> None:
    applied(section, "Rook,Cilla,S7,,x-1\n")
    user = User.objects.get(username="crook")
    assert (user.school, user.role, user.student_number) == (section.term.school, "student", "S7")
    assert (user.source_id, user.has_usable_password()) == ("x-1", False)
    place = Enrolment.objects.get(section=section, user=user)
    assert (place.role, place.joined_at, place.left_at) == ("student", NOW, None)


def test_who_is_not_listed_leaves_and_keeps_the_coupons(
    section: Section, coupon: Coupon, enrolment: Enrolment
) -> None:
    applied(section, "Rook,Cilla\n")
    enrolment.refresh_from_db()
    assert enrolment.left_at == NOW
    assert Coupon.objects.get().enrolment == enrolment


def test_who_left_comes_back_to_the_same_place(section: Section) -> None:
    before = enrolled(section, "Quill", left_at=NOW)
    assert kinds(diff_of(section, "Quill,Ansa\n")) == {"Quill": Kind.BACK}
    applied(section, "Quill,Ansa\n")
    assert Enrolment.objects.get(section=section).pk == before.pk
    assert Enrolment.objects.get(section=section).left_at is None


def test_who_waits_is_let_in_by_the_list_and_stays_waiting_without_it(section: Section) -> None:
    enrolled(section, "Quill", waits_for_approval=True)
    enrolled(section, "Tansy", waits_for_approval=True)
    diff = applied(section, "Quill,Ansa\n")
    assert kinds(diff) == {"Quill": Kind.LET_IN}
    assert diff.leaving == ()
    waiting = Enrolment.objects.filter(waits_for_approval=True)
    assert [each.user.last_name for each in waiting] == ["Tansy"]


def test_a_student_of_the_school_joins_with_the_account_that_is_there(
    section: Section, stranger: User
) -> None:
    stranger.student_number = "S9"
    stranger.save()
    assert kinds(applied(section, "Rook,Ansa,S9\n")) == {"Rook": Kind.JOINS}
    assert Enrolment.objects.filter(user=stranger).count() == 2


def test_a_list_corrects_names_and_numbers_of_those_who_stay(section: Section) -> None:
    place = enrolled(section, "Quill")
    place.user.student_number = "S1"
    place.user.save()
    diff = applied(section, "Quill-Rook,Ansa,S1\n")
    assert diff.corrected[0].renamed_from == "Quill, Ansa"
    place.user.refresh_from_db()
    assert place.user.last_name == "Quill-Rook"


def test_who_joined_by_code_is_known_by_name_and_given_the_number(section: Section) -> None:
    place = enrolled(section, "Quill")
    diff = applied(section, "quill,ANSA,S1,aquill,x-1\n")
    assert [each.kind for each in diff.changes] == [Kind.STAYS]
    place.user.refresh_from_db()
    assert (place.user.student_number, place.user.source_id) == ("S1", "x-1")
    assert place.user.username != "aquill"


def test_a_namesake_with_another_number_is_somebody_else(section: Section) -> None:
    place = enrolled(section, "Quill")
    place.user.student_number = "S1"
    place.user.save()
    diff = diff_of(section, "Quill,Ansa,S1\nQuill,Ansa,S2\n")
    assert [each.kind for each in diff.changes] == [Kind.STAYS, Kind.NEW]


def test_what_a_list_leaves_empty_stays_as_it_is(section: Section) -> None:
    place = enrolled(section, "Quill")
    User.objects.filter(pk=place.user_id).update(student_number="S1", source_id="x-1")
    assert diff_of(section, "Quill,Ansa\n").is_empty


# --- refused


def reason(section: Section, text: str) -> str:
    diff = compare(section, roster.read(HEADER + text).rows, complete=True)
    with pytest.raises(rostering.RosterMoved):
        rostering.apply(
            section,
            roster.read(HEADER + text).rows,
            complete=True,
            fingerprint=diff.fingerprint,
            by=None,
            at=NOW,
        )
    return "\n".join(map(str, diff.problems))


def test_a_number_that_is_mistyped_fetches_nobody(section: Section, stranger: User) -> None:
    stranger.student_number = "S9"
    stranger.save()
    assert "Line 2: This number or user name is that of a student of another name." in reason(
        section, "Quill,Ansa,S9\n"
    )


def test_staff_and_people_of_another_school_are_no_students_here(
    section: Section, instructor: User
) -> None:
    StudentFactory.create(school=SchoolFactory.create(), username="faraway")
    text = f"Hale,Odo,,{instructor.username}\nPerson,Test,,FARAWAY\n"
    said = reason(section, text).splitlines()
    assert said == [
        "Line 2: This user name belongs to somebody who is no student here.",
        "Line 3: This user name belongs to somebody who is no student here.",
    ]


def test_a_line_that_means_two_people_is_refused(section: Section) -> None:
    one, two = enrolled(section, "Quill").user, enrolled(section, "Tansy").user
    User.objects.filter(pk=one.pk).update(student_number="S1")
    assert "belong to different people" in reason(section, f"Quill,Ansa,S1,{two.username}\n")


def test_two_lines_that_mean_one_student_are_refused(section: Section) -> None:
    one = enrolled(section, "Quill").user
    User.objects.filter(pk=one.pk).update(student_number="S1")
    said = reason(section, f"Quill,Ansa,S1\nQuill,Ansa,,{one.username}\n")
    assert said == "Line 3: Another line means the same student."


def test_two_of_a_name_in_the_section_want_a_number(section: Section) -> None:
    enrolled(section, "Quill")
    enrolled(section, "Quill")
    assert "Line 2: Two students of the section have this name." in reason(section, "Quill,Ansa\n")


def test_one_wrong_line_keeps_every_line_from_being_applied(
    section: Section, instructor: User
) -> None:
    before = list(User.objects.values()), list(Enrolment.objects.values())
    reason(section, f"Rook,Cilla\nTansy,Bero\nHale,Odo,,{instructor.username}\n")
    assert (list(User.objects.values()), list(Enrolment.objects.values())) == before


def test_a_change_that_was_not_shown_is_not_made(section: Section) -> None:
    rows = roster.read(HEADER + "Rook,Cilla\n").rows
    shown = compare(section, rows, complete=True)
    enrolled(section, "Quill")
    with pytest.raises(rostering.RosterMoved):
        rostering.apply(
            section, rows, complete=True, fingerprint=shown.fingerprint, by=None, at=NOW
        )
    assert not User.objects.filter(last_name="Rook").exists()


def test_a_user_name_taken_meanwhile_undoes_everything(
    section: Section, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(usernames, "make", lambda names, _: ["crook" for _each in names])
    StudentFactory.create(username="CRook")
    with pytest.raises(rostering.RosterMoved):
        applied(section, "Tansy,Bero,,bero\nRook,Cilla\n")
    assert not User.objects.filter(username="bero").exists()


def test_nothing_changes_in_a_closed_term(section: Section) -> None:
    place = enrolled(section, "Quill")
    section.term.closed_at = NOW
    section.term.save()
    with pytest.raises(ClosedTerm):
        applied(section, "Rook,Cilla\n")
    with pytest.raises(ClosedTerm):
        rostering.take_out(section, [place.pk], by=None, at=NOW)


# --- how many leave


@pytest.mark.parametrize(("students", "leave", "typed"), [(20, 2, False), (20, 3, True)])
def test_more_than_a_tenth_leaving_wants_their_number(
    section: Section, students: int, leave: int, typed: bool
) -> None:
    for number in range(students):
        enrolled(section, f"Person{number}")
    listed = "".join(f"Person{number},Ansa\n" for number in range(leave, students))
    diff = diff_of(section, listed)
    assert (len(diff.leaving), diff.wants_count) == (leave, typed)


def test_instructors_do_not_leave_with_a_list(section: Section, instructor: User) -> None:
    diff = applied(section, "Rook,Cilla\n")
    assert diff.leaving == ()
    assert Enrolment.objects.get(user=instructor).left_at is None


# --- many at once


@pytest.mark.postgres
def test_a_list_costs_as_many_queries_for_forty_students_as_for_four(
    section: Section, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for size in (4, 40):
        lines = "".join(f"Name{size}x{n},Ansa,N{size}-{n}\n" for n in range(size))
        rows = roster.read(HEADER + lines).rows
        shown = compare(section, rows, complete=True)
        with django_assert_max_num_queries(14):
            rostering.apply(
                section, rows, complete=True, fingerprint=shown.fingerprint, by=None, at=NOW
            )
    assert Enrolment.objects.filter(left_at=None).count() == 40


def test_user_names_are_free_and_told_apart_in_any_case(section: Section) -> None:
    InstructorFactory.create(username="AQuill")
    names = [("Ansa", "Quill")] * 14
    made = usernames.make(names, {"aquill3"})
    assert made == ["aquill2", *(f"aquill{n}" for n in range(4, 17))]


@given(st.lists(st.tuples(st.text(max_size=8), st.text(max_size=8)), max_size=12))
def test_whatever_the_names_each_gets_a_user_name_of_its_own(names: list[tuple[str, str]]) -> None:
    made = usernames.make(names)
    assert len({each.lower() for each in made}) == len(names)
    assert all(roster.USERNAME.fullmatch(each) for each in made)


def test_a_section_keeps_the_id_of_the_class_it_came_from(section: Section) -> None:
    applied(section, "Rook,Cilla\n", class_id="c1")
    section.refresh_from_db()
    assert section.source_id == "c1"
