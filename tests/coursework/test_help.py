"""The page of help: what flags mean, who decides, what a record is not."""

import pytest
from django.test import Client

from tests.coursework.words import words_on

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("severity", ["stop", "warn", "advise"])
def test_each_flag_is_shown_as_it_looks(client: Client, severity: str) -> None:
    answer = client.get("/help/")
    assert f'<article class="finding {severity}">' in answer.text
    assert f'href="#s-{severity}"' in answer.text
    assert f"{severity.capitalize()}: " in words_on(answer)


def test_the_record_is_no_qualification_and_the_instructor_decides(client: Client) -> None:
    text = words_on(client.get("/help/"))
    assert "no welder qualification, certificate or license" in text
    assert "Who decides Your instructor." in text


def test_the_buttons_are_called_as_on_the_coupon(client: Client) -> None:
    text = words_on(client.get("/help/"))
    assert "“Correct this coupon” and “Withdraw this coupon”" in text
