"""The page and the command that purge: say what first, want typed words, log what was done."""

import io
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.test import Client

from coursework import holds, purging
from coursework.models import Coupon, Enrolment, Exercise, Purge, Section, User
from tests.coursework.past_terms import COUPONS_PAST, add_photo, close
from tests.factories import MOMENT, hand_in_coupon

pytestmark = pytest.mark.django_db

ADDRESS = "/office/retention/purge/"


@pytest.fixture
def years_later() -> Iterator[None]:
    """The day on which all of the term is past its time."""
    with time_machine.travel(COUPONS_PAST, tick=False):
        yield


@pytest.fixture
def office(years_later: None, client_of: Callable[[User], Client], coordinator: User) -> Client:
    """The coordinator's browser, years later."""
    return client_of(coordinator)


@pytest.fixture
def three_coupons(enrolment: Enrolment, exercise: Exercise, section: Section) -> None:
    """Three coupons, one with a photo, of a term that is closed."""
    coupons = [hand_in_coupon(enrolment, exercise) for _time in range(3)]
    add_photo(coupons[0])
    close(section)


@pytest.mark.usefixtures("three_coupons")
class TestThePage:
    """What a coordinator sees and does."""

    def confirm(self, office: Client, typed: str = "remove 4") -> Any:
        """Send the words with what the page shows now."""
        shown = office.get(ADDRESS).context["plan"].fingerprint
        return office.post(ADDRESS, {"shown": shown, "typed": typed}, follow=True)

    def test_it_says_what_how_many_and_of_which_days_before_anything_is_removed(
        self, office: Client
    ) -> None:
        page = office.get(ADDRESS).text
        for said in ("Photos", "Coupons, with grades", "ALW 12, Section A", "Sep 14, 2026"):
            assert said in page
        assert "Type “remove 4” to confirm" in page
        assert "1 student without an issued record" in page
        assert Coupon.objects.count() == 3

    @pytest.mark.parametrize("typed", ["", "remove", "remove 3", "yes"])
    def test_other_words_remove_nothing(self, office: Client, typed: str) -> None:
        page = self.confirm(office, typed)
        assert page.status_code == 422
        assert "Nothing is removed yet." in page.text
        assert Coupon.objects.count() == 3
        assert not Purge.objects.exists()

    def test_the_words_remove_it_and_the_log_says_what_how_many_and_by_whom(
        self, office: Client
    ) -> None:
        page = self.confirm(office, " Remove 4 ")
        assert not Coupon.objects.exists()
        for said in (
            "Done: 4 removed",
            "By Runa Moss: 4 of 4 removed.",
            "Coupons, with grades and sign-offs, ALW 12, Section A: 3, 2026-09-14 to 2026-09-14",
            "finished",
        ):
            assert said in page.text

    def test_what_changed_since_it_was_shown_is_shown_again(
        self, office: Client, section: Section, coordinator: User
    ) -> None:
        shown = office.get(ADDRESS).context["plan"].fingerprint
        school = section.term.school
        holds.place(school, section, "An audit.", by=coordinator, at=MOMENT)
        page = office.post(ADDRESS, {"shown": shown, "typed": "remove 4"})
        assert page.status_code == 409
        assert "Something changed since this was shown." in page.text
        assert "An audit." in page.text
        assert Coupon.objects.count() == 3

    def test_a_long_one_goes_on_in_steps_and_can_be_stopped(
        self, office: Client, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("coursework.views.purge.A_REQUEST_S", -1.0)
        monkeypatch.setattr(purging, "A_BATCH", 1)
        assert "1 of 4 removed" in self.confirm(office).text
        assert "2 of 4 removed" in office.post(ADDRESS, follow=True).text
        page = office.post(ADDRESS, {"stop": "1"}, follow=True).text
        assert "By Runa Moss: 2 of 4 removed." in page
        assert "stopped" in page
        assert Coupon.objects.count() == 2
        assert "Type “remove 2” to confirm" in office.get(ADDRESS).text

    def test_nothing_to_remove_wants_no_words(self, office: Client, section: Section) -> None:
        section.term.closed_at = None
        section.term.save()
        page = office.get(ADDRESS)
        assert "Nothing is past its time" in page.text
        shown = page.context["plan"].fingerprint
        assert office.post(ADDRESS, {"shown": shown, "typed": "remove 0"}).status_code == 422
        assert not Purge.objects.exists()


@pytest.mark.usefixtures("three_coupons", "years_later", "coordinator")
class TestTheCommand:
    """``manage.py purge --by runa``."""

    def run(self, monkeypatch: pytest.MonkeyPatch, typed: str, by: str = "runa") -> str:
        """Return what it says when somebody types that."""
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        out = io.StringIO()
        call_command("purge", by=by, stdout=out)
        return out.getvalue()

    def test_it_says_what_and_asks_and_nothing_typed_removes_nothing(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        said = self.run(monkeypatch, "")
        assert (
            "Coupons, with grades and sign-offs, ALW 12, Section A, Fall 2026: 3,"
            " 2026-09-14 to 2026-09-14" in said
        )
        assert "students without an issued record: 1" in said
        assert "Nothing was removed." in said
        assert Coupon.objects.count() == 3

    def test_the_words_remove_it(self, monkeypatch: pytest.MonkeyPatch, coordinator: User) -> None:
        said = self.run(monkeypatch, "remove 4\n")
        assert "Coupons, with grades and sign-offs: 3 removed" in said
        assert not Coupon.objects.exists()
        assert Purge.objects.get().started_by == coordinator

    def test_what_is_held_is_said_with_the_reason(
        self, monkeypatch: pytest.MonkeyPatch, section: Section, coordinator: User
    ) -> None:
        school = section.term.school
        holds.place(school, section, "An audit.", by=coordinator, at=MOMENT)
        said = self.run(monkeypatch, "")
        assert "Tern Harbor Technical Institute: nothing." in said
        assert "Held, stays: ALW 12, Section A, Fall 2026. Photos: 1, Coupons" in said
        assert "An audit." in said

    def test_stopped_at_the_keyboard_it_can_be_started_again(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(purging, "A_BATCH", 1)
        with monkeypatch.context() as patched:
            patched.setattr("coursework.bar.Bar.step", self.interrupted)
            assert "Stopped" in self.run(patched, "remove 4\n")
        assert Purge.objects.get().outcome == "stopped"
        assert "Coupons, with grades and sign-offs: 3 removed" in self.run(
            monkeypatch, "remove 3\n"
        )
        assert not Coupon.objects.exists()

    def interrupted(self, *_: object) -> None:
        """Do as Ctrl-C does."""
        raise KeyboardInterrupt

    def test_one_that_broke_off_ends_before_the_next_begins(
        self, monkeypatch: pytest.MonkeyPatch, section: Section, coordinator: User
    ) -> None:
        Purge.objects.create(school=section.term.school, started_by=coordinator, started_at=MOMENT)
        said = self.run(monkeypatch, "remove 4\n")
        assert "A purge of 2026-09-14 broke off; it ends here." in said
        assert sorted(Purge.objects.values_list("outcome", flat=True)) == ["finished", "stopped"]

    @pytest.mark.usefixtures("instructor")
    @pytest.mark.parametrize("name", ["odo", "nobody"])
    def test_a_coordinator_answers_for_it(self, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
        with pytest.raises(CommandError, match="No coordinator"):
            self.run(monkeypatch, "remove 4\n", by=name)
        assert Coupon.objects.count() == 3
