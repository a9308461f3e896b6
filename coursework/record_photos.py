"""Photos for a printed record: a few, small, of coupons that count."""

import base64
import io
from dataclasses import dataclass
from typing import Final

from django.core.files.storage import default_storage
from PIL import Image

from coursework.models import IssuedRecord, Photo
from coursework.record import TermRecord

MOST_PHOTOS: Final = 6
# Printed 56 mm wide: 200 dots an inch and more.
LONGEST_SIDE_PX: Final = 448
JPEG_QUALITY: Final = 70


@dataclass(frozen=True, slots=True)
class RecordPhoto:
    """One photo as it is printed; ``address`` holds the picture itself."""

    coupon: int
    exercise: str
    description: str
    address: str


def photos_of(issued: IssuedRecord, record: TermRecord) -> tuple[RecordPhoto, ...]:
    """Return a photo of the newest coupon that counts of each exercise, for the last six of them.

    Photos are never replaced, and those added after the record was issued are left out, so that
    an issued record prints with the same photos for as long as they are kept. One query.
    """
    exercises = {each.number: each.exercise for each in record.coupons}
    found = Photo.objects.filter(
        coupon__enrolment=issued.enrolment_id,
        coupon__number__in=exercises,
        added_at__lte=issued.issued_at,
    ).order_by("-coupon__number", "place", "pk")
    chosen: dict[str, RecordPhoto] = {}
    for number, file, description in found.values_list("coupon__number", "file", "description"):
        exercise = exercises[number]
        if exercise in chosen or not default_storage.exists(file):
            continue
        chosen[exercise] = RecordPhoto(number, exercise, description, _address(file))
        if len(chosen) == MOST_PHOTOS:
            break
    return tuple(sorted(chosen.values(), key=lambda each: each.coupon))


def _address(file: str) -> str:
    """Return a stored photo as a small JPEG in a ``data:`` address."""
    made = io.BytesIO()
    with default_storage.open(file) as stored, Image.open(stored, formats=["JPEG"]) as picture:
        picture.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
        picture.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
        picture.convert("RGB").save(made, "JPEG", quality=JPEG_QUALITY, optimize=True)
    return "data:image/jpeg;base64," + base64.b64encode(made.getvalue()).decode()
