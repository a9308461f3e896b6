"""``manage.py check_audit`` notices what somebody who owns the database did to it by hand."""

import hashlib
import io

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from pytest_django import DjangoAssertNumQueries

from coursework import access, audit_check, issuing, section_issuing
from coursework.audit import Entry, record_acts
from coursework.audit_chain import hash_of
from coursework.models import Act, AuditRow, Coupon, IssuedRecord, IssuedSectionRecord, School, User
from tests.audit_guard import lifted
from tests.factories import MOMENT

pytestmark = pytest.mark.postgres


@pytest.fixture
def rows(school: School) -> list[AuditRow]:
    """Six rows in the audit table."""
    return record_acts(None, Act.EXPORTED, [Entry(about=school, reason=str(n)) for n in range(6)])


@pytest.fixture
def issued(graded_coupon: Coupon, instructor: User) -> IssuedRecord:
    """A record as it was issued."""
    return issuing.issue(graded_coupon.enrolment, instructor, MOMENT, after_issue=0)


def check(*options: str) -> str:
    """Return what the command says of a table that holds."""
    out = io.StringIO()
    call_command("check_audit", *options, stdout=out)
    return out.getvalue()


def faults(*options: str) -> list[str]:
    """Return the faults that the command finds, which ends with exit code 1."""
    out = io.StringIO()
    with pytest.raises(CommandError) as ended:
        call_command("check_audit", *options, stdout=out)
    assert ended.value.returncode == 1
    return out.getvalue().splitlines()


def by_hand(statement: str, *values: str | int) -> None:
    """Change the table as somebody who owns the database can."""
    with lifted(), connection.cursor() as cursor:
        cursor.execute(statement, values)


def test_what_nobody_touched_holds_and_the_head_is_told(
    rows: list[AuditRow], issued: IssuedRecord
) -> None:
    head = AuditRow.objects.get(number=7)
    assert check() == (
        "7 audit rows and 1 issued record are as they were written. "
        f"Head: 7:{head.hash}\n"
    )  # fmt: skip


def test_an_empty_table_holds(school: School) -> None:
    assert check().startswith("0 audit rows and 0 issued records are as they were written.")


@pytest.mark.parametrize(
    "column",
    ["actor_name", "act", "about_kind", "about_key", "about_name", "before", "after", "reason"],
)
def test_one_edited_byte(rows: list[AuditRow], column: str) -> None:
    by_hand(f"UPDATE coursework_auditrow SET {column} = {column} || 'x' WHERE number = 3")  # noqa: S608
    assert faults() == ["Row 3 was changed: its hash is not that of what it says."]


@pytest.mark.parametrize(
    "change",
    [
        "school_id = NULL",
        "actor_id = 1",
        "request_id = 'another-request'",
        "at = '2026-09-14 15:00:00.000001+00'",
    ],
)
def test_another_member_of_the_row(rows: list[AuditRow], change: str) -> None:
    by_hand(f"UPDATE coursework_auditrow SET {change} WHERE number = 3")  # noqa: S608
    assert faults() == ["Row 3 was changed: its hash is not that of what it says."]


def test_an_edited_row_with_its_hash_made_to_fit(rows: list[AuditRow]) -> None:
    forged = AuditRow.objects.get(number=3)
    forged.reason = "something else"
    by_hand(
        "UPDATE coursework_auditrow SET reason = %s, hash = %s WHERE number = 3",
        forged.reason,
        hash_of(forged),
    )
    assert faults() == ["Row 4 does not hold the hash of row 3 before it."]


def test_a_removed_row(rows: list[AuditRow]) -> None:
    by_hand("DELETE FROM coursework_auditrow WHERE number = 3")
    assert faults() == ["Row 4 follows row 2: row 3 is missing."]


def test_removed_rows_at_the_beginning(rows: list[AuditRow]) -> None:
    by_hand("DELETE FROM coursework_auditrow WHERE number < 3")
    assert faults() == ["Row 3 follows row 0: rows 1 to 2 are missing."]


def test_a_removed_row_with_the_rest_moved_up(rows: list[AuditRow]) -> None:
    by_hand("DELETE FROM coursework_auditrow WHERE number = 5")
    by_hand("UPDATE coursework_auditrow SET number = 5 WHERE number = 6")
    assert faults() == [
        "Row 5 does not hold the hash of row 4 before it.",
        "Row 5 was changed: its hash is not that of what it says.",
    ]


def test_a_swapped_pair(rows: list[AuditRow]) -> None:
    for old, new in ((3, 90), (4, 3), (90, 4)):
        by_hand("UPDATE coursework_auditrow SET number = %s WHERE number = %s", new, old)
    assert [each for each in faults() if each.startswith(("Row 3", "Row 4"))] == [
        "Row 3 does not hold the hash of row 2 before it.",
        "Row 3 was changed: its hash is not that of what it says.",
        "Row 4 does not hold the hash of row 3 before it.",
        "Row 4 was changed: its hash is not that of what it says.",
    ]


@pytest.mark.usefixtures("rows")
class TestHead:
    """Rows taken off the end show only against a head that was noted elsewhere."""

    def test_a_removed_tail(self) -> None:
        noted = check().split()[-1]
        by_hand("DELETE FROM coursework_auditrow WHERE number > 4")
        assert check().startswith("4 audit rows")
        (said,) = faults(f"--head={noted}")
        assert said.startswith("Row 6 does not have the hash that was noted")
        (said,) = faults(f"--head={noted.partition(':')[2]}")
        assert said.startswith("No row has the hash that was noted")

    def test_a_chain_written_anew_from_an_edited_row_on(self) -> None:
        noted = check().split()[-1]
        forged, before = list(AuditRow.objects.order_by("number")), "0" * 64
        forged[2].reason = "something else"
        with lifted():
            AuditRow.objects.filter(number__gte=1).delete()
            for each in forged:
                each.previous_hash, each.hash = before, ""
                each.hash = before = hash_of(each)
                each.save(force_insert=True)
        assert check().startswith("6 audit rows")
        assert len(faults(f"--head={noted}")) == 1

    def test_a_table_that_only_grew_still_has_it(self, school: School) -> None:
        noted = check().split()[-1]
        record_acts(None, Act.EXPORTED, [Entry(about=school)])
        for head in (noted, noted.partition(":")[2]):
            assert check(f"--head={head}").startswith("7 audit rows")

    @pytest.mark.parametrize("typed", ["", "12", "12:", "G" * 64, "0:" + "a" * 64, "a" * 65])
    def test_what_is_no_head_is_said(self, typed: str) -> None:
        with pytest.raises(CommandError, match="is not a head"):
            call_command("check_audit", f"--head={typed}")


class TestRecords:
    """A master is held against its fingerprint, and that against the row of its issue."""

    def edit(self, issued: IssuedRecord, *, with_fingerprint: bool) -> None:
        changed = issued.master.replace('"level":3', '"level":4', 1)
        assert changed != issued.master
        sha256 = hashlib.sha256(changed.encode()).hexdigest() if with_fingerprint else issued.sha256
        # The database refuses UPDATE, but lets who owns it put a row in the place of another.
        IssuedRecord.objects.filter(pk=issued.pk).delete()
        issued.master, issued.sha256 = changed, sha256
        issued.save(force_insert=True)

    def test_an_edited_master(self, issued: IssuedRecord) -> None:
        self.edit(issued, with_fingerprint=False)
        (said,) = faults()
        assert said.startswith(f"Issued record {issued.code} (row {issued.pk}) was changed: its")
        assert said.endswith("master does not have the fingerprint stored beside it.")

    def test_an_edited_master_with_its_fingerprint_made_to_fit(self, issued: IssuedRecord) -> None:
        self.edit(issued, with_fingerprint=True)
        (said,) = faults()
        assert said.startswith(f"Issued record {issued.code} (row {issued.pk}) was changed:")
        assert said.endswith("audit row 1 tells of another fingerprint.")

    @pytest.mark.usefixtures("issued")
    def test_an_edited_record_of_a_section(self, instructor: User) -> None:
        students = list(access.enrolments(instructor))
        section = students[0].section
        whole = section_issuing.issue(section, students, instructor, MOMENT, after_issue=0)
        assert "2 issued records are as they were written" in check()
        IssuedSectionRecord.objects.all().delete()
        whole.master += " "
        whole.save(force_insert=True)
        (said,) = faults()
        assert said.startswith(f"Issued section record {whole.code} (row {whole.pk}) was changed")

    def test_a_row_of_another_issue_added_to_cover_it(self, issued: IssuedRecord) -> None:
        self.edit(issued, with_fingerprint=True)
        cover = Entry(about=issued, after={"sha256": issued.sha256})
        record_acts(None, Act.RECORD_ISSUED, [cover])
        assert len(faults()) == 1

    def test_a_record_put_in_by_hand(self, issued: IssuedRecord) -> None:
        issued.pk, issued.code, issued.issue = None, "2222-2222", 2
        issued.save(force_insert=True)
        (said,) = faults()
        assert said.startswith(f"Issued record 2222-2222 (row {issued.pk}) was not issued by")

    def test_a_record_that_is_gone(self, issued: IssuedRecord) -> None:
        issued.delete()
        assert "Issued, and no longer stored: 1 record." in check()


def test_a_table_without_its_guard(rows: list[AuditRow]) -> None:
    with lifted():
        said = faults()
    assert said
    assert all("does not guard the audit table" in each for each in said)


def test_a_longer_table_is_read_in_batches(
    school: School,
    monkeypatch: pytest.MonkeyPatch,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    monkeypatch.setattr(audit_check, "BATCH", 4)
    record_acts(None, Act.EXPORTED, [Entry(about=school)] * 12)
    # Guards, three batches and the one that is empty; of either kind of record three.
    with django_assert_max_num_queries(11):
        assert check().startswith("12 audit rows")
