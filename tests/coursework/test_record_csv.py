"""The address of an issued record's table."""

from collections.abc import Callable
from datetime import UTC, datetime

from django.test import Client
from django.urls import reverse

from coursework import access, issuing
from coursework.models import Coupon, User


def test_the_table_is_a_file_of_the_master(
    graded_coupon: Coupon, student: User, instructor: User, client_of: Callable[[User], Client]
) -> None:
    student.first_name = "=1+1"
    student.save()
    enrolment = access.enrolments(instructor).get(pk=graded_coupon.enrolment_id)
    noon = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
    issued = issuing.issue(enrolment, instructor, noon, after_issue=0)
    student.first_name = "Changed"
    student.save()
    address = reverse("coursework:record_csv", args=[issued.code])
    response = client_of(student).get(address)
    assert response.headers["Content-Type"] == "text/csv; charset=utf-8"
    name = f"term-record-11-quill-{issued.code}.csv"
    assert response.headers["Content-Disposition"] == f'attachment; filename="{name}"'
    text = response.content.decode("utf-8-sig")
    assert '"\'=1+1 Quill"' in text
    assert "Changed" not in text
