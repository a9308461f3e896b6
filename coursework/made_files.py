"""Files that are made while somebody waits for them, and sent."""

import tempfile
from pathlib import Path

from django.http import FileResponse

from coursework.exports.files import FileKind
from coursework.exports.reading import no_word
from coursework.models import Section, User


def made(kind: FileKind, about: Section | User, name: str) -> FileResponse:
    """Make a file and return it to be kept; on the disk it is gone when it was sent.

    Parameters
    ----------
    kind : FileKind
        What writes it.
    about : Section or User
        What the file is about.
    name : str
        The file name for whoever keeps it.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "file")
        kind.write(about, path, no_word)
        opened = path.open("rb")
    response = FileResponse(
        opened, as_attachment=True, filename=name, content_type=kind.content_type
    )
    response.headers["Cache-Control"] = "private, no-store"
    return response
