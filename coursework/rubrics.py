"""Rubrics started, drafted and published. What was published is never edited again."""

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from django.db import IntegrityError, transaction
from django.utils.text import slugify
from django.utils.translation import gettext as _

from coursework import audit
from coursework.conflicts import Conflict
from coursework.models import Act, Criterion, Level, Rubric, RubricVersion, School, User

ORIGIN: Final = "set by the school"
LONGEST_KEY: Final = 40


class RubricChanged(Conflict):
    """Somebody else drafted, published or discarded since the page was opened."""


class TitleTaken(Conflict):
    """The school has a rubric of this title."""


@dataclass(frozen=True, slots=True)
class Row:
    """One criterion as it is written: a gate has no weight; ``levels`` are those of 1 to 4."""

    title: str
    levels: tuple[str, str, str, str]
    weight: Decimal = Decimal(0)
    gate: bool = False
    check_test: bool = False
    key: str = ""


def newest(rubric: Rubric) -> RubricVersion | None:
    """Return the draft, else the version published last, with its criteria and levels."""
    return rubric.versions.prefetch_related("criteria__levels").order_by("number").last()


def rows_of(version: RubricVersion | None) -> list[Row]:
    """Return the criteria of a version as they were written."""
    return [_row(each) for each in version.criteria.all()] if version else []


def _row(criterion: Criterion) -> Row:
    words = {each.digit: each.words for each in criterion.levels.all()}
    one, two, three, four = (words.get(digit, "") for digit in (1, 2, 3, 4))
    return Row(
        title=criterion.title,
        levels=(one, two, three, four),
        weight=criterion.weight,
        gate=criterion.gate,
        check_test=criterion.check_test,
        key=criterion.key,
    )


def fingerprint(version: RubricVersion | None) -> str:
    """Return a short text that is another one after any change of the version."""
    if version is None:
        return "none"
    text = repr((version.pk, version.published_at is None, rows_of(version)))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def shares(rows: Sequence[Row]) -> list[tuple[Decimal | None, Decimal | None]]:
    """Return the weight of each row as it counts, scaled to 100.

    The first is with a check test, the second without one; None where the row does not count.
    """
    without = [each for each in rows if not each.check_test]
    return [(_share(row, rows), None if row.check_test else _share(row, without)) for row in rows]


def _share(row: Row, among: Iterable[Row]) -> Decimal | None:
    total = sum((each.weight for each in among), Decimal(0))
    if row.gate or not total:
        return None
    return (100 * row.weight / total).quantize(Decimal("0.1"), ROUND_HALF_UP)


@transaction.atomic
def start(school: School, title: str, like: Rubric | None = None) -> Rubric:
    """Store a rubric that nobody grades by yet, with the rows of another one as its draft.

    Raises
    ------
    TitleTaken
        When the school has a rubric of this title.
    """
    try:
        with transaction.atomic():
            rubric = Rubric.objects.create(school=school, title=title)
    except IntegrityError:
        raise TitleTaken(_("There is a rubric of this title already.")) from None
    if like is not None:
        _write(_new_draft(rubric, 1), rows_of(newest(like)))
    return rubric


@transaction.atomic
def rename(rubric: Rubric, title: str, *, was: str, by: User | None) -> None:
    """Give a rubric another title; its versions, and the grades given by them, stay as they are.

    Parameters
    ----------
    was : str
        The title that was looked at.

    Raises
    ------
    RubricChanged
        When it is called otherwise by now, or was taken out.
    TitleTaken
        When the school has a rubric of this title.
    """
    try:
        with transaction.atomic():
            renamed = Rubric.objects.filter(pk=rubric.pk, title=was).update(title=title)
    except IntegrityError:
        raise TitleTaken(_("There is a rubric of this title already.")) from None
    if not renamed:
        raise RubricChanged(_("Somebody else renamed this rubric since you opened it."))
    rubric.title = title
    audit.record_change(
        by, Act.RUBRIC_RENAMED, rubric, before={"title": was}, after={"title": title}
    )


@transaction.atomic
def keep_draft(rubric: Rubric, rows: Sequence[Row], *, based_on: str) -> RubricVersion:
    """Store rows as the draft of a rubric; a published version before it stays as it is.

    Parameters
    ----------
    based_on : str
        The :func:`fingerprint` of the version that the rows were written from.

    Raises
    ------
    RubricChanged
        When that is not the newest version any more.
    """
    before = _newest_locked(rubric, based_on)
    if before is None or before.published_at:
        before = _new_draft(rubric, before.number + 1 if before else 1)
    _write(before, rows)
    return before


@transaction.atomic
def publish(
    rubric: Rubric, rows: Sequence[Row], *, based_on: str, by: User | None, at: datetime
) -> RubricVersion:
    """Store rows as the version that coupons are graded by from now on; raises as a draft does."""
    version = keep_draft(rubric, rows, based_on=based_on)
    version.published_at = at
    version.save(update_fields=["published_at"])
    audit.record_act(by, Act.RUBRIC_PUBLISHED, version)
    return version


@transaction.atomic
def discard_draft(rubric: Rubric, *, based_on: str) -> bool:
    """Take the draft out, and the rubric with it where nothing was published; return whether.

    Raises
    ------
    RubricChanged
        When somebody else changed or published it meanwhile.
    """
    draft = _newest_locked(rubric, based_on)
    if draft is not None and draft.published_at is None:
        _clear(draft)
        draft.delete()
    if rubric.versions.exists():
        return False
    rubric.delete()
    return True


def _newest_locked(rubric: Rubric, based_on: str) -> RubricVersion | None:
    if not Rubric.objects.select_for_update().filter(pk=rubric.pk).exists():
        raise RubricChanged(_("Somebody else took this rubric out just now."))
    version = newest(rubric)
    if fingerprint(version) != based_on:
        raise RubricChanged(
            _(
                "Somebody else changed this rubric since you opened it. What you typed is below. "
                "Open the rubric in another tab, see what is new, and bring it together there."
            )
        )
    return version


def _new_draft(rubric: Rubric, number: int) -> RubricVersion:
    return RubricVersion.objects.create(rubric=rubric, number=number, origin=ORIGIN)


def _clear(draft: RubricVersion) -> None:
    Level.objects.filter(criterion__version=draft).delete()
    Criterion.objects.filter(version=draft).delete()


def _write(draft: RubricVersion, rows: Sequence[Row]) -> None:
    _clear(draft)
    criteria = Criterion.objects.bulk_create(
        Criterion(
            version=draft,
            place=place,
            key=key,
            title=row.title,
            weight=Decimal(0) if row.gate else row.weight,
            gate=row.gate,
            check_test=row.check_test,
        )
        for place, (row, key) in enumerate(zip(rows, _keys(rows), strict=True), start=1)
    )
    Level.objects.bulk_create(
        Level(criterion=criterion, digit=digit, words=words)
        for criterion, row in zip(criteria, rows, strict=True)
        for digit, words in enumerate(row.levels, start=1)
        if words
    )


def _keys(rows: Sequence[Row]) -> Iterator[str]:
    """Yield a key for each row: the one that it had in earlier versions, else one of its title."""
    taken: set[str] = set()
    kept = {each.key for each in rows if each.key}
    for row in rows:
        key = row.key if row.key and row.key not in taken else _free(row.title, taken | kept)
        taken.add(key)
        yield key


def _free(title: str, taken: set[str]) -> str:
    stem = slugify(title)[: LONGEST_KEY - 4].strip("-") or "row"
    found, number = stem, 1
    while found in taken:
        number += 1
        found = f"{stem}-{number}"
    return found
