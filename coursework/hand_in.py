"""Handing a coupon in, correcting it, withdrawing it."""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F, Max

from coursework import audit, terms
from coursework.assess import assess
from coursework.conflicts import OtherContent, StaleCoupon
from coursework.locking import locked_enrolment
from coursework.models import (
    Act,
    BaseMetal,
    CleaningStep,
    Coupon,
    CouponFacts,
    Enrolment,
    Exercise,
    Imperfection,
    Photo,
    Run,
    User,
)
from coursework.models.facts import (
    FILLER_MEMBERS,
    GROUP_MEMBERS,
    PLAIN_MEMBERS,
    RUN_MEMBERS,
    Document,
)
from coursework.photos import StoredPhoto

type TypedValues = dict[str, dict[str, str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """What a student states about a coupon at one time."""

    document: Document
    typed: TypedValues = field(default_factory=dict)
    timed: bool | None = None
    reason: str = ""
    predicted_level: int | None = None


@dataclass(frozen=True, slots=True)
class FactsRows:
    """Facts of a coupon and the rows that belong to them, not yet saved."""

    facts: CouponFacts
    base_metals: list[BaseMetal]
    runs: list[Run]
    cleaning_steps: list[CleaningStep]
    imperfections: list[Imperfection]

    def save(self) -> CouponFacts:
        """Save all rows and return the facts."""
        self.facts.save()
        BaseMetal.objects.bulk_create(self.base_metals)
        Run.objects.bulk_create(self.runs)
        CleaningStep.objects.bulk_create(self.cleaning_steps)
        Imperfection.objects.bulk_create(self.imperfections)
        return self.facts


def _moments(members: Document) -> Document:
    """Return the members with times of day read from their ISO text."""
    return {
        name: datetime.fromisoformat(value)
        if name in {"at", "arc_started_at"} and isinstance(value, str)
        else value
        for name, value in members.items()
    }


def _columns(document: Document) -> Document:
    """Return the columns of ``CouponFacts`` that a document fills."""
    columns = {name: document[name] for name in PLAIN_MEMBERS if name in document}
    for group, members in GROUP_MEMBERS.items():
        stated = document.get(group, {})
        columns |= {f"{group}_{name}": stated[name] for name in members if name in stated}
    if "filler" in document:
        filler = document["filler"]
        columns["filler_answer"] = "none" if filler is None else "used"
        columns |= {f"filler_{name}": (filler or {}).get(name) for name in FILLER_MEMBERS}
        columns = {name: value for name, value in columns.items() if value is not None}
    return _moments(columns)


def _run_documents(document: Document) -> list[Document]:
    """Return the members of each run; like runs are one, with their count."""
    if "run_list" in document:
        return list(document["run_list"])
    run = {name: document[name] for name in RUN_MEMBERS if name in document}
    return [run | {"count": document.get("runs", 1)}]


def rows_of(
    coupon: Coupon,
    number: int,
    statement: Statement,
    stated_by: User,
    stated_at: datetime,
) -> FactsRows:
    """Return the rows that hold what a coupon states, not yet saved.

    Parameters
    ----------
    coupon : Coupon
        May be unsaved, as long as it is saved before the rows are.
    number : int
        1 as handed in, then one more for each correction.
    statement : Statement
        Its document is in the shape that the engine reads, base units.
    """
    document = statement.document
    facts = CouponFacts(
        coupon=coupon,
        number=number,
        stated_by=stated_by,
        stated_at=stated_at,
        typed=statement.typed,
        arc_time_timed=statement.timed,
        reason=statement.reason,
        cleaning_asked="cleaning" in document,
        imperfections_asked="imperfections" in document,
        **_columns(document),
    )

    def numbered(model: Any, place: str, members: Iterable[Document]) -> list[Any]:
        return [
            model(facts=facts, **{place: count}, **_moments(each))
            for count, each in enumerate(members, start=1)
        ]

    return FactsRows(
        facts,
        numbered(BaseMetal, "side", document.get("base_metals", ())),
        numbered(Run, "place", _run_documents(document)),
        numbered(CleaningStep, "place", document.get("cleaning", ())),
        numbered(Imperfection, "place", document.get("imperfections", ())),
    )


def hand_in(
    enrolment: Enrolment,
    exercise: Exercise,
    statement: Statement,
    *,
    client_id: uuid.UUID,
    content_hash: str,
    photos: Sequence[StoredPhoto],
    logged_by: User | None = None,
    at: datetime,
) -> tuple[Coupon, bool]:
    """Store a coupon, review it, and say whether it is new.

    Sending the same content again under the same client id returns the coupon that is there.

    Parameters
    ----------
    logged_by : User or None
        Who logs it for a student without a phone; the coupon is the student's all the same.

    Raises
    ------
    OtherContent
        When the client id stands for a coupon that says something else.
    ClosedTerm
        When the term is closed.
    """
    try:
        with transaction.atomic():
            # The lock keeps two phones of one student from taking the same number, and what is
            # read under it tells the section that the student is in now.
            enrolment = locked_enrolment(enrolment.pk)
            found = Coupon.objects.filter(enrolment=enrolment, client_id=client_id).first()
            if found is None:
                terms.need_open(enrolment.section.term)
                coupon = Coupon(
                    client_id=client_id,
                    content_hash=content_hash,
                    enrolment=enrolment,
                    exercise=exercise,
                    logged_by=logged_by,
                    handed_in_at=at,
                )
                _store(coupon, statement)
                _attach(coupon, photos, logged_by or enrolment.user, at)
                if logged_by:
                    audit.record_act(logged_by, Act.LOGGED_ON_BEHALF, coupon)
                return coupon, True
    except IntegrityError:
        found = Coupon.objects.get(enrolment=enrolment, client_id=client_id)
    if found.content_hash != content_hash:
        raise OtherContent
    return found, False


def _store(coupon: Coupon, statement: Statement) -> None:
    """Store a new coupon under the student's next number, with what it states."""
    enrolment = coupon.enrolment
    last = Coupon.objects.filter(enrolment=enrolment).aggregate(last=Max("number"))["last"] or 0
    coupon.section, coupon.number = enrolment.section, last + 1
    coupon.predicted_level = statement.predicted_level
    coupon.save()
    _state(coupon, 1, statement, coupon.logged_by or enrolment.user, coupon.handed_in_at)


def _state(coupon: Coupon, number: int, statement: Statement, user: User, at: datetime) -> None:
    """Store what the coupon now states, and its review, beside what it stated before."""
    coupon.facts = rows_of(coupon, number, statement, user, at).save()
    coupon.assessment = assess(coupon.facts, coupon.section.term.school.settings, at)
    coupon.save(update_fields=["facts", "assessment"])


def _attach(coupon: Coupon, photos: Sequence[StoredPhoto], user: User, at: datetime) -> None:
    first = coupon.photos.count() + 1
    Photo.objects.bulk_create(
        Photo(
            coupon=coupon,
            place=place,
            file=each.name,
            width_px=each.width_px,
            height_px=each.height_px,
            size_bytes=each.size_bytes,
            added_by=user,
            added_at=at,
        )
        for place, each in enumerate(photos, start=first)
    )


def _claim(coupon: Coupon, based_on: int, **changes: object) -> None:
    """Take the next version of a coupon that is still open.

    Raises
    ------
    StaleCoupon
        When the coupon was graded, corrected or withdrawn since the version named.
    """
    claimed = Coupon.objects.filter(
        pk=coupon.pk, version=based_on, state=Coupon.State.HANDED_IN
    ).update(version=F("version") + 1, **changes)
    if not claimed:
        raise StaleCoupon
    coupon.refresh_from_db()


@transaction.atomic
def correct(
    coupon: Coupon,
    statement: Statement,
    *,
    based_on: int,
    user: User,
    photos: Sequence[StoredPhoto] = (),
    at: datetime,
) -> Coupon:
    """Let a coupon state something else; the earlier facts and findings stay.

    Raises
    ------
    StaleCoupon
        When the coupon was graded, corrected or withdrawn since the version named.
    ClosedTerm
        When the term is closed.
    """
    terms.need_open(coupon.section.term)
    about = audit.about(coupon)
    _claim(coupon, based_on, predicted_level=statement.predicted_level)
    _state(coupon, coupon.all_facts.count() + 1, statement, user, at)
    _attach(coupon, photos, user, at)
    audit.record_act(user, Act.COUPON_CORRECTED, about, reason=statement.reason)
    return coupon


@transaction.atomic
def withdraw(coupon: Coupon, *, based_on: int, by: User) -> None:
    """Take a coupon out of the queue; everything it stated stays.

    Raises
    ------
    StaleCoupon
        When the coupon was graded, corrected or withdrawn since the version named.
    ClosedTerm
        When the term is closed.
    """
    terms.need_open(coupon.section.term)
    about = audit.about(coupon)
    _claim(coupon, based_on, state=Coupon.State.WITHDRAWN)
    audit.record_act(by, Act.COUPON_WITHDRAWN, about)
