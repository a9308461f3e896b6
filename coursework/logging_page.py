"""What the pages that log or correct a coupon share: the form, its photos, its answer."""

import uuid
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest
from django.utils.translation import gettext as _

from coursework import access
from coursework.forms.coupon import CouponForm
from coursework.models import Coupon, Enrolment, Exercise
from coursework.photos import PhotoRefused, StoredPhoto, keep, kept, store

MOST_PHOTOS = 6


def last_coupons(enrolment: Enrolment, exercise: Exercise) -> dict[str, Coupon]:
    """Return the coupons to carry over from: of this exercise, and of this process."""
    own = (
        Coupon.objects.filter(enrolment=enrolment, exercise__process=exercise.process)
        .exclude(state=Coupon.State.WITHDRAWN)
        .select_related("facts")
        .order_by("-handed_in_at", "-pk")
    )
    found = {"exercise": own.filter(exercise=exercise).first(), "machine": own.first()}
    return {kind: coupon for kind, coupon in found.items() if coupon}


def coupon_form(
    enrolment: Enrolment,
    exercise: Exercise,
    now: datetime,
    *,
    data: Any = None,
    initial: dict[str, Any] | None = None,
    live: bool = False,
    carry: bool = True,
) -> CouponForm:
    """Return the form for a coupon of an exercise, empty with what carries over, or bound."""
    settings = enrolment.section.term.school.settings
    zone = ZoneInfo(settings.time_zone)
    return CouponForm(
        data,
        initial={"client_id": uuid.uuid4(), **(initial or {})},
        exercise=exercise,
        day=now.astimezone(zone).date(),
        zone=zone,
        metric=settings.metric_first,
        last=last_coupons(enrolment, exercise) if carry and not live else None,
        live=live,
    )


def take_photos(request: HttpRequest, form: CouponForm) -> list[StoredPhoto]:
    """Store the photos of a request; what cannot be taken becomes an error of the form.

    Photos that were sent with an earlier try, and kept because of an error elsewhere, come first.
    """
    owner = access.person(request).pk
    photos = kept(request.POST.get("kept_photos", ""), owner)
    for upload in request.FILES.getlist("photos"):
        if len(photos) >= MOST_PHOTOS:
            form.add_error(
                "photos",
                _("A coupon takes %(most)s photos. The rest were left out.")
                % {"most": MOST_PHOTOS},
            )
            break
        photos += _taken(upload, form)
    form.kept_note = keep(photos, owner)
    form.kept_count = len(photos)
    return photos


def _taken(upload: "UploadedFile[bytes]", form: CouponForm) -> list[StoredPhoto]:
    try:
        return [store(upload, upload.size or 0)]
    except PhotoRefused as refusal:
        form.add_error("photos", f"{upload.name}: {refusal}")
        return []
