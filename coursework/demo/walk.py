"""The main job through the site's own pages: log a coupon, review, grade, issue the record."""

import itertools
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from django.utils import timezone

from coursework.demo.browser import Browser, Page, Trouble, Upload
from coursework.demo.people import PASSWORD, PEOPLE
from coursework.demo.pictures import picture_for
from coursework.models import Coupon, Exercise, Finding, IssuedRecord

COMMENT: Final = "Right order of cleaning. Raise the flow at the nozzle, and the pores will go."
LOG: Final = r"/bench/\d+/log/"

type Fields = dict[str, str]


@dataclass(frozen=True, slots=True)
class Walked:
    """What the walk left behind: the coupon, the issued record's address, the files."""

    coupon: Coupon
    record_path: str
    files: list[Path]


def walker() -> str:
    """Return the user name of the student who walks."""
    students = (each for section in PEOPLE["sections"] for each in section["students"])
    return str(next(each["username"] for each in students if each.get("story") == "walks"))


def walk(site: str, out: Path) -> Iterator[str | Walked]:
    """Walk the main job; yields a line for each step, and last what was left behind.

    Parameters
    ----------
    site : str
        Where the site is served.
    out : Path
        Folder for the exported files.

    Raises
    ------
    Trouble
        When a page does not answer as it should.
    """
    student = signed_in(site, walker())
    coupon = log_coupon(student)
    name = coupon.enrolment.user
    if coupon.grade:
        yield "Today's walk has been made: its coupon and its record are opened again."
    yield f"{name} logged coupon {coupon.number}: {coupon.exercise.title}."
    yield "The review came back at once:"
    yield from review_lines(coupon)
    instructor = signed_in(site, PEOPLE["instructors"][0]["username"])
    coupon = grade(instructor, coupon)
    assert coupon.grade  # noqa: S101 - grade() has looked
    yield (
        f"{coupon.grade.grader} graded it: level {coupon.grade.level}, "
        f"{coupon.get_state_display()}; {name.first_name} had predicted {coupon.predicted_level}."
    )
    record = issue(instructor, coupon)
    files = export(instructor, record.path, out)
    yield f"{coupon.grade.grader} issued {name}'s term record."
    yield Walked(coupon, record.path, files)


def signed_in(site: str, username: str) -> Browser:
    """Return the browser of a person who has signed in."""
    browser = Browser(site)
    page = browser.get("/sign-in/")
    form = page.form_with("password")
    page = browser.send(page, form, username=username, password=PASSWORD)
    if page.path == "/sign-in/":
        raise Trouble(f"{username} could not sign in.")
    return browser


# --- the student


def log_coupon(student: Browser) -> Coupon:
    """Log a coupon of the exercise in hand, with a photo, and return it from the database.

    A second walk of the same day opens the coupon of the first.
    """
    client_id, earlier = _walked_today()
    if earlier:
        return _coupon(student.get(f"/coupons/{earlier.public_id}/").path.strip("/").split("/")[-1])
    address = student.get("/bench/").link(LOG)
    page = student.get(address)
    exercise = Exercise.objects.get(pk=int(address.split("/")[2]))
    picture = picture_for(exercise.joint, {"2017"})
    photo = Upload("photos", picture.path.name, picture.path.read_bytes())
    said = entries(exercise) | {"client_id": str(client_id)}
    page = student.send(page, page.form_with("client_id"), photo, **said)
    return _coupon(page.path.strip("/").split("/")[-1])


def _walked_today() -> tuple[uuid.UUID, Coupon | None]:
    """Return the client id of today's coupon, and the coupon if it is there.

    One that was withdrawn since is past: the next id of the day takes its place.
    """
    for attempt in itertools.count():
        client_id = uuid.uuid5(uuid.NAMESPACE_OID, f"walk {timezone.localdate()} {attempt}")
        found = Coupon.objects.filter(client_id=client_id).first()
        if found is None or found.state != Coupon.State.WITHDRAWN:
            break
    return client_id, found


def _coupon(public_id: str) -> Coupon:
    found = Coupon.objects.select_related(
        "exercise", "assessment", "enrolment__user", "grade__grader"
    )
    return found.get(public_id=uuid.UUID(public_id))


def entries(exercise: Exercise) -> Fields:
    """Return what the student fills in: two things could be better, and some pores show it."""
    wire = exercise.process == "GMAW"
    windows = {each.figure: (each.low, each.high) for each in exercise.windows.all()}
    current, speed = (sum(windows[name]) / 2 for name in ("current_a", "travel_speed_mm_s"))
    filler = {
        "filler": exercise.filler or "none",
        "filler_diameter_mm": "1.2" if wire else "2.4",
        "filler_diameter_mm_unit": "mm",
        "filler_condition": "dull" if wire else "not_wiped",
    }
    set_up = {
        "polarity": "DCEP" if wire else "AC",
        "current_a": f"{5 * round(current / 5)}",
        "voltage_v": "23.5" if wire else "14",
        "voltage_read": "display",
        "shielding_gas": "argon",
        "gas_flow_l_min": "20" if wire else "10",
        "gas_flow_l_min_unit": "CFH",
        "transfer": "spray",
    }
    weld = {
        "arc_time_s": f"{6 * 25.4 / speed:.0f}",
        "arc_time_s_unit": "s",
        "weld_length_mm": "6",
        "weld_length_mm_unit": "in",
        "crater_filled": "yes",
    }
    kept = {} if exercise.filler else {"filler_diameter_mm": "", "filler_condition": ""}
    return filler | kept | set_up | weld | CLEANED | seen(exercise)


CLEANED: Final[Fields] = {
    "cleaning_answer": "done",
    "step_degrease_place": "1",
    "step_degrease_agent": "acetone",
    "step_dry_place": "2",
    "step_remove_oxide_place": "3",
    "step_remove_oxide_tool": "stainless_hand_brush",
    "step_remove_oxide_tool_kept_for": "aluminium_only",
}


def seen(exercise: Exercise) -> Fields:
    """Return what the student sees on the bead, and the level predicted."""
    leg = f"{exercise.nominal_leg_mm * 1.1:.1f}" if exercise.nominal_leg_mm else ""
    return {
        "look_answer": "done",
        "seen_1_number": "2017",
        "seen_1_count": "3",
        "seen_1_size": "0.8",
        "seen_1_at": "70",
        "fillet_leg_1_mm": leg,
        "fillet_leg_2_mm": leg,
        "predicted_level": "3",
    }


def review_lines(coupon: Coupon) -> Iterator[str]:
    """Yield the figures and flags of a coupon as they are stored."""
    said = coupon.assessment
    assert said  # noqa: S101 - a coupon is reviewed as it is handed in
    for words, value, unit in (
        ("travel speed", said.travel_speed_mm_s, "mm/s"),
        ("arc energy", said.arc_energy_kj_mm, "kJ/mm"),
        ("heat input", said.heat_input_kj_mm, "kJ/mm"),
    ):
        yield f"  {words:13} {value:.3g} {unit}" if value is not None else f"  {words:13} not known"
    for each in Finding.objects.filter(assessment=said):
        yield f"  {each.severity:6} {each.says} [{each.rule}]"
    if said.next_try:
        yield f"  next   {said.next_try['says']}"


# --- the instructor


def grade(instructor: Browser, coupon: Coupon) -> Coupon:
    """Grade a coupon on the grading page, if it is not graded, and return it as it is now."""
    if coupon.grade:
        return coupon
    page = instructor.get(f"/coupons/{coupon.public_id}/grade/")
    form = page.form_with("score_preparation")
    scores = {name: "3" for name in form.names if name.startswith("score_")}
    said = scores | {"score_set-up": "2", "comment": COMMENT, "decision": "accepted"}
    instructor.send(page, form, **said)
    graded = _coupon(str(coupon.public_id))
    if not graded.grade:
        raise Trouble(f"Coupon {graded.number} was graded, and no grade was stored.")
    return graded


def issue(instructor: Browser, coupon: Coupon) -> Page:
    """Issue the term record of the coupon's student; return its page.

    One that was issued after the coupon was graded says all of it, and is opened again.
    """
    assert coupon.grade  # noqa: S101 - only a graded coupon gets here
    issued = IssuedRecord.objects.filter(
        enrolment=coupon.enrolment, issued_at__gte=coupon.grade.graded_at
    ).last()
    if issued:
        return instructor.get(f"/records/{issued.code}/")
    page = instructor.get(f"/students/{coupon.enrolment_id}/record/")
    return instructor.send(page, page.form_with("after_issue"))


def export(instructor: Browser, record_path: str, out: Path) -> list[Path]:
    """Save the record's PDF and table into a folder; return where they are."""
    out.mkdir(parents=True, exist_ok=True)
    files = []
    for name, kind in (("record.pdf", "application/pdf"), ("record.csv", "text/csv")):
        page = instructor.get(f"{record_path}{name}")
        if page.kind != kind:
            raise Trouble(f"{page.path} answered with {page.kind} instead of {kind}.")
        files.append(out / name)
        files[-1].write_bytes(page.content)
    return files
