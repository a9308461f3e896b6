"""A stored photo, for whoever may look at its coupon."""

from collections.abc import Callable

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse

from coursework.models import Coupon, Photo, User
from tests.factories import MOMENT

type ClientOf = Callable[[User], Client]

PICTURE = b"\xff\xd8\xff\xe0 not much of a picture"


@pytest.fixture
def photo(coupon: Coupon, student: User) -> Photo:
    """A photo of ``coupon`` in the storage."""
    return Photo.objects.create(
        coupon=coupon,
        place=1,
        file=default_storage.save("photos/bead.jpg", ContentFile(PICTURE)),
        width_px=1200,
        height_px=800,
        size_bytes=len(PICTURE),
        added_by=student,
        added_at=MOMENT,
    )


def address(photo: Photo) -> str:
    return reverse("coursework:photo", args=[photo.public_id])


def test_a_photo_is_shown_in_the_page_as_a_picture_and_nothing_else(
    client_of: ClientOf, instructor: User, photo: Photo
) -> None:
    answer = client_of(instructor).get(address(photo))
    assert b"".join(answer) == PICTURE
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["Content-Disposition"] == 'inline; filename="photo-1.jpg"'
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert "private" in answer.headers["Cache-Control"]


def test_a_file_that_is_gone_is_not_found(
    client_of: ClientOf, instructor: User, photo: Photo
) -> None:
    default_storage.delete(photo.file)
    assert client_of(instructor).get(address(photo)).status_code == 404


def test_a_photo_is_for_those_who_may_see_its_coupon(
    client_of: ClientOf,
    instructor: User,
    coordinator: User,
    other_instructor: User,
    student: User,
    classmate: User,
    stranger: User,
    photo: Photo,
) -> None:
    people = {
        instructor: 200,
        coordinator: 200,
        student: 200,
        classmate: 404,
        other_instructor: 404,
        stranger: 404,
    }
    for person, status in people.items():
        assert client_of(person).get(address(photo)).status_code == status, person
    assert Client().get(address(photo)).status_code == 302
