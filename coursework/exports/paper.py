"""Pages on paper: one HTML document becomes one tagged PDF, closed to the world outside."""

import gc
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final, Literal

type PageSize = Literal["A4", "letter"]

INSTALL_LINE: Final = "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
VARIANT: Final = "pdf/ua-1"


class NoPdf(Exception):
    """The library that lays out PDFs is not on this computer."""


@dataclass(frozen=True, slots=True)
class AttachedFile:
    """A file that travels inside a PDF as the data that its pages show (ISO 32000-2, 14.13)."""

    name: str
    content: bytes
    description: str
    written_at: datetime


class _Press(threading.local):
    """What is read once and used for every page: the computer's fonts, and style sheets.

    Pango's table of fonts may not be shared by threads.
    """

    fonts: Any = None

    def __init__(self) -> None:
        self.sheets: dict[str, Any] = {}


_press = _Press()


def write_pdf(
    page: str,
    *styles: str,
    attached: Iterable[AttachedFile] = (),
    finish: Callable[[Any], None] | None = None,
) -> bytes:
    """Return a page as a tagged PDF (made to PDF/UA-1), which opens no file and no address.

    Equal arguments give equal bytes.

    Parameters
    ----------
    page : str
        The whole HTML document.
    styles : str
        Style sheets; later ones win.
    attached : iterable of AttachedFile
        Files to take along.
    finish : callable or None
        What is done with the pydyf.PDF before it is written; None completes its structure.

    Raises
    ------
    NoPdf
        When Pango is missing.
    """
    try:
        # Loads Pango, which a server that makes no PDF can do without, and takes half a second.
        import weasyprint as library  # type: ignore[import-untyped]  # noqa: PLC0415
        from weasyprint.text.fonts import (  # type: ignore[import-untyped]  # noqa: PLC0415
            FontConfiguration,
        )
        from weasyprint.urls import URLFetcher  # type: ignore[import-untyped]  # noqa: PLC0415
    except OSError as error:
        raise NoPdf from error
    only_data = URLFetcher(allowed_protocols={"data"}, allow_redirects=False)
    _press.fonts = _press.fonts or FontConfiguration()
    for text in styles:
        if text not in _press.sheets:
            _press.sheets[text] = library.CSS(string=text, url_fetcher=only_data)
    work = finish or complete_structure
    with _collector_at_rest():
        written: bytes = library.HTML(string=page, url_fetcher=only_data).write_pdf(
            stylesheets=[_press.sheets[text] for text in styles],
            font_config=_press.fonts,
            attachments=[_attachment(each, library) for each in attached],
            finisher=lambda _document, pdf: work(pdf),
            pdf_variant=VARIANT,
        )
    return written


@contextmanager
def _collector_at_rest() -> Iterator[None]:
    """Leave garbage alone until a document is done: a search among its boxes finds nothing."""
    was_at_work = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_at_work:
            gc.enable()


def _attachment(file: AttachedFile, library: Any) -> Any:
    at = file.written_at.astimezone(UTC)
    return library.Attachment(
        string=file.content,
        name=file.name,
        description=file.description,
        created=at,
        modified=at,
    )


def complete_structure(pdf: Any, prefix: str = "") -> None:
    """Add to a pydyf.PDF what its standard wants and WeasyPrint leaves out.

    The tree in which a table's cells look their headings up (ISO 32000-1, 14.7.2), and what an
    attached file is to the pages: their data (ISO 32000-2, 7.11.3).

    Parameters
    ----------
    pdf : pydyf.PDF
        Before it is written.
    prefix : str
        Put before the key of every heading, where several documents become one.
    """
    dictionaries: list[Any] = [each for each in pdf.objects if isinstance(each, dict)]
    _list_headings(pdf, [each for each in dictionaries if "ID" in each], prefix)
    for each in dictionaries:
        if each.get("Type") == "/Filespec":
            each["AFRelationship"] = "/Data"
    files = [each.reference for each in dictionaries if each.get("Type") == "/Filespec"]
    if files:
        pdf.catalog["AF"] = b"[%b]" % b" ".join(files)


def _list_headings(pdf: Any, cells: list[Any], prefix: str) -> None:
    if not cells:
        return
    import pydyf  # type: ignore[import-untyped]  # noqa: PLC0415 - comes with WeasyPrint

    # A heading and the cells under it share one string, so its key changes in all of them.
    for each in cells:
        each["ID"].string = prefix + each["ID"].string
    cells.sort(key=lambda each: str(each["ID"].string))
    names = [part for each in cells for part in (each["ID"], each.reference)]
    tree = pydyf.Dictionary({"Names": pydyf.Array(names)})
    pdf.add_object(tree)
    root = pdf.objects[int(pdf.catalog["StructTreeRoot"].split()[0])]
    root["IDTree"] = tree.reference
