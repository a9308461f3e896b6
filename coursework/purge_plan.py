"""What a purge would remove now, and what is held, as it is shown before anybody confirms it."""

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Count, Max, Min
from django.utils.translation import gettext as _

from coursework.models import CorrectionRequest, Enrolment, Hold, School, Section
from coursework.retention import (
    DAY,
    ENROLMENT,
    OWNER,
    SECTION,
    WORDS,
    Kind,
    due,
    held_enrolments,
    past,
)

type Counts = dict[Kind, int]
type Why = tuple[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Line:
    """What would be removed of one kind in one section; ``section`` is None for what
    belongs to no section.

    ``without_record`` counts the students whose coupons would go and who have no issued record.
    """

    kind: Kind
    section: Section | None
    count: int
    oldest: date
    newest: date
    without_record: int = 0

    @property
    def words(self) -> str:
        """The kind, as it is called on pages."""
        return str(WORDS[self.kind])


@dataclass(frozen=True, slots=True)
class Held:
    """What is past its time and stays, and why."""

    who: str
    why: tuple[str, ...]
    counts: Mapping[Kind, int]

    @property
    def total(self) -> int:
        """How many things are held."""
        return sum(self.counts.values())

    @property
    def words(self) -> str:
        """The kinds with their numbers."""
        return ", ".join(f"{WORDS[kind]}: {count}" for kind, count in self.counts.items())


@dataclass(frozen=True, slots=True)
class Plan:
    """All that would be removed now, and all that is held."""

    lines: tuple[Line, ...]
    held: tuple[Held, ...]

    @property
    def total(self) -> int:
        """How many things would be removed."""
        return sum(each.count for each in self.lines)

    @property
    def phrase(self) -> str:
        """What is typed to confirm it."""
        return _("remove %(count)d") % {"count": self.total}

    @property
    def fingerprint(self) -> str:
        """A short text that is another one when anything else would be removed."""
        return hashlib.sha256(json.dumps(self.as_json()).encode()).hexdigest()[:16]

    def as_json(self) -> list[dict[str, Any]]:
        """Return the lines as they are kept with a purge."""
        return [
            {
                "kind": each.kind,
                "what": each.words,
                "section": each.section.pk if each.section else None,
                "words": str(each.section or ""),
                "count": each.count,
                "oldest": each.oldest.isoformat(),
                "newest": each.newest.isoformat(),
            }
            for each in self.lines
        ]


def plan(school: School, now: datetime) -> Plan:
    """Return what is past its time in a school, and what of it is held.

    Parameters
    ----------
    school : School
        With its settings at hand.
    now : datetime
        The moment for which it is worked out; days are those of the school's time zone.
    """
    lines = [line for kind in Kind for line in _lines(kind, school, now)]
    return Plan(tuple(lines), tuple(_held(school, now)))


def _lines(kind: Kind, school: School, now: datetime) -> Iterator[Line]:
    """Yield what is due of a kind, section by section."""
    by = SECTION.get(kind) or f"{OWNER[kind]}__school"
    found = list(
        due(kind, school, now)
        .order_by(by)
        .values_list(by)
        .annotate(Count("pk"), Min(DAY[kind]), Max(DAY[kind]))
    )
    sections = _sections(pk for pk, *_rest in found) if kind in SECTION else {}
    unissued = _without_record(school, now) if kind is Kind.COUPONS and found else {}
    zone = school.settings.zone
    for pk, count, oldest, newest in found:
        days = (oldest.astimezone(zone).date(), newest.astimezone(zone).date())
        yield Line(kind, sections.get(pk), count, *days, unissued.get(pk, 0))


def _sections(pks: Iterable[int]) -> dict[int, Section]:
    return Section.objects.select_related("plan", "term").in_bulk(list(pks))


def _without_record(school: School, now: datetime) -> dict[int, int]:
    """Return by section how many students would lose their coupons without a record."""
    losing = due(Kind.COUPONS, school, now).filter(enrolment__records=None)
    counted = losing.order_by().values_list("enrolment__section")
    return dict(counted.annotate(Count("enrolment", distinct=True)))


def _held(school: School, now: datetime) -> Iterator[Held]:
    """Yield what is held: a section where all of it is, else student by student."""
    reasons = _Reasons(school)
    groups: dict[Why, Counts] = defaultdict(dict)
    for group, kind, count in [
        *_held_of_students(school, now, reasons),
        *_held_of_sections(school, now, reasons),
    ]:
        groups[group][kind] = groups[group].get(kind, 0) + count
    for (who, why), counts in groups.items():
        yield Held(who, why, counts)


def _held_of_students(
    school: School, now: datetime, reasons: "_Reasons"
) -> Iterator[tuple[Why, Kind, int]]:
    counts: dict[int, Counts] = defaultdict(dict)
    for kind, way in ENROLMENT.items():
        held = past(kind, school, now).filter(**{f"{way}__in": held_enrolments(school)})
        for enrolment, count in held.order_by().values_list(way).annotate(Count("pk")):
            counts[enrolment][kind] = count
    students = Enrolment.objects.select_related("user", "section__plan", "section__term")
    for each in students.filter(pk__in=counts).order_by("section", "user__last_name", "pk"):
        for kind, count in counts[each.pk].items():
            yield reasons.of(each), kind, count


def _held_of_sections(
    school: School, now: datetime, reasons: "_Reasons"
) -> Iterator[tuple[Why, Kind, int]]:
    kind = Kind.SECTION_RECORDS
    held = past(kind, school, now).filter(section__in=held_enrolments(school).values("section"))
    counts = dict(held.order_by().values_list("section").annotate(Count("pk")))
    for section in _sections(counts).values():
        yield reasons.of_section(section), kind, counts[section.pk]


class _Reasons:
    """Why the records of a student are held, in words."""

    def __init__(self, school: School) -> None:
        in_force = list(Hold.objects.filter(school=school, lifted_at=None).order_by("pk"))
        self.students = [(each.student_id, each.reason) for each in in_force if each.student_id]
        self.sections = [(each.section_id, each.reason) for each in in_force if each.section_id]
        undecided = CorrectionRequest.objects.filter(decision=CorrectionRequest.Decision.OPEN)
        self.asked = set(undecided.values_list("enrolment", flat=True))

    def of(self, enrolment: Enrolment) -> Why:
        """Return the section, or the student in it, with the reasons."""
        section = f"{enrolment.section}, {enrolment.section.term}"
        own = [reason for pk, reason in self.students if pk == enrolment.user_id]
        if enrolment.pk in self.asked:
            own.append(_("A correction request is open."))
        who = f"{enrolment.user} ({section})" if own else section
        return who, (*own, *self._on(enrolment.section))

    def of_section(self, section: Section) -> Why:
        """Return the section with the reasons, those of one of its students where it has none."""
        shared = self._on(section) or [_("A student's records in it are held.")]
        return f"{section}, {section.term}", tuple(shared)

    def _on(self, section: Section) -> list[str]:
        return [reason for pk, reason in self.sections if pk == section.pk]
