"""Handing in from a shop with weak Wi-Fi: phones send twice, and several at once."""

import uuid
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from coursework.conflicts import OtherContent, StaleCoupon
from coursework.hand_in import Statement, correct, hand_in, withdraw
from coursework.models import Coupon, Enrolment, Exercise, User
from tests.factories import MOMENT, clean_document, hand_in_coupon

PHONES = 8


def send(enrolment: Enrolment, exercise: Exercise, client_id: uuid.UUID, said: str) -> bool:
    """Hand one coupon in, and say whether it was new."""
    try:
        _coupon, created = hand_in(
            enrolment,
            exercise,
            Statement(document=clean_document(exercise)),
            client_id=client_id,
            content_hash=said,
            photos=(),
            at=MOMENT,
        )
    finally:
        connection.close()
    return created


@pytest.mark.postgres(only=True)
@pytest.mark.django_db(transaction=True)
def test_one_entry_sent_by_many_at_once_is_one_coupon(
    enrolment: Enrolment, exercise: Exercise
) -> None:
    client_id = uuid.uuid4()
    with ThreadPoolExecutor(PHONES) as phones:
        sent = [
            phones.submit(send, enrolment, exercise, client_id, "the same") for _ in range(PHONES)
        ]
    assert sum(each.result() for each in sent) == 1
    assert Coupon.objects.count() == 1


@pytest.mark.postgres(only=True)
@pytest.mark.django_db(transaction=True)
def test_many_entries_at_once_are_numbered_without_a_gap(
    enrolment: Enrolment, exercise: Exercise
) -> None:
    with ThreadPoolExecutor(PHONES) as phones:
        sent = [
            phones.submit(send, enrolment, exercise, uuid.uuid4(), str(n)) for n in range(PHONES)
        ]
    assert all(each.result() for each in sent)
    numbers = Coupon.objects.order_by("number").values_list("number", flat=True)
    assert list(numbers) == list(range(1, PHONES + 1))


@pytest.mark.postgres
@pytest.mark.django_db
class TestOneAfterTheOther:
    """What holds on both databases."""

    def test_other_content_under_the_same_id_is_a_conflict_and_changes_nothing(
        self, enrolment: Enrolment, exercise: Exercise
    ) -> None:
        coupon = hand_in_coupon(enrolment, exercise)
        with pytest.raises(OtherContent):
            hand_in(
                enrolment,
                exercise,
                Statement(document=clean_document(exercise, current_a=99)),
                client_id=coupon.client_id,
                content_hash="something else",
                photos=(),
                at=MOMENT,
            )
        assert Coupon.objects.count() == 1
        assert coupon.all_facts.count() == 1

    def test_the_same_id_of_another_student_is_another_coupon(
        self, enrolment: Enrolment, exercise: Exercise, classmate: User
    ) -> None:
        coupon = hand_in_coupon(enrolment, exercise)
        other = Enrolment.objects.get(user=classmate)
        _coupon, created = hand_in(
            other,
            exercise,
            Statement(document=clean_document(exercise)),
            client_id=coupon.client_id,
            content_hash=coupon.content_hash,
            photos=(),
            at=MOMENT,
        )
        assert created

    def test_a_change_based_on_an_old_version_is_refused_and_leaves_no_trace(
        self, coupon: Coupon
    ) -> None:
        old = coupon.version
        user = coupon.enrolment.user
        correct(
            coupon,
            Statement(document=clean_document(coupon.exercise, current_a=120)),
            based_on=old,
            user=user,
            at=MOMENT,
        )
        for change in (
            lambda: withdraw(coupon, based_on=old, by=user),
            lambda: correct(
                coupon,
                Statement(document=clean_document(coupon.exercise, current_a=99)),
                based_on=old,
                user=user,
                at=MOMENT,
            ),
        ):
            with pytest.raises(StaleCoupon):
                change()
        coupon.refresh_from_db()
        assert (coupon.state, coupon.version, coupon.all_facts.count()) == ("handed_in", 2, 2)
