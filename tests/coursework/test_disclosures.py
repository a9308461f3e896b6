"""What leaves the school is logged: who, what, to whom, why (34 CFR 99.32, from memory)."""

from collections.abc import Callable

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from coursework import disclosures
from coursework.disclosures import disclose
from coursework.models import Disclosure, Enrolment, Section, User
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db

type ClientOf = Callable[[User], Client]

TYPED = {
    "what": "Term record 7QK4-MB2X",
    "to": "R. Vale, Gannet Shipyard",
    "why": "consent",
    "note": "Signed on October 2.",
}


@pytest.fixture
def office(client_of: ClientOf, coordinator: User) -> Client:
    """The coordinator's browser."""
    return client_of(coordinator)


def test_an_instructor_logs_what_leaves_and_the_coordinator_and_the_student_see_it(
    client_of: ClientOf, instructor: User, office: Client, enrolment: Enrolment, classmate: User
) -> None:
    address = f"/sections/{enrolment.section_id}/disclose/?student={enrolment.pk}"
    assert "About one student" in client_of(instructor).get(address).content.decode()
    form = client_of(instructor).get(address).context["form"]
    client_of(instructor).post(address, TYPED | {"what": form["what"].value()})
    logged = Disclosure.objects.get()
    assert logged.what == "Term record, ALW 12, Section A, Fall 2026"
    assert list(logged.enrolments.all()) == [enrolment]
    assert (logged.disclosed_by, logged.why) == (instructor, "consent")
    listed = office.get("/office/disclosures/").content.decode()
    seen = client_of(enrolment.user).get("/corrections/").content.decode()
    for page in (listed, seen):
        assert "R. Vale, Gannet Shipyard" in page
        assert "Signed on October 2." in page
    assert "Gannet" not in client_of(classmate).get("/corrections/").content.decode()


def test_the_records_of_a_section_are_about_everybody_in_it(
    client_of: ClientOf, instructor: User, section: Section, student: User, classmate: User
) -> None:
    client_of(instructor).post(f"/sections/{section.pk}/disclose/", TYPED)
    about = Disclosure.objects.get().enrolments.values_list("user", flat=True)
    assert set(about) == {student.pk, classmate.pk}


def test_a_student_of_another_section_is_not_there(
    client_of: ClientOf, instructor: User, section: Section, stranger: User
) -> None:
    other = Enrolment.objects.get(user=stranger)
    for asked in (other.pk, "x", "9" * 30):
        address = f"/sections/{section.pk}/disclose/?student={asked}"
        assert client_of(instructor).post(address, TYPED).status_code == 404
    assert not Disclosure.objects.exists()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"what": ""}, "Say which file it is."),
        ({"to": ""}, "Say who gets the file."),
        ({"why": ""}, "Choose why they get it."),
        ({"why": "gossip"}, "Choose why they get it."),
        ({"note": ""}, "Say it in a few words; it stays in the log."),
        ({"to": "x" * 161}, "at most 160 characters"),
    ],
)
def test_what_is_missing_is_said_and_nothing_typed_is_lost(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    changes: dict[str, str],
    said: str,
) -> None:
    typed = TYPED | changes
    answer = client_of(instructor).post(f"/sections/{enrolment.section_id}/disclose/", typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert f'value="{typed["to"]}"' in page or not typed["to"]
    assert not Disclosure.objects.exists()


def test_the_log_is_narrowed_to_a_student_and_says_so_on_paper_too(
    office: Client, enrolment: Enrolment, classmate: User, coordinator: User
) -> None:
    other = Enrolment.objects.get(user=classmate)
    disclose(coordinator, [enrolment], "One record", "Gannet Shipyard", "other")
    disclose(coordinator, [enrolment, other], "Two records", "Plover Boats", "interest")
    disclose(coordinator, [other], "Another record", "Dunlin Marine", "interest")
    page = office.get("/office/disclosures/", {"student": enrolment.user_id}).content.decode()
    assert "Files about Ansa Quill that left the school. 2 entries" in page.replace("\n", " ")
    assert page.index("Plover Boats") < page.index("Gannet Shipyard")
    assert "Dunlin Marine" not in page
    assert office.get("/office/disclosures/", {"student": "x"}).status_code == 422


def test_pages_show_every_entry_once_though_all_came_at_one_time(
    office: Client,
    enrolment: Enrolment,
    coordinator: User,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    for number in range(53):
        disclose(coordinator, [enrolment], "Record", f"Reader {number}.", "other")
    with django_assert_max_num_queries(9):
        first = office.get("/office/disclosures/").content.decode()
    second = office.get("/office/disclosures/", {"page": 2}).content.decode()
    for number in range(53):
        assert (first + second).count(f"<b>Reader {number}.</b>") == 1


def test_other_schools_log_is_their_own(
    office: Client, coordinator: User, enrolment: Enrolment
) -> None:
    elsewhere = EnrolmentFactory.create()
    disclose(coordinator, [elsewhere], "Record", "Gannet Shipyard", "other")
    assert "Gannet" not in office.get("/office/disclosures/").content.decode()


def test_a_disclosure_is_about_somebody(coordinator: User) -> None:
    with pytest.raises(ValueError, match="about somebody"):
        disclose(coordinator, [], "Record", "Gannet Shipyard", "other")


def test_hostile_text_stays_text(office: Client, coordinator: User, enrolment: Enrolment) -> None:
    hostile = '<link rel="attachment" href="file:///etc/passwd">\u202e'
    disclose(coordinator, [enrolment], "Record", hostile, "other", hostile)
    page = office.get("/office/disclosures/").content.decode()
    assert "<link rel=&quot;attachment&quot;" not in page
    assert "&lt;link rel=&quot;attachment&quot;" in page


def test_the_sentence_for_the_reader_names_purpose_and_consent() -> None:
    # 34 CFR 99.33, from memory: no further disclosure without consent, use for the purpose only.
    said = str(disclosures.NO_ONWARD_DISCLOSURE)
    assert "purpose" in said
    assert "written consent" in said
