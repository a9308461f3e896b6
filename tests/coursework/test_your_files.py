"""The page of one's own files: ask, look on, cancel, get; nobody else's are there."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from playwright.sync_api import Page, expect

from coursework import export_kinds
from coursework.export_clearing import storage
from coursework.export_kinds import Kind
from coursework.models import Disclosure, Enrolment, ExportFile, Section, User
from tests.conftest import OpenPage
from tests.coursework.words import words_on

pytestmark = pytest.mark.django_db

State = ExportFile.State
type ClientOf = Callable[[User], Client]
PAGE = "/files/"


def a_file(by: User, section: Section, state: str, **columns: Any) -> ExportFile:
    """Return a stored file of a kind that is about a section."""
    now = timezone.now()
    made = ExportFile(asked_by=by, section=section, kind="some", state=state, asked_at=now)
    if state == State.RUNNING:
        made.started_at = now
    if state == State.READY:
        made.file = storage().save(f"{made.public_id}.txt", ContentFile(b"whole file"))
        made.size_bytes, made.sha256 = 10, "ab" * 32
        made.finished_at, made.expires_at = now, now + timedelta(days=7)
    for name, value in columns.items():
        setattr(made, name, value)
    made.save()
    return made


@pytest.fixture(autouse=True)
def _some(monkeypatch: pytest.MonkeyPatch) -> None:
    def write(_about: Section, to: Any, progress: Any, **_site: str) -> None:
        to.write_text("whole file")
        progress(1, 1)

    made = Kind("some", "Some of %(about)s", Section, "txt", write)
    monkeypatch.setitem(export_kinds.KINDS, "some", made)


# --- asking


def test_staff_ask_for_a_file_about_a_section_and_are_led_to_their_files(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    answer = client_of(instructor).post(f"/sections/{section.pk}/exports/some/ask/", follow=True)
    assert answer.redirect_chain == [(PAGE, 302)]
    assert "Some of ALW 12, Section A" in words_on(answer)
    assert ExportFile.objects.get().site == "http://testserver/"


@pytest.mark.parametrize("kind", ["nothing", "whole_file"])
def test_a_kind_that_is_not_about_sections_is_not_there(
    kind: str, client_of: ClientOf, instructor: User, section: Section
) -> None:
    answer = client_of(instructor).post(f"/sections/{section.pk}/exports/{kind}/ask/")
    assert answer.status_code == 404
    assert not ExportFile.objects.exists()


def test_whoever_asks_for_a_second_is_told_in_a_sentence(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    a_file(instructor, section, State.RUNNING)
    answer = client_of(instructor).post(f"/sections/{section.pk}/exports/some/ask/", follow=True)
    assert "One file at a time" in words_on(answer)
    assert ExportFile.objects.count() == 1


def test_a_student_may_have_the_whole_file_at_any_time(
    client_of: ClientOf, student: User, enrolment: Enrolment
) -> None:
    Enrolment.objects.filter(pk=enrolment.pk).update(left_at=timezone.now())
    answer = client_of(student).post("/files/whole-file/", follow=True)
    assert "Whole file of Ansa Quill" in words_on(answer)
    assert ExportFile.objects.get().state == State.READY


def test_a_coordinator_may_make_a_student_s_whole_file(
    client_of: ClientOf, coordinator: User, enrolment: Enrolment
) -> None:
    form = {"stays": "yes"}
    address = f"/students/{enrolment.pk}/whole-file/"
    answer = client_of(coordinator).post(address, form, follow=True)
    assert answer.redirect_chain == [(PAGE, 302)]
    assert "Whole file of Ansa Quill" in words_on(answer)
    assert not Disclosure.objects.exists()


LEAVES = {"to": "Harbor Works", "why": "consent", "note": "October 2, on file"}


def test_a_whole_file_that_leaves_the_school_is_logged_as_a_disclosure(
    client_of: ClientOf, coordinator: User, enrolment: Enrolment
) -> None:
    client_of(coordinator).post(f"/students/{enrolment.pk}/whole-file/", LEAVES)
    logged = Disclosure.objects.get()
    assert (logged.what, logged.to) == ("Whole file of Ansa Quill", "Harbor Works")
    assert list(logged.enrolments.all()) == [enrolment]


def test_to_whom_it_goes_has_to_be_said_and_what_was_typed_stays(
    client_of: ClientOf, coordinator: User, enrolment: Enrolment
) -> None:
    form = LEAVES | {"to": ""}
    answer = client_of(coordinator).post(f"/students/{enrolment.pk}/whole-file/", form)
    assert answer.status_code == 422
    assert "Say who gets the file." in words_on(answer)
    assert "October 2, on file" in answer.text
    assert not ExportFile.objects.exists()


def test_no_disclosure_is_logged_of_a_file_that_is_not_made(
    client_of: ClientOf, coordinator: User, enrolment: Enrolment, section: Section
) -> None:
    a_file(coordinator, section, State.RUNNING)
    client_of(coordinator).post(f"/students/{enrolment.pk}/whole-file/", LEAVES)
    assert not Disclosure.objects.exists()


def test_what_failed_can_be_asked_for_again(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    failed = a_file(instructor, section, State.FAILED, problem="The disk is full.")
    browser = client_of(instructor)
    assert "The disk is full." in words_on(browser.get(PAGE))
    browser.post(f"{PAGE}{failed.public_id}/again/")
    again = ExportFile.objects.exclude(pk=failed.pk).get()
    assert (again.kind, again.section, again.state) == ("some", section, State.READY)


# --- looking on


def test_a_file_in_the_making_shows_how_far_it_is(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    a_file(instructor, section, State.RUNNING, done=12, of=32)
    page = client_of(instructor).get(PAGE)
    assert 'max="32"' in page.text
    assert 'value="12"' in page.text
    assert "12 of 32" in words_on(page)


def test_a_page_that_looks_again_is_answered_only_when_something_is_new(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    running = a_file(instructor, section, State.RUNNING, done=12, of=32)
    browser = client_of(instructor)
    seen = browser.get(PAGE).context["seen"]

    def look() -> Any:
        return browser.get(PAGE, {"seen": seen}, headers={"HX-Request": "true"})

    assert look().status_code == 204
    ExportFile.objects.filter(pk=running.pk).update(done=13)
    answer = look()
    assert answer.status_code == 200
    assert "13 of 32" in words_on(answer)
    assert "<html" not in answer.text


def test_what_waits_for_long_says_what_may_be_wrong(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    waiting = a_file(instructor, section, State.WAITING)
    browser = client_of(instructor)
    assert "worker" not in words_on(browser.get(PAGE))
    earlier = timezone.now() - timedelta(minutes=2)
    ExportFile.objects.filter(pk=waiting.pk).update(asked_at=earlier)
    assert "the worker may not be running" in words_on(browser.get(PAGE))


def test_a_lost_job_is_found_by_looking(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    lost = timezone.now() - timedelta(days=2)
    a_file(instructor, section, State.RUNNING, started_at=lost)
    assert "cut off half way" in words_on(client_of(instructor).get(PAGE))


def test_it_can_be_cancelled(client_of: ClientOf, instructor: User, section: Section) -> None:
    running = a_file(instructor, section, State.RUNNING)
    answer = client_of(instructor).post(f"{PAGE}{running.public_id}/cancel/", follow=True)
    assert "Cancelled." in words_on(answer)
    running.refresh_from_db()
    assert running.state == State.CANCELLED


# --- the notice


def notice(page: Any) -> str:
    said = words_on(page)
    return "ready" if "Your file is ready" in said else "problem" if "No Pango." in said else ""


def test_every_page_tells_that_a_file_is_ready_until_it_was_looked_at(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    browser = client_of(instructor)
    browser.post(f"/sections/{section.pk}/exports/some/ask/")
    assert [notice(browser.get("/sections/")) for _ in range(2)] == ["ready", "ready"]
    assert notice(browser.get(PAGE)) == ""
    assert notice(browser.get("/sections/")) == ""


def test_fetching_the_file_ends_the_notice(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    browser = client_of(instructor)
    browser.post(f"/sections/{section.pk}/exports/some/ask/")
    browser.get(f"{PAGE}{ExportFile.objects.get().public_id}/")
    assert notice(browser.get("/sections/")) == ""


def test_every_page_tells_why_a_file_could_not_be_made(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    browser = client_of(instructor)
    browser.post(f"/sections/{section.pk}/exports/some/ask/")
    made = ExportFile.objects.get()
    problem = {"state": State.FAILED, "problem": "No Pango.", "file": "", "seen_at": None}
    ExportFile.objects.filter(pk=made.pk).update(**problem)
    assert notice(browser.get("/sections/")) == "problem"


def test_the_page_of_who_asked_for_nothing_looks_for_no_file(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    browser = client_of(instructor)
    with CaptureQueriesContext(connection) as queries:
        browser.get("/plans/")
    assert queries.captured_queries
    assert not any("exportfile" in each["sql"] for each in queries.captured_queries)


# --- getting it


def test_the_file_is_sent_to_keep_and_not_to_be_stored_on_the_way(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    ready = a_file(instructor, section, State.READY)
    answer = client_of(instructor).get(f"{PAGE}{ready.public_id}/")
    assert b"".join(answer.streaming_content) == b"whole file"  # type: ignore[attr-defined]
    day = timezone.localdate(ready.finished_at)
    assert answer.headers["Content-Disposition"] == (
        f'attachment; filename="some-of-alw-12-section-a-{day}.txt"'
    )
    assert answer.headers["Content-Length"] == "10"
    assert answer.headers["Cache-Control"] == "private, no-store"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("what", ["waiting", "running", "failed", "cancelled", "expired"])
def test_what_is_not_ready_is_not_sent(
    what: str, client_of: ClientOf, instructor: User, section: Section
) -> None:
    export = a_file(instructor, section, what)
    answer = client_of(instructor).get(f"{PAGE}{export.public_id}/", follow=True)
    assert answer.redirect_chain == [(PAGE, 302)]
    assert "This file is not there." in words_on(answer)


def test_a_file_past_its_days_is_not_sent_even_before_it_is_cleared_away(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    export = a_file(instructor, section, State.READY, expires_at=timezone.now())
    browser = client_of(instructor)
    assert browser.get(f"{PAGE}{export.public_id}/").status_code == 302
    assert "expired" in words_on(browser.get(PAGE))


def test_a_file_that_is_shorter_than_it_was_made_is_not_sent(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    export = a_file(instructor, section, State.READY, size_bytes=11)
    assert client_of(instructor).get(f"{PAGE}{export.public_id}/").status_code == 302


@pytest.mark.parametrize("other", ["coordinator", "other_instructor", "student"])
def test_other_people_s_files_are_not_there(
    other: str,
    client_of: ClientOf,
    instructor: User,
    section: Section,
    request: pytest.FixtureRequest,
) -> None:
    ready = a_file(instructor, section, State.READY)
    browser = client_of(request.getfixturevalue(other))
    assert browser.get(f"{PAGE}{ready.public_id}/").status_code == 404
    assert browser.post(f"{PAGE}{ready.public_id}/cancel/").status_code == 404
    assert browser.post(f"{PAGE}{ready.public_id}/again/").status_code == 404
    assert "Some of" not in words_on(browser.get(PAGE))


def test_who_no_longer_teaches_the_section_no_longer_gets_its_file(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    ready = a_file(instructor, section, State.READY)
    section.enrolments.filter(user=instructor).update(left_at=timezone.now())
    assert client_of(instructor).get(f"{PAGE}{ready.public_id}/").status_code == 404


def test_it_costs_the_same_queries_for_one_file_and_for_many(
    client_of: ClientOf, instructor: User, section: Section, django_assert_num_queries: Any
) -> None:
    browser = client_of(instructor)
    for _ in range(9):
        a_file(instructor, section, State.READY)
    a_file(instructor, section, State.RUNNING)
    browser.get(PAGE)
    with django_assert_num_queries(5):
        browser.get(PAGE)


# --- in the browser


@pytest.mark.django_db(transaction=True)
def test_the_bar_moves_while_it_is_seen_and_rests_while_it_is_hidden(
    open_page: OpenPage,
    sign_in: Callable[[Page, object], None],
    instructor: User,
    section: Section,
) -> None:
    running = a_file(instructor, section, State.RUNNING, done=1, of=4)
    page = open_page(viewport={"width": 390, "height": 800})
    sign_in(page, instructor)
    page.clock.install()
    page.goto(PAGE)
    bar = page.get_by_role("progressbar", name="Some of ALW 12, Section A")
    expect(bar).to_have_attribute("value", "1")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    hidden = "Object.defineProperty(document, 'visibilityState', {value: %r, configurable: true})"
    page.evaluate(hidden % "hidden")
    ExportFile.objects.filter(pk=running.pk).update(done=3)
    page.clock.fast_forward("01:00")
    assert asked == []
    page.evaluate(hidden % "visible")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(bar).to_have_attribute("value", "3")
    ExportFile.objects.filter(pk=running.pk).update(state=State.CANCELLED)
    page.clock.fast_forward("00:03")
    expect(page.get_by_text("cancelled")).to_be_visible()
    asked.clear()
    page.clock.fast_forward("01:00")
    assert asked == []


@pytest.mark.django_db(transaction=True)
def test_without_script_a_link_looks_again(
    open_page: OpenPage,
    sign_in: Callable[[Page, object], None],
    instructor: User,
    section: Section,
) -> None:
    running = a_file(instructor, section, State.RUNNING, done=1, of=4)
    page = open_page(java_script_enabled=False)
    sign_in(page, instructor)
    page.goto(PAGE)
    ExportFile.objects.filter(pk=running.pk).update(done=3)
    page.get_by_role("link", name="Look again now").click()
    expect(page.get_by_text("3 of 4")).to_be_visible()


def test_the_exports_of_a_section_offer_every_kind_about_sections(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    page = client_of(instructor).get(f"/sections/{section.pk}/exports/")
    assert f'action="/sections/{section.pk}/exports/some/ask/"' in page.text
    assert "whole_file" not in page.text
