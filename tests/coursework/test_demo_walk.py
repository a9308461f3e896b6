"""``manage.py demo``: the walk through the pages, the small browser, the server, the refusals."""

import contextlib
import io
import socket
import threading
import urllib.request
from datetime import date
from pathlib import Path
from wsgiref.types import StartResponse, WSGIEnvironment

import pytest
from django.core.management import CommandError, call_command
from pypdf import PdfReader
from pytest_django.fixtures import Settings
from pytest_django.live_server_helper import LiveServer

from coursework.demo.browser import Browser, Page, Trouble
from coursework.demo.people import found_school
from coursework.demo.server import HOST, server
from coursework.demo.walk import Walked, signed_in, walk
from coursework.models import Coupon, Finding, IssuedRecord

PAGE = Page(
    "http://shop.example/log/",
    "text/html",
    b"""<form action="/search/"><input name="q"></form>
    <form method="post"><input type="hidden" name="token" value="t1">
    <input name="current" value="135"><input type="radio" name="unit" value="mm">
    <input type="radio" name="unit" value="in" checked><input type="file" name="photos">
    <select name="gas"><option value="">choose</option><option value="argon">argon</option></select>
    <select name="metal"><option value="a">a</option><option value="b" selected>b</option></select>
    <textarea name="words">two &amp; two</textarea><button name="go" value="1">go</button></form>
    <a href="/bench/7/log/">log</a>""",
)


def test_a_form_is_read_as_a_browser_would_send_it() -> None:
    form = PAGE.form_with("token")
    assert form.values == {
        "token": "t1",
        "current": "135",
        "unit": "in",
        "gas": "",
        "metal": "b",
        "words": "two & two",
    }
    assert {"photos", "go"} <= form.names


def test_what_a_page_lacks_is_said_in_a_sentence() -> None:
    assert PAGE.link(r"/bench/\d+/log/") == "/bench/7/log/"
    with pytest.raises(Trouble, match="/log/ has no form with the field password"):
        PAGE.form_with("password")
    with pytest.raises(Trouble, match="has no link like"):
        PAGE.link("/nowhere/")


@pytest.mark.pdf
@pytest.mark.django_db(transaction=True)
def test_the_walk_logs_grades_issues_and_exports(live_server: LiveServer, tmp_path: Path) -> None:
    found_school(date(2026, 11, 25))
    *lines, walked = walk(live_server.url, tmp_path)
    assert isinstance(walked, Walked)
    coupon = Coupon.objects.get()
    assert walked.coupon == coupon
    assert (coupon.state, coupon.predicted_level, coupon.photos.count()) == ("accepted", 3, 1)
    assert coupon.assessment
    text = "\n".join(str(each) for each in lines)
    assert f"{coupon.assessment.heat_input_kj_mm:.3g} kJ/mm" in text
    flags = Finding.objects.filter(assessment=coupon.assessment)
    assert flags
    assert all(f"[{each.rule}]" in text for each in flags)
    assert IssuedRecord.objects.get().code in walked.record_path
    pdf, table = walked.files
    assert "Ines Pallow" in PdfReader(pdf).pages[0].extract_text()
    assert "Ines Pallow" in table.read_text(encoding="utf-8-sig")


@pytest.mark.pdf
@pytest.mark.django_db(transaction=True)
def test_a_second_walk_of_the_day_opens_what_the_first_left(
    live_server: LiveServer, tmp_path: Path
) -> None:
    found_school(date(2026, 11, 25))
    *_lines, first = walk(live_server.url, tmp_path)
    said, *_lines, second = walk(live_server.url, tmp_path)
    assert said == "Today's walk has been made: its coupon and its record are opened again."
    assert isinstance(first, Walked)
    assert isinstance(second, Walked)
    assert (second.coupon, second.record_path) == (first.coupon, first.record_path)
    assert (Coupon.objects.count(), IssuedRecord.objects.count()) == (1, 1)
    Coupon.objects.update(state=Coupon.State.WITHDRAWN)
    *_lines, third = walk(live_server.url, tmp_path)
    assert isinstance(third, Walked)
    assert third.coupon != first.coupon


@pytest.mark.django_db(transaction=True)
def test_a_page_that_refuses_ends_in_a_sentence(live_server: LiveServer) -> None:
    found_school(date(2026, 11, 25))
    with pytest.raises(Trouble, match="answered 404"):
        Browser(live_server.url).get("/nowhere/")
    with pytest.raises(Trouble, match="answered 422"):
        signed_in(live_server.url, "nobody")


def say_here(_environ: WSGIEnvironment, start_response: StartResponse) -> list[bytes]:
    start_response("200 OK", [("Content-Type", "text/plain")])
    return [b"here"]


def test_a_silent_connection_does_not_keep_the_one_thread_from_the_next() -> None:
    made = server(0)
    thread = threading.Thread(target=made.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    try:
        made.set_app(say_here)
        with (
            contextlib.closing(socket.create_connection((HOST, made.server_port))),
            urllib.request.urlopen(f"http://{HOST}:{made.server_port}/", timeout=5) as answer,
        ):
            assert answer.read() == b"here"
    finally:
        made.shutdown()
        thread.join()
        made.server_close()


# --- what cannot start ends in one sentence


@pytest.fixture
def demo_folder(settings: Settings, tmp_path: Path) -> Path:
    """The folder that the command takes for its own."""
    settings.DATA = tmp_path / "var" / "demo"
    return Path(settings.DATA)


def test_a_school_s_own_data_is_never_touched(settings: Settings, tmp_path: Path) -> None:
    settings.DATA = tmp_path / "school"
    with pytest.raises(CommandError, match="never on a school's data"):
        call_command("demo", "--no-serve", "--fresh", stdout=io.StringIO())


@pytest.mark.usefixtures("demo_folder")
def test_a_busy_port_is_named_before_anything_is_loaded() -> None:
    with socket.socket() as busy:
        busy.bind((HOST, 0))
        busy.listen()
        port = busy.getsockname()[1]
        with pytest.raises(CommandError, match=f"Port {port} .* --port 8001"):
            call_command("demo", f"--port={port}", stdout=io.StringIO())


def test_a_folder_that_cannot_be_made_is_named(demo_folder: Path) -> None:
    demo_folder.parent.mkdir(parents=True)
    demo_folder.write_text("a file where the folder should be", encoding="utf-8")
    with pytest.raises(CommandError, match="demo cannot be used"):
        call_command("demo", "--no-serve", stdout=io.StringIO())


@pytest.mark.parametrize(
    ("day", "said"), [("soon", "not a date such as"), ("2999-01-01", "up to today")]
)
def test_a_day_that_will_not_do_is_refused(day: str, said: str) -> None:
    with pytest.raises(CommandError, match=said):
        call_command("demo", f"--today={day}", stdout=io.StringIO())
