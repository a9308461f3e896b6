"""The audit table: one row an act, chained, and refused to whoever would change it."""

import hashlib
import itertools
import threading
from datetime import UTC, date, datetime
from unittest.mock import patch

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.transaction import TransactionManagementError

from coursework import audit, request_id
from coursework.audit import About, Entry, record_act, record_acts
from coursework.audit_chain import BEFORE_THE_FIRST, canonical, hash_of
from coursework.models import Act, AuditRow, Coupon, School, User
from tests.audit_guard import lifted

REFUSED = "The audit table is only ever added to."


def test_a_row_says_who_did_what_to_what_and_how_it_was_before(
    coupon: Coupon, instructor: User
) -> None:
    token = request_id.current.set("20261125-shop-0001")
    row = record_act(
        instructor,
        Act.REGRADED,
        coupon,
        before={"level": 2, "decision": "returned"},
        after={"level": 3, "decision": "returned"},
        reason="Measured again.",
    )
    request_id.current.reset(token)
    instructor.last_name = "Renamed"
    instructor.save()
    row.refresh_from_db()
    assert (row.actor_id, row.actor_name, row.school_id) == (
        instructor.pk,
        "Odo Hale",
        instructor.school_id,
    )
    assert (row.about_kind, row.about_key) == ("coupon", str(coupon.pk))
    assert row.about_name == f"Coupon {coupon.number} of Ansa Quill, {coupon.exercise.title}"
    assert row.changes == [("level", 2, 3)]
    assert (row.get_act_display(), row.reason) == ("Graded again", "Measured again.")
    assert row.request_id == "20261125-shop-0001"
    assert abs(row.at - datetime.now(UTC)).total_seconds() < 60


def test_rows_are_numbered_without_a_gap_and_each_holds_the_hash_of_the_one_before(
    school: School,
) -> None:
    rows = [record_act(None, Act.PURGED, school) for _time in range(2)]
    rows += record_acts(None, Act.EXPORTED, [Entry(about=school), Entry(about=school)])
    first = rows[0].number
    assert [each.number for each in rows] == list(range(first, first + 4))
    for before, after in itertools.pairwise(rows):
        assert after.previous_hash == before.hash
    stored = AuditRow.objects.filter(number__gte=first).order_by("number")
    assert [hash_of(each) for each in stored] == [each.hash for each in rows]


def test_the_text_that_is_hashed_never_changes() -> None:
    # Own format, no outside source: a change of it would make every stored hash wrong. The hash
    # itself is SHA-256 (FIPS 180-4) of that text, as Python's hashlib has it.
    row = AuditRow(
        number=7, at=datetime(2026, 9, 14, 15, 0, 0, 5, tzinfo=UTC), school_id=1, actor_id=None,
        act="purged", about_kind="school", about_key="1", about_name="Tern “Harbor”",
        after='{"removed": 3}', previous_hash=BEFORE_THE_FIRST,
    )  # fmt: skip
    text = (
        '{"number":7,"at":"2026-09-14T15:00:00.000005+00:00","school":1,"actor":null,'
        '"actor_name":"","act":"purged","about_kind":"school","about_key":"1",'
        '"about_name":"Tern “Harbor”","before":"","after":"{\\"removed\\": 3}","reason":"",'
        f'"request_id":"","previous_hash":"{"0" * 64}"}}'
    )
    assert canonical(row) == text
    assert hash_of(row) == hashlib.sha256(text.encode()).hexdigest()


def test_days_and_hostile_text_are_stored_as_they_are(school: School) -> None:
    after = {"starts_on": date(2026, 8, 24), "name": "=cmd|' /C calc'!A0 \u202e\x00 🧯" + "x" * 300}
    row = record_act(None, Act.TERM_OPENED, school, after=after)
    row.refresh_from_db()
    assert row.changes == [
        ("name", None, after["name"]),
        ("starts_on", None, "2026-08-24"),
    ]
    assert hash_of(row) == row.hash


def test_what_is_gone_can_still_be_named(school: School) -> None:
    row = record_act(None, Act.PURGED, About("enrolment", "12", "a student", school.pk))
    assert (row.about_kind, row.about_key, row.school_id) == ("enrolment", "12", school.pk)


@pytest.mark.postgres
def test_the_database_refuses_to_change_or_remove_a_row(school: School) -> None:
    row = record_act(None, Act.PURGED, school)
    connection.check_constraints()
    tried = ["UPDATE coursework_auditrow SET actor_name = 'x'", "DELETE FROM coursework_auditrow"]
    if connection.vendor == "postgresql":
        tried += ["TRUNCATE coursework_auditrow"]
    else:
        tried += ["REPLACE INTO coursework_auditrow SELECT * FROM coursework_auditrow"]
    for statement in tried:
        with pytest.raises(IntegrityError, match=REFUSED), transaction.atomic():
            connection.cursor().execute(statement)
    row.refresh_from_db()
    assert row.actor_name == ""


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_change_and_row_are_stored_together_or_not_at_all(school: School) -> None:
    with pytest.raises(TransactionManagementError):
        record_act(None, Act.PURGED, school)
    with transaction.atomic():
        record_act(None, Act.PURGED, school)
        transaction.set_rollback(True)
    with transaction.atomic():
        row = record_act(None, Act.PURGED, school)
    assert AuditRow.objects.get() == row
    assert row.number == 1


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_once_its_guard_is_back_the_table_refuses_again(school: School) -> None:
    with transaction.atomic():
        record_act(None, Act.PURGED, school)
    with lifted():
        AuditRow.objects.update(actor_name="somebody else")
    with pytest.raises(IntegrityError, match=REFUSED):
        AuditRow.objects.update(actor_name="")


def _eight_at_once(school: School) -> list[str]:
    """Let eight people record an act at the same moment; return what stopped any of them."""
    start, stopped = threading.Barrier(8), []
    read = audit._head

    def read_and_wait() -> tuple[int, str]:
        head = read()
        # Without a lock every one of them has read the head by now.
        start_writing.wait(0.5)
        return head

    start_writing = threading.Event()

    def act() -> None:
        start.wait()
        try:
            with transaction.atomic():
                record_act(None, Act.EXPORTED, school)
        except IntegrityError as error:
            stopped.append(str(error))
        finally:
            connection.close()

    with patch.object(audit, "_head", read_and_wait):
        threads = [threading.Thread(target=act) for _person in range(8)]
        for each in threads:
            each.start()
        for each in threads:
            each.join()
    return stopped


@pytest.mark.postgres(only=True)
@pytest.mark.django_db(transaction=True)
def test_of_eight_who_act_at_once_each_waits_for_the_one_before(school: School) -> None:
    assert _eight_at_once(school) == []
    assert list(AuditRow.objects.values_list("number", flat=True)) == list(range(1, 9))


@pytest.mark.postgres(only=True)
@pytest.mark.django_db(transaction=True)
def test_without_the_lock_they_would_build_on_the_same_row(
    school: School, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(audit, "_lock_chain", lambda: None)
    stopped = _eight_at_once(school)
    assert len(stopped) == 7
    assert AuditRow.objects.count() == 1
