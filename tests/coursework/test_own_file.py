"""A student's own coupon log, as a file and at any time."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from coursework.exports.files import OWN_FILES
from coursework.models import Coupon, Enrolment, User
from tests.factories import MOMENT, StudentFactory

type ClientOf = Callable[[User], Client]


def address(name: str) -> str:
    return reverse("coursework:own_file", args=[name])


@pytest.mark.parametrize("page", ["coupons", "progress"])
def test_both_pages_lead_to_every_file(
    page: str, coupon: Coupon, student: User, client_of: ClientOf
) -> None:
    text = client_of(student).get(reverse(f"coursework:{page}")).content.decode()
    assert all(address(name) in text for name in OWN_FILES)


@pytest.mark.parametrize("name", OWN_FILES)
def test_the_log_is_there_without_staff_and_after_leaving(
    name: str, coupon: Coupon, student: User, client_of: ClientOf
) -> None:
    Enrolment.objects.filter(user=student).update(left_at=MOMENT)
    response = client_of(student).get(address(name))
    assert response.headers["Content-Disposition"] == f'attachment; filename="{name}"'
    assert response.headers["Content-Type"] == OWN_FILES[name].content_type
    assert response.getvalue()


def test_who_never_joined_is_led_to_joining(db: None, client_of: ClientOf) -> None:
    response = client_of(StudentFactory.create()).get(address("coupons.csv"))
    assert response.headers["Location"] == reverse("coursework:join")


def test_a_file_that_there_is_not_is_not_found(
    coupon: Coupon, student: User, client_of: ClientOf
) -> None:
    assert client_of(student).get(address("secrets.txt")).status_code == 404
