"""Remove what is past its time, batch by batch, and keep a log of it.

A batch is whole or not at all, and every batch asks anew what is due and what is held: a hold that
comes while a purge runs is honored from the next batch on. Nothing is removed that was not
confirmed. Stopped or broken off, a purge has removed what it says it has; the rest is still there.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any, Final

from django.core.files.storage import default_storage
from django.db import IntegrityError, models, transaction
from django.utils.translation import gettext as _

from coursework.audit import record_act
from coursework.conflicts import Conflict
from coursework.locking import lock_school
from coursework.models import (
    Act,
    Assessment,
    BaseMetal,
    CheckResult,
    CleaningStep,
    CorrectionRequest,
    Coupon,
    CouponFacts,
    Disclosure,
    Enrolment,
    ExportFile,
    Finding,
    Grade,
    Imperfection,
    IssuedRecord,
    IssuedSectionRecord,
    Lease,
    Photo,
    Purge,
    Run,
    School,
    Score,
    SecondLook,
    SecondScore,
    SignInCode,
    SignOff,
    User,
)
from coursework.purge_plan import Plan
from coursework.retention import SECTION, Kind, due

A_BATCH: Final = 100
# What hangs from a coupon, and the way to it, leaves first.
OF_COUPONS: Final[tuple[tuple[type[models.Model], str], ...]] = (
    (CheckResult, "coupon"),
    (SecondScore, "second_look__coupon"),
    (SecondLook, "coupon"),
    (Score, "grade__coupon"),
    (Grade, "coupon"),
    (Finding, "assessment__facts__coupon"),
    (Assessment, "facts__coupon"),
    (BaseMetal, "facts__coupon"),
    (Run, "facts__coupon"),
    (CleaningStep, "facts__coupon"),
    (Imperfection, "facts__coupon"),
    (CouponFacts, "coupon"),
    (Lease, "coupon"),
)


class NotAsShown(Conflict):
    """What would be removed is no longer what was shown, or another purge runs."""


def need_as_shown(plan: Plan, shown: str) -> None:
    """Refuse to go on with another plan than the one that was shown, by its fingerprint.

    Raises
    ------
    NotAsShown
        When something else would be removed now.
    """
    if shown != plan.fingerprint:
        raise NotAsShown(_("Something changed since this was shown. Look at it again."))


def start(school: School, plan: Plan, *, by: User, at: datetime) -> Purge:
    """Begin a purge of what was shown and confirmed; :func:`run` removes it.

    Raises
    ------
    NotAsShown
        When another purge of the school is not finished.
    """
    try:
        with transaction.atomic():
            made = Purge.objects.create(
                school=school, started_by=by, started_at=at, confirmed=plan.as_json()
            )
            record_act(by, Act.PURGE_CONFIRMED, made, after={"confirmed": made.confirmed})
            return made
    except IntegrityError as error:
        raise NotAsShown(_("Another purge is not finished yet.")) from error


def unfinished(school: School) -> Purge | None:
    """Return the purge of a school that is neither finished nor stopped."""
    still_open = school.purges.filter(outcome=Purge.Outcome.OPEN)
    return still_open.select_related("started_by", "school__settings").first()


def stop(purge: Purge, *, by: User, at: datetime) -> None:
    """Stop a purge where it is; what is left stays."""
    remove_files(purge)
    _end(purge, Purge.Outcome.STOPPED, by, at)


def run(purge: Purge, *, by: User, at: datetime) -> Iterator[int]:
    """Remove what was confirmed and is still due; yield after each batch how many it removed.

    The purge is finished when nothing is left. It may be left at any batch and run again.

    Parameters
    ----------
    purge : Purge
        With its school and the school's settings at hand.
    by : User
        Who has it run.
    at : datetime
        The moment for which it is worked out what is past its time.
    """
    for kind in Kind:
        while True:
            removed = _batch(purge, kind, at)
            remove_files(purge)
            if not removed:
                break
            yield removed
    remove_files(purge)
    _end(purge, Purge.Outcome.FINISHED, by, at)


@transaction.atomic
def _batch(purge: Purge, kind: Kind, at: datetime) -> int:
    """Remove one batch of a kind, and count it where the purge is logged."""
    lock_school(purge.school_id)
    now = Purge.objects.get(pk=purge.pk)
    if not now.is_open:
        return 0
    confirmed = [each["section"] for each in now.confirmed if each["kind"] == kind]
    rows = due(kind, purge.school, at) if confirmed else due(kind, purge.school, at).none()
    if kind in SECTION:
        rows = rows.filter(**{f"{SECTION[kind]}__in": confirmed})
    batch = list(rows.order_by("pk").values_list("pk", flat=True)[:A_BATCH])
    if batch:
        now.files += REMOVE[kind](batch, at)
        now.removed[kind] = now.removed.get(kind, 0) + len(batch)
        now.save(update_fields=["files", "removed"])
    return len(batch)


@transaction.atomic
def remove_files(purge: Purge) -> None:
    """Remove the photo files that a purge still owes; several rows may share one of them."""
    now = Purge.objects.select_for_update().get(pk=purge.pk)
    if not now.files:
        return
    shared = set(Photo.objects.filter(file__in=now.files).values_list("file", flat=True))
    for name in set(now.files) - shared:
        default_storage.delete(name)
    now.files = []
    now.save(update_fields=["files"])


@transaction.atomic
def _end(purge: Purge, outcome: str, by: User, at: datetime) -> None:
    """Close the log of a purge; of one that has ended the first end stays."""
    still_open = Purge.objects.filter(pk=purge.pk, outcome=Purge.Outcome.OPEN)
    ended = still_open.update(outcome=outcome, ended_at=at)
    purge.refresh_from_db(fields=["outcome", "ended_at", "removed", "files"])
    if ended:
        said = {"outcome": purge.outcome, "removed": purge.removed}
        record_act(by, Act.PURGED, purge, after=said)


def _remove_photos(pks: Iterable[int], _at: datetime) -> list[str]:
    photos = Photo.objects.filter(pk__in=pks)
    names = sorted(set(photos.values_list("file", flat=True)))
    CheckResult.objects.filter(photo__in=pks).update(photo=None)
    photos.delete()
    return names


def _remove_coupons(pks: Iterable[int], at: datetime) -> list[str]:
    coupons = Coupon.objects.filter(pk__in=pks)
    students = set(coupons.values_list("enrolment", flat=True))
    names = _remove_photos(Photo.objects.filter(coupon__in=pks).values_list("pk", flat=True), at)
    coupons.update(facts=None, assessment=None, grade=None)
    for model, way in OF_COUPONS:
        model._default_manager.filter(**{f"{way}__in": pks}).delete()
    coupons.delete()
    _remove_sign_offs(students, at)
    return names


def _remove_sign_offs(students: Iterable[int], at: datetime) -> None:
    """Remove the sign-offs of students who have no coupon left, and note when that was."""
    without = Enrolment.objects.filter(pk__in=students, coupons=None)
    bare = list(without.values_list("pk", flat=True))
    SignOff.objects.filter(enrolment__in=bare).delete()
    Enrolment.objects.filter(pk__in=bare).update(coupons_removed_at=at)


def _remove_records(pks: Iterable[int], _at: datetime) -> list[str]:
    """Remove issued records, and what is kept as long as they are."""
    records = IssuedRecord.objects.filter(pk__in=pks)
    students = set(records.values_list("enrolment", flat=True))
    records.delete()
    bare = list(
        Enrolment.objects.filter(pk__in=students, records=None).values_list("pk", flat=True)
    )
    CorrectionRequest.objects.filter(enrolment__in=bare).delete()
    logged = list(
        Disclosure.objects.filter(enrolments__in=bare).distinct().values_list("pk", flat=True)
    )
    Disclosure.enrolments.through.objects.filter(enrolment__in=bare).delete()
    Disclosure.objects.filter(pk__in=logged, enrolments=None).delete()
    return []


def _remove_section_records(pks: Iterable[int], _at: datetime) -> list[str]:
    IssuedSectionRecord.objects.filter(pk__in=pks).delete()
    return []


def _remove_codes(pks: Iterable[int], _at: datetime) -> list[str]:
    SignInCode.objects.filter(pk__in=pks).delete()
    return []


def _remove_notes(pks: Iterable[int], _at: datetime) -> list[str]:
    ExportFile.objects.filter(pk__in=pks).delete()
    return []


REMOVE: Final[dict[Kind, Any]] = {
    Kind.PHOTOS: _remove_photos,
    Kind.COUPONS: _remove_coupons,
    Kind.RECORDS: _remove_records,
    Kind.SECTION_RECORDS: _remove_section_records,
    Kind.CODES: _remove_codes,
    Kind.FILES: _remove_notes,
}
