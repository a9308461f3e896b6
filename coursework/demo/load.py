"""The invented term into the database, all of it or nothing."""

import hashlib
import json
import random
import uuid
from collections import Counter
from collections.abc import Callable, Iterable
from datetime import date
from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import models, transaction

from coursework.assess import unsaved_assessment
from coursework.demo.coupons import tasks_of
from coursework.demo.people import PEOPLE, InventedSchool, ShopSection, found_school
from coursework.demo.pictures import PICTURES, SIZE
from coursework.demo.rows import Pairs, create, store_grades, store_second_looks
from coursework.demo.story import (
    Course,
    Draft,
    StudentTerm,
    chance_of,
    deal_mishaps,
    sit_down_to_grade,
)
from coursework.hand_in import FactsRows, rows_of
from coursework.models import (
    Assessment,
    BaseMetal,
    CheckResult,
    CleaningStep,
    Coupon,
    CouponFacts,
    Exercise,
    Finding,
    Grade,
    Imperfection,
    Photo,
    Run,
    School,
    SignOff,
)
from coursework.scoring import PASSES

type Step = Callable[[], None]


def is_loaded() -> bool:
    """Return whether the invented term is there; it is loaded in one transaction."""
    return School.objects.filter(name=PEOPLE["school"]).exists()


def students() -> int:
    """Return how many students there are to tell of."""
    return sum(len(each["students"]) for each in PEOPLE["sections"])


@transaction.atomic
def load(today: date, step: Step = lambda: None) -> None:
    """Tell the term up to a day and store it.

    Parameters
    ----------
    today : date
        The day of loading; it lies in week 11.
    step : callable
        Called after each student.
    """
    invented = found_school(today)
    drafts = [draft for shop in invented.sections for draft in _tell(invented, shop, step)]
    sizes = _store_pictures()
    _store(invented, drafts, sizes)


def _tell(invented: InventedSchool, shop: ShopSection, step: Step) -> list[Draft]:
    """Return every coupon of a section, oldest first."""
    course = course_of(invented)
    mishaps = deal_mishaps([each for other in invented.sections for each in other.learners])
    drafts: list[Draft] = []
    for learner in shop.learners:
        drafts += StudentTerm(learner, shop, course, mishaps[learner.username]).drafts()
        step()
    drafts.sort(key=lambda each: (each.handed_in_at, each.learner.username))
    sit_down_to_grade(drafts, shop)
    return drafts


def course_of(invented: InventedSchool) -> Course:
    """Return what all students of the school share."""
    exercises = list(
        Exercise.objects.filter(plan=invented.plan)
        .select_related("rubric")
        .prefetch_related("windows")
    )
    rubric = exercises[0].rubric.current()
    return Course(tasks_of(exercises), rubric, invented.school.settings)


def _store_pictures() -> dict[str, int]:
    """Put the pictures into the media storage; return their sizes [byte] by stored name."""
    sizes = {}
    for picture in PICTURES:
        content = picture.path.read_bytes()
        sizes[picture.stored_name] = len(content)
        if not default_storage.exists(picture.stored_name):
            default_storage.save(picture.stored_name, ContentFile(content))
    return sizes


# --- rows


def _store(invented: InventedSchool, drafts: list[Draft], sizes: dict[str, int]) -> None:
    chance = chance_of("rows")
    coupons = [_coupon(each, chance) for each in drafts]
    create(Coupon, coupons)
    pairs = list(zip(coupons, drafts, strict=True))
    _store_facts(pairs)
    store_grades(pairs)
    store_second_looks(pairs, invented.calendar)
    create(CheckResult, list(_check_results(pairs)))
    create(Photo, list(_photos(pairs, sizes, chance)))
    create(SignOff, list(_sign_offs(drafts)))
    _point_to_newest(invented)


def _point_to_newest(invented: InventedSchool) -> None:
    """Let each coupon point to its newest facts, their review, and its newest grade."""

    def newest(rows: models.QuerySet[Any], by: str) -> models.Subquery:
        return models.Subquery(rows.order_by(f"-{by}").values("pk")[:1])

    of_coupon = {"coupon": models.OuterRef("pk")}
    own = Coupon.objects.filter(section__term__school=invented.school)
    own.update(
        facts=newest(CouponFacts.objects.filter(**of_coupon), "number"),
        grade=newest(Grade.objects.filter(**of_coupon), "number"),
    )
    of_facts = Assessment.objects.filter(facts=models.OuterRef("facts"))
    own.update(assessment=newest(of_facts, "assessed_at"))


def _new_id(chance: random.Random) -> uuid.UUID:
    return uuid.UUID(int=chance.getrandbits(128), version=4)


def _coupon(draft: Draft, chance: random.Random) -> Coupon:
    enrolment = draft.learner.enrolment
    text = json.dumps([draft.number, draft.logs[0].document], sort_keys=True)
    changes = len(draft.logs) - 1 + len(draft.marks) + draft.withdrawn
    return Coupon(
        public_id=_new_id(chance),
        client_id=_new_id(chance),
        content_hash=hashlib.sha256(text.encode()).hexdigest(),
        enrolment=enrolment,
        section=enrolment.section,
        exercise=draft.task.exercise,
        number=draft.number,
        version=1 + changes,
        state=_state(draft),
        handed_in_at=draft.handed_in_at,
        predicted_level=draft.predicted_level,
    )


def _state(draft: Draft) -> str:
    if draft.withdrawn:
        return Coupon.State.WITHDRAWN
    return draft.marks[-1].decision if draft.marks else Coupon.State.HANDED_IN


def _store_facts(pairs: Pairs) -> None:
    """Store what each coupon stated, also before a correction, with its review."""
    rows: list[FactsRows] = []
    reviewed: list[tuple[Assessment, list[Finding]]] = []
    for coupon, draft in pairs:
        for place, (log, review) in enumerate(zip(draft.logs, draft.reviews, strict=True)):
            at = draft.stated_at(place)
            statement = log.statement(draft.predicted_level)
            rows.append(rows_of(coupon, place + 1, statement, draft.learner.enrolment.user, at))
            reviewed.append(unsaved_assessment(rows[-1].facts, review, at))
            coupon.facts = rows[-1].facts
    create(CouponFacts, [each.facts for each in rows])
    create(BaseMetal, [row for each in rows for row in each.base_metals])
    create(Run, [row for each in rows for row in each.runs])
    create(CleaningStep, [row for each in rows for row in each.cleaning_steps])
    create(Imperfection, [row for each in rows for row in each.imperfections])
    create(Assessment, [assessment for assessment, _findings in reviewed])
    create(Finding, [row for _assessment, findings in reviewed for row in findings])


def _check_results(pairs: Pairs) -> Iterable[CheckResult]:
    """Cut, bend or break what was graded, where the exercise asks for it."""
    for coupon, draft in pairs:
        if draft.marks and draft.task.exercise.check_test:
            mark = draft.marks[0]
            yield CheckResult(
                coupon=coupon,
                number=1,
                kind=draft.task.exercise.check_test,
                passed=_held(draft),
                tested_by=mark.grader,
                tested_at=mark.at,
            )


def _held(draft: Draft) -> bool:
    """Return whether a coupon passed its check test, as its scores say."""
    scores = draft.marks[0].scores
    return min(scores.get("destructive", PASSES), scores["soundness"]) >= PASSES


def _photos(pairs: Pairs, sizes: dict[str, int], chance: random.Random) -> Iterable[Photo]:
    for coupon, draft in pairs:
        if draft.picture:
            name = draft.picture.stored_name
            yield Photo(
                public_id=_new_id(chance),
                coupon=coupon,
                place=1,
                file=name,
                description=draft.picture.description,
                width_px=SIZE[0],
                height_px=SIZE[1],
                size_bytes=sizes[name],
                added_by=draft.learner.enrolment.user,
                added_at=draft.handed_in_at,
            )


def _sign_offs(drafts: Iterable[Draft]) -> Iterable[SignOff]:
    """Sign exercises off as soon as their rules are met; a few still wait for a name."""
    chance = chance_of("sign-offs")
    good: Counter[tuple[str, int]] = Counter()
    tested: set[tuple[str, int]] = set()
    decided: set[tuple[str, int]] = set()
    for draft in drafts:
        exercise = draft.task.exercise
        key = (draft.learner.username, exercise.pk)
        if not draft.accepted or key in decided:
            continue
        good[key] += 1
        if not exercise.check_test or _held(draft):
            tested.add(key)
        if good[key] < exercise.good_coupons_wanted or key not in tested:
            continue
        decided.add(key)
        if chance.random() > 0.1:
            last = draft.marks[-1]
            yield SignOff(
                enrolment=draft.learner.enrolment,
                exercise=exercise,
                signed_by=last.grader,
                signed_at=last.at,
            )
