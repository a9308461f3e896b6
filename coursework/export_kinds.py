"""Which files can be asked for: a row each in :data:`KINDS`.

What writes a kind is a function ``(about, to, progress)``. ``about`` is the section or the student
(a user), ``to`` the path to write to, ``progress`` a function that is told ``(done, of)`` after
every step: by an exception that is to be let through it stops the work where the file was
cancelled, takes too long or gets too large. A writer keeps no whole file in memory, and writes
equal bytes for equal contents. To say why there can be no file it raises
``export_writing.NotMade`` with a sentence.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy

from coursework.export_writing import Progress
from coursework.models import Section, User
from coursework.whole_file import write_whole_file


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of file: its words, what it is about, its file name's ending, who writes it."""

    key: str
    words: str | Promise
    about: type[Section] | type[User]
    extension: str
    write: Callable[[Any, Path, Progress], None]


KINDS: Final = {
    kind.key: kind
    for kind in (Kind("whole_file", gettext_lazy("Whole file"), User, "zip", write_whole_file),)
}
