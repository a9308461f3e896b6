"""Assess stored coupons again when the edition of the rules or the school's settings have changed.

The old assessment and its findings stay; the coupon points to the new one. Work is done in
batches, each of them whole or not at all, and what has been done is not done again: stopped
halfway, it goes on where it stopped.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db import transaction
from django.db.models import QuerySet

from coursework.assess import FACT_ROWS, review_with, school_rules, unsaved_assessment
from coursework.models import Assessment, Coupon, Finding, School
from weldlog.engine.reading import Unreadable
from weldlog.engine.review import EDITION
from weldlog.engine.school import SchoolRules

A_BATCH: Final = 200


@dataclass(slots=True)
class Rechecked:
    """What became of one batch: how many coupons, and in how many something else was found."""

    coupons: int = 0
    changed: int = 0
    unreadable: tuple[str, ...] = ()


def outdated(school: School, rules: SchoolRules, *, graded: bool) -> QuerySet[Coupon]:
    """Return the coupons of a school whose assessment is of other rules than today's.

    Parameters
    ----------
    school : School
    rules : SchoolRules
        What the school has set now.
    graded : bool
        Whether those that were accepted or returned are among them; a grade stands beside the
        findings that its grader saw, so they are left as they are unless somebody asks for it.
    """
    states = [Coupon.State.HANDED_IN]
    if graded:
        states += [Coupon.State.ACCEPTED, Coupon.State.RETURNED]
    coupons = Coupon.objects.filter(
        section__term__school=school, state__in=states, facts__isnull=False
    )
    return coupons.exclude(assessment__edition=EDITION, assessment__rules_hash=rules.hash())


def recheck(school: School, at: datetime, *, graded: bool) -> Iterator[Rechecked]:
    """Assess the outdated coupons of a school again, batch by batch; yield after each batch."""
    rules = school_rules(school.settings)
    after = 0
    while True:
        due = outdated(school, rules, graded=graded).filter(pk__gt=after).order_by("pk")
        batch = list(
            due.select_related("facts", "assessment").prefetch_related(
                "assessment__findings", *(f"facts__{rows}" for rows in FACT_ROWS)
            )[:A_BATCH]
        )
        if not batch:
            return
        after = batch[-1].pk
        yield _recheck_batch(batch, rules, at)


@transaction.atomic
def _recheck_batch(batch: list[Coupon], rules: SchoolRules, at: datetime) -> Rechecked:
    done = Rechecked()
    for coupon in batch:
        facts = coupon.facts
        assert facts is not None  # noqa: S101 -- the query asks for it
        try:
            found = review_with(facts.document(), rules)
        except Unreadable as problem:
            done.unreadable += (f"{coupon.public_id}: {problem}",)
            continue
        assessment, findings = unsaved_assessment(facts, found, at)
        assessment.save()
        Finding.objects.bulk_create(findings)
        # A coupon that was corrected or graded meanwhile stays as it is now.
        Coupon.objects.filter(pk=coupon.pk, version=coupon.version).update(assessment=assessment)
        done.coupons += 1
        done.changed += _said(coupon.assessment) != [
            (each.rule, each.severity) for each in findings
        ]
    return done


def _said(assessment: Assessment | None) -> list[tuple[str, str]]:
    """Return what an earlier assessment found, in its order."""
    if assessment is None:
        return []
    return [(each.rule, each.severity) for each in assessment.findings.all()]
