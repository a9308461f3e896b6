"""From an empty database to a section with exercises, roster and poster, as a newcomer goes.

The walk presses only what a page shows. What it would take a person is added up: times of the
keystroke-level model (Card, Moran and Newell, 1980: 0.28 s a key of an average typist, 1.1 s to
point and 0.1 s to press), 238 words a minute of silent reading (Brysbaert, 2019) in which the time
to make up one's mind is contained, and a second a page. Both sources are from memory, not read
again. Whatever a page shows that no earlier one did is read: every word, but of lists, tables and
rubrics the first five rows, and nothing of a list of choices that stays shut.
"""

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

import pytest
from django.core.management import call_command
from playwright.sync_api import Locator, Page, expect

from coursework.models import Enrolment, Exercise, School, Section, SignInCode

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.pdf]

PASSWORD = "quiet torch on the bench"  # noqa: S105 - of an invented person
TEN_MINUTES_S = 10 * 60
KEY_S, POINT_S, PRESS_S = 0.28, 1.1, 0.1
WORD_S = 60 / 238
PAGE_S = 1.0
STUDENTS = 32
READ = """main => {
  const texts = document.createTreeWalker(main, NodeFilter.SHOW_TEXT);
  const read = [];
  while (texts.nextNode()) {
    const at = texts.currentNode.parentElement;
    const row = at.closest("li, tr, fieldset");
    const place = row ? [...row.parentElement.children].indexOf(row) : 0;
    const skimmed = place >= 5 || at.closest("select, .sr") || !at.checkVisibility();
    if (!skimmed) read.push(texts.currentNode.data);
  }
  return read.join("\\n");
}"""


@dataclass
class Effort:
    """What a person does on the way, and how long it takes [s]."""

    clicks: int = 0
    fields: int = 0
    keys: int = 0
    pages: int = 0
    words: int = 0
    seen: set[str] = field(default_factory=set, repr=False)

    @property
    def seconds(self) -> float:
        return (
            self.clicks * (POINT_S + PRESS_S)
            + self.keys * KEY_S
            + self.pages * PAGE_S
            + self.words * WORD_S
        )

    def read(self, text: str) -> None:
        new = {line.strip() for line in text.splitlines()} - self.seen
        self.seen |= new
        self.words += sum(len(line.split()) for line in new)

    def type(self, text: str) -> None:
        self.fields += 1
        self.keys += len(text) + 1


class Newcomer:
    """Somebody at a laptop who reads every page and does what it says."""

    def __init__(self, page: Page, effort: Effort) -> None:
        self.page, self.effort = page, effort

    def look(self) -> None:
        self.effort.pages += 1
        self.effort.read(self.page.locator("main").evaluate(READ))

    def press(self, words: str) -> None:
        """Press the link or button of these words, and read the page that comes."""
        named = re.compile(f"^{re.escape(words)}")
        inside = self.page.get_by_role("main")
        found = inside.get_by_role("link", name=named).or_(inside.get_by_role("button", name=named))
        tab = self.page.get_by_role("navigation").get_by_role("link", name=named)
        self._click((found if found.count() else tab).first)
        self.page.wait_for_load_state("networkidle")
        self.look()

    def type(self, label: str, text: str) -> None:
        """Step to a field and type."""
        self.effort.type(text)
        self.page.get_by_label(label).first.fill(text)

    def tick(self, label: str) -> None:
        self._click(self.page.get_by_label(label).first)

    def choose(self, label: str, option: str) -> None:
        self.effort.clicks += 1
        self._click(self.page.get_by_label(label))
        self.page.get_by_label(label).select_option(label=option)

    def paste(self, label: str, text: str) -> None:
        self.effort.type("vv")
        self.page.get_by_label(label).fill(text)

    def file(self, words: str) -> bytes:
        """Open the file behind a link."""
        self.effort.clicks += 1
        address = self.page.get_by_role("link", name=words).first.get_attribute("href")
        answer = self.page.request.get(str(address))
        assert answer.ok
        return answer.body()

    def _click(self, found: Locator) -> None:
        self.effort.clicks += 1
        found.click()


def class_list() -> str:
    rows = [f"Student{n:02},Ansa,TH-{n:03}" for n in range(1, STUDENTS + 1)]
    return "\n".join(["Last name,First name,Student number", *rows])


def answers(effort: Effort) -> Iterator[str]:
    """Give what is typed at the questions of the first command."""
    for text in ("Tern Harbor Technical Institute", "Runa", "Moss", "", ""):
        effort.type(text)
        yield text


@pytest.fixture
def effort(monkeypatch: pytest.MonkeyPatch) -> Effort:
    """Make the school at the command line, and give what that took."""
    effort, out = Effort(), io.StringIO()
    typed = answers(effort)

    def ask(question: str) -> str:
        effort.read(question)
        return next(typed)

    def ask_unseen(question: str) -> str:
        effort.read(question)
        effort.type(PASSWORD)
        return PASSWORD

    monkeypatch.setattr("builtins.input", ask)
    monkeypatch.setattr("getpass.getpass", ask_unseen)
    effort.type("python3 manage.py school")
    call_command("school", stdout=out)
    effort.read(out.getvalue())
    return effort


def test_a_newcomer_has_a_section_with_roster_and_poster_in_under_ten_minutes(
    effort: Effort, laptop: Page
) -> None:
    laptop.goto("/")
    one = Newcomer(laptop, effort)
    one.look()
    one.type("User name", "rmoss")
    one.type("Password", PASSWORD)
    one.press("Sign in")

    one.press("Use this plan")
    one.press("Add an instructor")
    one.type("First name", "Odo")
    one.type("Last name", "Hale")
    one.type("User name", "ohale")
    one.press("Add, and show the code")
    one.press("Back to the office")
    one.press("Open a term")
    one.type("Name", "Fall 2026")
    one.type("First day", "2026-08-24")
    one.type("Last day", "2026-12-11")
    one.press("Open the term")
    one.press("Open a section")
    one.type("Name", "A")
    one.tick("Odo Hale")
    one.choose("Lead instructor", "Odo Hale")
    one.press("Open the section")

    one.press("Exercises")
    one.press("1 Puddle")
    laptop.go_back()
    one.press("Rubrics")
    one.press("Practice coupon")
    one.press("Sections")
    one.press("ALW 12, Section A")

    one.press("Import a class list")
    wrong = class_list().replace("Student04,Ansa", "Student04,")
    one.paste("Class list", wrong)
    one.press("Read the list")
    expect(
        laptop.get_by_text("Line 5: A last name and a first name are wanted.").first
    ).to_be_visible()
    effort.type("Ansa")
    laptop.get_by_label("Class list").fill(class_list())
    one.press("Read the list")
    one.press("Apply the list")

    one.press(f"Sign-in slips for {STUDENTS} students")
    one.press("Back to the roster")
    one.press("Change the join code")
    one.type("Last day the code works", "2099-12-11")
    one.press("Save who can join")
    poster = one.file("Poster as PDF")
    one.press("Print labels")

    print(f"{effort.seconds:.0f} s, {effort}")  # noqa: T201 - seen with pytest -rP
    assert School.objects.get().name == "Tern Harbor Technical Institute"
    section = Section.objects.get()
    assert Exercise.objects.filter(plan=section.plan, retired_at=None).count() == 12
    roster = Enrolment.objects.filter(section=section, role="student")
    assert roster.count() == STUDENTS
    assert SignInCode.objects.filter(user__in=roster.values("user")).count() == STUDENTS
    assert poster.startswith(b"%PDF")
    assert effort.seconds < TEN_MINUTES_S
