"""The work that ``bench record`` measures, each piece in a process of its own.

``python -m coursework.benchmarks.record_work WHAT`` with ``WELDLOG_DATA`` naming a folder; it
prints one line of JSON. ``make`` fills the folder, the other pieces read what it holds.
"""

import io
import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any, Final

import django
from django.conf import settings

MODULE: Final = "coursework.benchmarks.record_work"
SITE: Final = "https://weldlog.example"
WARM_ROUNDS: Final = 9
PHOTO_PX: Final = (1600, 1200)

type Said = dict[str, Any]


def make(students: str, coupons: str) -> Said:
    """Store a section of so many students and coupons of each, photos, and issued records."""
    from django.core.management import call_command  # noqa: PLC0415 - the registry is ready now
    from django.utils import timezone  # noqa: PLC0415

    from coursework import section_issuing  # noqa: PLC0415
    from coursework.benchmarks import section_rows  # noqa: PLC0415
    from coursework.benchmarks.section_rows import Size  # noqa: PLC0415
    from coursework.models import Enrolment, Grade  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    size = Size(students=int(students), coupons=int(coupons))
    made, instructor = section_rows.make(size)
    Grade.objects.update(comment="Even ripples from start to stop. Next one a touch faster.")
    _photos(instructor)
    enrolments = Enrolment.objects.filter(role=Enrolment.Role.STUDENT).select_related(
        "user", "section__term__school__settings", "section__plan"
    )
    section_issuing.issue(made, list(enrolments), instructor, timezone.now(), after_issue=0)
    return {"records": len(enrolments)}


def _photos(by: Any) -> None:
    from django.utils import timezone  # noqa: PLC0415
    from PIL import Image  # noqa: PLC0415

    from coursework import photos  # noqa: PLC0415
    from coursework.models import Coupon, Photo  # noqa: PLC0415

    made = io.BytesIO()
    Image.effect_noise(PHOTO_PX, 40).convert("RGB").save(made, "JPEG", quality=80)
    made.seek(0)
    stored = photos.store(made, made.getbuffer().nbytes)
    Photo.objects.bulk_create(
        Photo(
            coupon=each,
            place=1,
            file=stored.name,
            width_px=stored.width_px,
            height_px=stored.height_px,
            size_bytes=stored.size_bytes,
            added_by=by,
            added_at=timezone.now(),
        )
        for each in Coupon.objects.filter(state=Coupon.State.ACCEPTED)
    )


def section() -> Said:
    """Write the section file once, as a worker does."""
    from coursework.section_file import write_section_pdf  # noqa: PLC0415

    to = _folder() / f"section-{time.monotonic_ns()}.pdf"
    cost = _cost(lambda: write_section_pdf(_section(), to, lambda _done, _of: None, site=SITE))
    return cost | {"file_kb": to.stat().st_size / 1000}


def ratio() -> Said:
    """Write the section file, and after each student the same HTML by WeasyPrint alone."""
    from coursework.exports import record_pdf  # noqa: PLC0415
    from coursework.section_file import write_section_pdf  # noqa: PLC0415

    alone, pages = 0.0, []

    def keep(page: str, styles: tuple[str, ...], attached: tuple[Any, ...]) -> Any:
        pages.append((page, styles))
        return original(page, styles, attached)

    def then_alone(_done: int, _of: int) -> None:
        nonlocal alone
        page, styles = pages.pop()
        alone += _cost(lambda: _weasyprint_alone(page, styles))["cpu_s"]

    original, record_pdf.Print = record_pdf.Print, keep  # type: ignore[assignment, misc]
    _weasyprint_alone("<p>warm</p>", ())
    to = _folder() / "ratio.pdf"
    both = _cost(lambda: write_section_pdf(_section(), to, then_alone, site=SITE))
    return {"ours_s": both["cpu_s"] - alone, "alone_s": alone}


def _weasyprint_alone(page: str, styles: tuple[str, ...]) -> bytes:
    import weasyprint  # type: ignore[import-untyped]  # noqa: PLC0415

    sheets = [weasyprint.CSS(string=each) for each in styles]
    made: bytes = weasyprint.HTML(string=page).write_pdf(stylesheets=sheets, pdf_variant="pdf/ua-1")
    return made


def one() -> Said:
    """Print records one by one in a warm process; the median of each cost."""
    from coursework.exports import issue_print  # noqa: PLC0415
    from coursework.models import IssuedRecord  # noqa: PLC0415

    records = list(IssuedRecord.objects.order_by("pk")[: WARM_ROUNDS + 1])
    costs = [_cost(lambda: issue_print(each, SITE, "letter").pdf()) for each in records][1:]  # noqa: B023
    return {name: median(each[name] for each in costs) for name in ("cpu_s", "wall_s")}


def _section() -> Any:
    from coursework.models import Section  # noqa: PLC0415

    return Section.objects.select_related("plan", "term__school__settings").get()


def _folder() -> Path:
    return Path(settings.DATA)


def _cost(work: Callable[[], object]) -> dict[str, float]:
    cpu, wall = time.process_time(), time.perf_counter()
    work()
    return {"cpu_s": time.process_time() - cpu, "wall_s": time.perf_counter() - wall}


PIECES: Final[dict[str, Callable[..., Said]]] = {
    each.__name__: each for each in (make, section, ratio, one)
}

if __name__ == "__main__":
    django.setup()
    sys.stdout.write(json.dumps(PIECES[sys.argv[1]](*sys.argv[2:])) + "\n")
