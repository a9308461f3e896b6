"""A term that is over and closed, with photos, for what is removed when its time has come."""

from datetime import UTC, datetime, timedelta

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from coursework.models import Coupon, Photo, Section

# The term of the fixtures ends on 2026-11-15; it is closed a few days later.
CLOSED_AT = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
# A year and five years after that, as the defaults have it, and a day.
PHOTOS_PAST = datetime(2027, 11, 22, 12, 0, tzinfo=UTC)
COUPONS_PAST = datetime(2031, 11, 22, 12, 0, tzinfo=UTC)


def close(section: Section) -> Section:
    """Close the term of a section."""
    section.term.closed_at = CLOSED_AT
    section.term.save()
    return section


def add_photo(coupon: Coupon, name: str = "photos/one.jpg") -> Photo:
    """Add a photo with a file of that name, which several photos may share."""
    if not default_storage.exists(name):
        default_storage.save(name, ContentFile(b"picture"))
    return Photo.objects.create(
        coupon=coupon,
        place=coupon.photos.count() + 1,
        file=name,
        width_px=4,
        height_px=3,
        size_bytes=7,
        added_by=coupon.enrolment.user,
        added_at=coupon.handed_in_at + timedelta(minutes=1),
    )
