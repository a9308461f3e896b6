"""Sign-in slips for everybody of a class list who has no password yet."""

import re
from datetime import timedelta

import pytest
from django.core.cache import cache
from django.test import Client, override_settings
from django.utils import timezone

from coursework import sign_in_codes
from coursework.models import Enrolment, Section, SignInCode, User
from tests.factories import EnrolmentFactory, StudentFactory

pytestmark = pytest.mark.django_db

PASSWORD = "quiet torch on the bench"  # noqa: S105 - of an invented person
PBKDF2 = "django.contrib.auth.hashers.PBKDF2PasswordHasher"


@pytest.fixture(autouse=True)
def no_tries_yet() -> None:
    cache.clear()


@pytest.fixture
def listed(section: Section) -> list[User]:
    """Four students of a class list; the first has a password, the last has no access any more."""
    found = [
        StudentFactory.create(school=section.term.school, username=name, first_name=name.title())
        for name in ("ada", "bo", "cy", "dag")
    ]
    for each in found:
        EnrolmentFactory.create(section=section, user=each)
    for each in found[1:]:
        each.set_unusable_password()
        each.save()
    User.objects.filter(username="dag").update(is_active=False)
    return found


def address(section: Section) -> str:
    return f"/sections/{section.pk}/roster/slips/"


def slips(page: str) -> dict[str, str]:
    """Return the codes of a page by user name."""
    cells = re.findall(r'<dd class="big">\s*(\S+)\s*</dd>', page)
    return dict(zip(cells[::2], cells[1::2], strict=True))


def test_whoever_has_no_password_gets_one_that_works(
    client: Client, instructor: User, section: Section, listed: list[User]
) -> None:
    client.force_login(instructor)
    made = slips(client.post(address(section)).text)
    assert set(made) == {"bo", "cy"}
    student = Client()
    student.post("/sign-in/", {"username": "bo", "password": made["bo"]})
    student.post("/sign-in/new-password/", {"new_password1": PASSWORD, "new_password2": PASSWORD})
    assert student.get("/bench/").status_code == 200


def test_they_are_good_for_a_week_and_earlier_ones_end(
    client: Client, instructor: User, section: Section, listed: list[User]
) -> None:
    earlier = sign_in_codes.make(listed[1], by=instructor, at=timezone.now())
    client.force_login(instructor)
    client.post(address(section))
    code = SignInCode.objects.filter(user=listed[1]).latest("pk")
    assert code.expires_at - code.made_at == timedelta(days=7)
    assert sign_in_codes.find("bo", earlier, address="", at=timezone.now()) is None


def test_the_roster_offers_them_while_somebody_has_none(
    client: Client, instructor: User, section: Section, listed: list[User]
) -> None:
    client.force_login(instructor)
    roster = f"/sections/{section.pk}/roster/"
    assert "Sign-in slips for 2 students" in client.get(roster).text
    for each in listed:
        each.set_password(PASSWORD)
        each.save()
    assert "Sign-in slip" not in client.get(roster).text
    said = client.post(address(section), follow=True).text
    assert "Everybody in the section has a password already." in said


def test_who_waits_or_has_left_gets_none(
    client: Client, instructor: User, section: Section, listed: list[User]
) -> None:
    Enrolment.objects.filter(user=listed[1]).update(waits_for_approval=True)
    Enrolment.objects.filter(user=listed[2]).update(left_at=timezone.now())
    client.force_login(instructor)
    client.post(address(section))
    assert not SignInCode.objects.exists()


@override_settings(PASSWORD_HASHERS=[PBKDF2])
def test_a_code_is_hashed_for_a_week_and_not_for_years(
    client: Client, instructor: User, section: Section, listed: list[User]
) -> None:
    """Thirty-two codes hashed like passwords would keep the page waiting for ten seconds."""
    code = sign_in_codes.make(listed[1], by=instructor, at=timezone.now())
    stored = SignInCode.objects.get().code_hash
    assert stored.startswith(f"pbkdf2_sha256${sign_in_codes.ITERATIONS}$")
    assert code not in stored
    found = sign_in_codes.find("bo", code, address="", at=timezone.now())
    assert found is not None
    assert sign_in_codes.find("bo", "7QK4MB2X", address="", at=timezone.now()) is None
