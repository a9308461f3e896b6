"""The form that takes a class list or a OneRoster set, and says what is wrong with it."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from coursework import oneroster, roster
from coursework.models import Section
from coursework.oneroster import RosterClass
from coursework.oneroster_archive import MOST_PACKED_BYTES, Refused
from coursework.roster import Problem, Row
from coursework.roster_diff import Diff

ZIP = b"PK\x03\x04"
MOST_CLASSES = 60
# So few problems stand at the field itself.
FEW = 5


class RosterImportForm(forms.Form):
    """A class list, pasted or uploaded; once valid, ``rows`` or ``classes`` to choose from.

    Parameters
    ----------
    section : Section
        The one that the list is for.
    """

    text = forms.CharField(
        label=gettext_lazy("Class list"),
        help_text=gettext_lazy(
            "Paste it from a spreadsheet. The first line names the columns, such as: Last name, "
            "First name, Student number. A user name is made where there is none. Other columns "
            "are not read."
        ),
        required=False,
        strip=False,
        max_length=roster.MOST_BYTES,
        widget=forms.Textarea(
            attrs={"rows": 12, "spellcheck": "false", "autocomplete": "off", "autocorrect": "off"}
        ),
    )
    upload = forms.FileField(
        label=gettext_lazy("Or a file"),
        help_text=gettext_lazy(
            "A CSV file, or the zip of a OneRoster 1.2 set. It replaces what stands in the list."
        ),
        required=False,
    )
    complete = forms.BooleanField(
        label=gettext_lazy("This is the whole section: who is not on the list leaves it"),
        required=False,
        initial=True,
    )
    leaving = forms.CharField(
        label=gettext_lazy("How many students leave"), required=False, max_length=6
    )
    class_id = forms.CharField(required=False, max_length=255, widget=forms.HiddenInput)
    fingerprint = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, section: Section, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.section = section
        self.rows: tuple[Row, ...] = ()
        self.classes: tuple[RosterClass, ...] = ()
        self.problems: tuple[Problem, ...] = ()
        self.teachers: tuple[str, ...] = ()
        self.notes: list[str] = []

    def clean(self) -> dict[str, Any]:
        """Read what was sent; a file goes before the text."""
        cleaned: dict[str, Any] = super().clean() or {}
        if upload := cleaned.get("upload"):
            self._take(upload)
        elif (text := cleaned.get("text", "")).strip():
            self._read(text)
        elif not self.errors:
            self.add_error("text", _("Paste a class list, or choose a file."))
        return cleaned

    def _take(self, upload: "UploadedFile[bytes]") -> None:
        """Put the class list of a file into the text, where it can be mended."""
        if (upload.size or 0) > MOST_PACKED_BYTES:
            self.add_error("upload", _("The file is larger than 8 MB. Choose one class at a time."))
            return
        data = upload.read()
        if data.startswith(ZIP):
            self._take_set(data)
            return
        try:
            text, encoding = roster.decode(data)
        except roster.NotText:
            said = _("This is no text. Save the list as CSV (UTF-8), then choose that file.")
            self.add_error("upload", said)
            return
        if encoding != "UTF-8":
            said = _("The file is not UTF-8 and was read as %s. Look at names with accents.")
            self.notes.append(said % encoding)
        self._show(text, "")
        self._read(text)

    def _take_set(self, data: bytes) -> None:
        try:
            classes = [each for each in oneroster.read(data) if each.students]
        except Refused as refused:
            self._refuse("upload", refused.problems)
            return
        own = [each for each in classes if each.source_id == self.section.source_id]
        chosen = own or classes
        if not chosen:
            self.add_error("upload", _("No class of this set has a student."))
        elif len(chosen) > MOST_CLASSES:
            said = _("This set holds %d classes. Export it for one school or one teacher.")
            self.add_error("upload", said % len(chosen))
        elif len(chosen) > 1:
            self.classes = tuple(chosen)
        else:
            self.teachers = chosen[0].teachers
            text = roster.write(chosen[0].students)
            self._show(text, chosen[0].source_id)
            self._read(text)

    def _show(self, text: str, class_id: str) -> None:
        self.data = {**self.data.dict(), "text": text, "class_id": class_id}  # type: ignore[attr-defined]
        self.cleaned_data["class_id"] = class_id

    def _read(self, text: str) -> None:
        found = roster.read(text)
        self.rows = found.rows
        if found.problems:
            self._refuse("text", found.problems)
        elif found.unread:
            said = _("Not read from the list: %s.") % ", ".join(found.unread)[:200]
            self.notes.append(said)

    def _refuse(self, field: str, problems: Iterable[Problem]) -> None:
        """List problems line by line, and say how many there are."""
        found = tuple(problems)
        count = len(found)
        if count <= FEW:
            for each in found:
                self.add_error(field, str(each))
            return
        self.problems = found
        said = ngettext(
            "%d thing keeps it from being read. It is listed above, and nothing was changed.",
            "%d things keep it from being read. They are listed above, and nothing was changed.",
            count,
        )
        self.add_error(field, said % count)

    def judge(self, diff: Diff, *, applies: bool) -> bool:
        """Say what keeps a difference from being applied, and return whether nothing does."""
        if diff.problems:
            self._refuse("text", diff.problems)
        elif applies and diff.wants_count and self._typed_count() != len(diff.leaving):
            said = _("So many leave that their number is wanted. Count them, and type it.")
            self.add_error("leaving", said)
        return not self.errors

    def _typed_count(self) -> int | None:
        typed = self.cleaned_data.get("leaving", "").strip()
        return int(typed) if typed.isascii() and typed.isdigit() else None

    def say_moved(self) -> None:
        """Say that the change is not the one that was shown."""
        said = _("The list or the section changed since you looked. Look again, then apply it.")
        self.add_error(None, said)
