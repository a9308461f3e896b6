"""A purge removes what was confirmed and is due, files too, and nothing else."""

from collections import Counter
from typing import Any

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.db.models import Model

from coursework import corrections, holds, purge_plan, purging, section_issuing, sign_in_codes
from coursework.disclosures import disclose
from coursework.issuing import CouponsRemoved, is_untouched, issue
from coursework.models import (
    CheckResult,
    CorrectionRequest,
    Coupon,
    Disclosure,
    Enrolment,
    Exercise,
    IssuedRecord,
    Photo,
    Purge,
    School,
    Section,
    SignOff,
    User,
)
from coursework.purging import NotAsShown
from tests.coursework.past_terms import COUPONS_PAST, PHOTOS_PAST, add_photo, close
from tests.factories import (
    MOMENT,
    EnrolmentFactory,
    grade_coupon,
    hand_in_coupon,
    second_look_of,
)

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]

# What may stay when every time is over: people, places, what is taught, and who did what.
STAYS = {
    "AuditRow",
    "ConfirmedLimit",
    "CoursePlan",
    "Criterion",
    "Enrolment",
    "Exercise",
    "Group",
    "Hold",
    "Level",
    "Permission",
    "Phrase",
    "Purge",
    "Rubric",
    "RubricVersion",
    "School",
    "SchoolSettings",
    "Section",
    "SectionMove",
    "TargetWindow",
    "Term",
    "User",
}


@pytest.fixture
def school_now(school: School) -> School:
    """The school with its settings at hand."""
    return School.objects.select_related("settings").get(pk=school.pk)


def begun(school: School, by: User, at: Any = COUPONS_PAST) -> Purge:
    """Return a purge of all that is due."""
    return purging.start(school, purge_plan.plan(school, at), by=by, at=at)


def purge(school: School, by: User, at: Any = COUPONS_PAST) -> Purge:
    """Remove all that is due."""
    made = begun(school, by, at)
    for _removed in purging.run(made, by=by, at=at):
        pass
    return made


def rows() -> Counter[str]:
    """Count every row of the app's tables, many-to-many tables too."""
    tables = apps.get_app_config("coursework").get_models(include_auto_created=True)
    return +Counter({model.__name__: model._default_manager.count() for model in tables})


def log_everything(section: Section, exercise: Exercise, by: User) -> Coupon:
    """Leave a row in every table that hangs from a coupon or a student, and two files."""
    coupon = second_look_of(section, exercise).coupon
    enrolment = coupon.enrolment
    coupon.refresh_from_db()
    photo = add_photo(coupon)
    add_photo(coupon, "photos/two.jpg")
    CheckResult.objects.create(
        coupon=coupon,
        number=1,
        kind="saw",
        passed=True,
        photo=photo,
        tested_by=by,
        tested_at=MOMENT,
    )
    corrections.ask(enrolment, coupon, "Not mine.", at=MOMENT)
    request = CorrectionRequest.objects.get()
    corrections.decide(request, "declined", "It is.", by=by, at=MOMENT)
    corrections.state(request, "It is not.", at=MOMENT)
    SignOff.objects.create(enrolment=enrolment, exercise=exercise, signed_by=by, signed_at=MOMENT)
    section_issuing.issue(section, [enrolment], by, MOMENT, after_issue=0)
    disclose(by, [enrolment], "Record", "Gannet Shipyard", "consent")
    sign_in_codes.make(enrolment.user, by=by, at=MOMENT)
    return coupon


def hanging_from(model: type[Model]) -> set[str]:
    """Return the tables with a foreign key to a table, or to one that has."""
    found = {each.related_model for each in model._meta.related_objects} - {model, Coupon}
    return {each.__name__ for each in found}.union(*map(hanging_from, found))


def test_a_purge_knows_every_table_that_hangs_from_a_coupon_or_an_enrolment() -> None:
    of_coupons = {model.__name__ for model, _way in purging.OF_COUPONS}
    assert hanging_from(Coupon) == of_coupons | {"Photo", "CorrectionRequest"}
    direct = {each.related_model.__name__ for each in Enrolment._meta.related_objects}
    assert direct == {
        "Coupon",
        "CorrectionRequest",
        "Disclosure",
        "IssuedRecord",
        "SectionMove",
        "SignOff",
    }


def test_coupons_go_with_all_that_hangs_from_them_and_the_record_stays(
    school_now: School, section: Section, exercise: Exercise, instructor: User, coordinator: User
) -> None:
    coupon = log_everything(section, exercise, instructor)
    close(section)
    made = purge(school_now, coordinator)
    assert set(rows()) - STAYS == {
        "CorrectionRequest",
        "Disclosure",
        "Disclosure_enrolments",
        "IssuedRecord",
        "IssuedSectionRecord",
    }
    assert made.removed == {"photos": 2, "coupons": 1, "codes": 1}
    assert (made.outcome, made.started_by) == ("finished", coordinator)
    assert is_untouched(IssuedRecord.objects.get())
    request = CorrectionRequest.objects.get()
    assert (request.coupon, request.about) == (None, "Coupon 1")
    assert Enrolment.objects.get(pk=coupon.enrolment_id).coupons_removed_at == COUPONS_PAST


def test_the_record_goes_when_its_own_time_is_over_with_requests_and_disclosures(
    school_now: School, section: Section, exercise: Exercise, instructor: User, coordinator: User
) -> None:
    log_everything(section, exercise, instructor)
    close(section)
    school_now.settings.keep_records_months = 60
    school_now.settings.save()
    made = purge(school_now, coordinator)
    assert set(rows()) - STAYS == set()
    assert (made.removed["records"], made.removed["section_records"]) == (1, 1)


def test_a_disclosure_about_two_stays_for_the_one_whose_record_stays(
    school_now: School,
    section: Section,
    other_section: Section,
    instructor: User,
    coordinator: User,
) -> None:
    students = [EnrolmentFactory.create(section=each) for each in (section, other_section)]
    for each in students:
        issue(each, instructor, MOMENT, after_issue=0)
    disclose(instructor, students, "Records", "Gannet Shipyard", "consent")
    close(section)
    school_now.settings.keep_records_months = 60
    school_now.settings.save()
    holds.place(school_now, other_section, "An audit.", by=coordinator, at=MOMENT)
    purge(school_now, coordinator)
    assert list(Disclosure.objects.get().enrolments.all()) == [students[1]]


def test_photos_go_first_with_their_files_and_a_check_test_keeps_its_result(
    school_now: School, section: Section, exercise: Exercise, instructor: User, coordinator: User
) -> None:
    coupon = log_everything(section, exercise, instructor)
    close(section)
    made = purge(school_now, coordinator, PHOTOS_PAST)
    assert made.removed == {"photos": 2, "codes": 1}
    assert not default_storage.exists("photos/one.jpg")
    assert not default_storage.exists("photos/two.jpg")
    assert made.files == []
    assert CheckResult.objects.get().photo is None
    coupon.refresh_from_db()
    assert coupon.grade is not None


def test_a_file_that_another_photo_shows_stays(
    school_now: School,
    section: Section,
    other_section: Section,
    exercise: Exercise,
    coordinator: User,
) -> None:
    for each in (section, other_section):
        add_photo(hand_in_coupon(EnrolmentFactory.create(section=each), exercise))
    close(section)
    holds.place(school_now, other_section, "An audit.", by=coordinator, at=MOMENT)
    assert purge(school_now, coordinator).removed["photos"] == 1
    assert default_storage.exists(Photo.objects.get().file)


def test_what_is_held_stays_whole(
    school_now: School, section: Section, exercise: Exercise, instructor: User, coordinator: User
) -> None:
    coupon = log_everything(section, exercise, instructor)
    close(section)
    before = rows()
    holds.place(school_now, coupon.enrolment.user, "Complaint.", by=coordinator, at=MOMENT)
    made = purge(school_now, coordinator)
    assert made.removed == {}
    # The rows of the audit say: held, confirmed, finished with nothing removed.
    assert rows() - before == {"Hold": 1, "Purge": 1, "AuditRow": 3}
    assert before - rows() == {}


def test_a_hold_that_comes_while_a_purge_runs_is_honored(
    school_now: School,
    section: Section,
    enrolment: Enrolment,
    exercise: Exercise,
    coordinator: User,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(purging, "A_BATCH", 1)
    for _time in range(3):
        hand_in_coupon(enrolment, exercise)
    close(section)
    running = purging.run(made := begun(school_now, coordinator), by=coordinator, at=COUPONS_PAST)
    assert next(running) == 1
    corrections.ask(enrolment, None, "Where are my coupons?", at=MOMENT)
    assert list(running) == []
    assert Coupon.objects.count() == 2
    made.refresh_from_db()
    assert (made.outcome, made.done, made.total) == ("finished", 1, 3)
    assert Enrolment.objects.get(pk=enrolment.pk).coupons_removed_at is None


def test_stopped_it_has_removed_what_it_says_and_run_again_it_removes_the_rest(
    school_now: School,
    section: Section,
    enrolment: Enrolment,
    exercise: Exercise,
    coordinator: User,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(purging, "A_BATCH", 2)
    for _time in range(5):
        hand_in_coupon(enrolment, exercise)
    close(section)
    running = purging.run(made := begun(school_now, coordinator), by=coordinator, at=COUPONS_PAST)
    assert next(running) == 2
    purging.stop(made, by=coordinator, at=COUPONS_PAST)
    assert list(running) == []
    assert (made.outcome, made.removed) == ("stopped", {"coupons": 2})
    assert Coupon.objects.count() == 3
    again = purge(school_now, coordinator)
    assert (again.outcome, again.removed) == ("finished", {"coupons": 3})


def test_broken_off_before_the_files_were_removed_it_still_owes_them(
    school_now: School,
    section: Section,
    coupon: Coupon,
    coordinator: User,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    add_photo(coupon)
    close(section)
    made = begun(school_now, coordinator, PHOTOS_PAST)

    def no_disk(_name: str) -> None:
        raise OSError("The disk is gone.")

    with monkeypatch.context() as patched:
        patched.setattr(default_storage, "delete", no_disk)
        with pytest.raises(OSError, match="disk"):
            list(purging.run(made, by=coordinator, at=PHOTOS_PAST))
    assert not Photo.objects.exists()
    assert default_storage.exists("photos/one.jpg")
    list(purging.run(made, by=coordinator, at=PHOTOS_PAST))
    assert not default_storage.exists("photos/one.jpg")
    assert (made.outcome, made.removed) == ("finished", {"photos": 1})


def test_nothing_beyond_what_was_confirmed_is_removed(
    school_now: School, section: Section, coupon: Coupon, coordinator: User
) -> None:
    add_photo(coupon)
    close(section)
    made = begun(school_now, coordinator, PHOTOS_PAST)
    # Years later the coupon would be due as well; nobody confirmed that.
    list(purging.run(made, by=coordinator, at=COUPONS_PAST))
    assert made.removed == {"photos": 1}
    assert Coupon.objects.exists()


def test_a_term_opened_again_loses_nothing_more(
    school_now: School, section: Section, coupon: Coupon, coordinator: User
) -> None:
    close(section)
    made = begun(school_now, coordinator)
    section.term.closed_at = None
    section.term.save()
    list(purging.run(made, by=coordinator, at=COUPONS_PAST))
    assert (made.removed, Coupon.objects.count()) == ({}, 1)


def test_a_plan_that_is_not_the_one_shown_is_refused(
    school_now: School, section: Section, coupon: Coupon
) -> None:
    shown = purge_plan.plan(school_now, COUPONS_PAST)
    close(section)
    plan = purge_plan.plan(school_now, COUPONS_PAST)
    with pytest.raises(NotAsShown):
        purging.need_as_shown(plan, shown.fingerprint)
    purging.need_as_shown(plan, plan.fingerprint)


def test_one_purge_at_a_time(school_now: School, coordinator: User) -> None:
    begun(school_now, coordinator)
    with pytest.raises(NotAsShown, match="Another purge"):
        begun(school_now, coordinator)
    with pytest.raises(IntegrityError), transaction.atomic():
        Purge.objects.create(school=school_now, started_by=coordinator, started_at=MOMENT)


def test_a_batch_is_bounded(
    school_now: School,
    section: Section,
    enrolment: Enrolment,
    exercise: Exercise,
    coordinator: User,
) -> None:
    for _time in range(purging.A_BATCH + 1):
        hand_in_coupon(enrolment, exercise)
    close(section)
    assert list(purging.run(begun(school_now, coordinator), by=coordinator, at=COUPONS_PAST)) == [
        purging.A_BATCH,
        1,
    ]


def test_no_empty_record_is_issued_over_one_whose_coupons_are_gone(
    school_now: School,
    section: Section,
    enrolment: Enrolment,
    coupon: Coupon,
    instructor: User,
    coordinator: User,
) -> None:
    first = issue(enrolment, instructor, MOMENT, after_issue=0)
    close(section)
    purge(school_now, coordinator)
    with pytest.raises(CouponsRemoved):
        issue(enrolment, instructor, COUPONS_PAST, after_issue=1)
    with pytest.raises(CouponsRemoved):
        section_issuing.issue(section, [enrolment], instructor, COUPONS_PAST, after_issue=0)
    assert IssuedRecord.objects.get() == first


def test_grades_of_other_students_are_as_before(
    school_now: School,
    section: Section,
    other_section: Section,
    exercise: Exercise,
    instructor: User,
    coordinator: User,
) -> None:
    gone, stays = (EnrolmentFactory.create(section=each) for each in (section, other_section))
    for each in (gone, stays):
        grade_coupon(hand_in_coupon(each, exercise), instructor)
    close(section)
    holds.place(school_now, other_section, "An audit.", by=coordinator, at=MOMENT)
    before = Coupon.objects.values().get(enrolment=stays)
    purge(school_now, coordinator)
    assert Coupon.objects.values().get() == before
    left = Coupon.objects.get()
    assert left.grade is not None
    assert left.grade.scores.exists()
    assert left.assessment is not None
