"""Issue the term record of a section: first every student's that changed, then the section's."""

from collections import Counter
from collections.abc import Sequence
from datetime import datetime

from django.db import IntegrityError, transaction

from coursework import audit, issuing, record_section
from coursework.models import Act, Enrolment, IssuedRecord, IssuedSectionRecord, Section, User
from coursework.progress import State
from coursework.record import Issue, TermRecord, from_master
from coursework.record_making import heading, notice, term_record
from coursework.record_section import (
    SectionCell,
    SectionExercise,
    SectionRecord,
    SectionStudent,
)


def latest(section: Section) -> IssuedSectionRecord | None:
    """Return the newest issue of a section's record, or None."""
    return section.records.order_by("-issue").first()


def issue(
    section: Section,
    students: Sequence[Enrolment],
    issuer: User,
    at: datetime,
    *,
    after_issue: int,
) -> IssuedSectionRecord:
    """Freeze the record of a section and, before it, every student's that is not up to date.

    All or nothing: the matrix is read from the very masters whose hashes stand beside it.

    Parameters
    ----------
    section : Section
        With its plan, term, school and settings at hand.
    students : sequence of Enrolment
        The rows, in their order, with user, section, term, school and settings at hand.
    issuer : User
        Whose name stands under all of them.
    at : datetime
        When they are issued.
    after_issue : int
        The newest issue of the section's record that the issuer knew of, 0 for none.

    Raises
    ------
    IssuedMeanwhile
        When there is a newer issue; nothing is stored then.
    CouponsRemoved
        When coupons of the section were removed, past their time.
    """
    try:
        with transaction.atomic():
            Section.objects.select_for_update().get(pk=section.pk)
            last = latest(section)
            if (last.issue if last else 0) != after_issue:
                raise issuing.IssuedMeanwhile
            return _freeze(section, students, last, issuer, at)
    except IntegrityError as error:
        raise issuing.IssuedMeanwhile from error


def _freeze(
    section: Section,
    students: Sequence[Enrolment],
    last: IssuedSectionRecord | None,
    issuer: User,
    at: datetime,
) -> IssuedSectionRecord:
    before = set(IssuedRecord.objects.filter(enrolment__in=students).values_list("pk", flat=True))
    issued = [(each, _up_to_date(each, issuer, at)) for each in students]
    made = issuing.next_issue(last, issuer, at)
    master = record_section.to_master(section_record(section, issued, made))
    of_section = IssuedSectionRecord.objects.create(
        section=section, **issuing.columns(made, master, issuer)
    )
    fresh = [record for _enrolment, record in issued if record.pk not in before]
    entries = [issuing.entry(each) for each in (*fresh, of_section)]
    audit.record_acts(issuer, Act.RECORD_ISSUED, entries)
    return of_section


def _up_to_date(enrolment: Enrolment, issuer: User, at: datetime) -> IssuedRecord:
    """Return the newest issue of a student's record where it still holds, else a new one."""
    issuing.lock(enrolment)
    last, record = issuing.latest(enrolment), term_record(enrolment)
    if last and issuing.says_the_same(record, last):
        return last
    return issuing.freeze(enrolment, record, last, issuer, at)


def section_record(
    section: Section, issued: Sequence[tuple[Enrolment, IssuedRecord]], made: Issue
) -> SectionRecord:
    """Return the record of a section, read from the records of its students."""
    records = [from_master(each.master) for _enrolment, each in issued]
    columns = _exercises(records)
    teachers = section.enrolments.filter(role=Enrolment.Role.INSTRUCTOR, left_at=None)
    return SectionRecord(
        schema_version=record_section.SCHEMA_VERSION,
        issue=made,
        **heading(section),
        instructors=tuple(str(each.user) for each in teachers.select_related("user")),
        exercises=columns,
        students=tuple(
            _student(enrolment, each, record, columns)
            for (enrolment, each), record in zip(issued, records, strict=True)
        ),
        competent_in_all=sum(
            bool(each.exercises) and each.competent == len(each.exercises) for each in records
        ),
        notice=notice(),
    )


def _exercises(records: Sequence[TermRecord]) -> tuple[SectionExercise, ...]:
    """Return the columns: every exercise of any student, a replaced one before its follower."""
    lines = [line for each in records for line in each.exercises]
    columns = {line.key: line for line in lines}
    competent = Counter(line.key for line in lines if line.state == State.COMPETENT)
    return tuple(
        SectionExercise(
            line.key, line.place, line.title, line.wanted, line.retired, competent[line.key]
        )
        for line in sorted(columns.values(), key=lambda line: (line.place, not line.retired))
    )


def _student(
    enrolment: Enrolment,
    issued: IssuedRecord,
    record: TermRecord,
    columns: Sequence[SectionExercise],
) -> SectionStudent:
    zone, left = enrolment.section.term.school.settings.zone, enrolment.left_at
    cells = {each.key: SectionCell(each.state, each.logged, each.good) for each in record.exercises}
    return SectionStudent(
        student=record.student,
        student_number=record.student_number,
        left_on=left.astimezone(zone).date() if left else None,
        cells=tuple(cells.get(each.key) for each in columns),
        competent=record.competent,
        logged=record.logged,
        good=record.good,
        waiting=sum(each.waiting for each in record.exercises),
        safety_open=sum(each.safety_open for each in record.exercises),
        arc_time_s=record.hours.arc_time_s if record.hours else 0.0,
        record_code=issued.code,
        record_issue=issued.issue,
        record_sha256=issued.sha256,
        record_issued_at=issued.issued_at,
    )
