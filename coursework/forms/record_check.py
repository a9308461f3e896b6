"""The form with which anybody checks a print of a record."""

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from coursework.joining import bare_code
from coursework.record_checking import FEWEST_SYMBOLS, bare_fingerprint

PLAIN = {"autocomplete": "off", "spellcheck": "false"}


class CheckForm(forms.Form):
    """The number of the record, and the first symbols of its fingerprint."""

    code = forms.CharField(
        label=_("Record number"),
        help_text=_("Eight letters and digits, such as 7QK4-MB2X."),
        max_length=40,
        widget=forms.TextInput(attrs=PLAIN | {"autocapitalize": "characters"}),
        error_messages={"required": _("Type the number of the record as it is printed.")},
    )
    fingerprint = forms.CharField(
        label=_("Fingerprint"),
        help_text=_("The first eight symbols or more; spaces do not matter."),
        max_length=100,
        widget=forms.TextInput(attrs=PLAIN | {"autocapitalize": "none"}),
        error_messages={"required": _("Type the fingerprint as it is printed.")},
    )

    def clean_code(self) -> str:
        return bare_code(self.cleaned_data["code"])

    def clean_fingerprint(self) -> str:
        bare = bare_fingerprint(self.cleaned_data["fingerprint"])
        said = _("A fingerprint has the digits 0 to 9 and the letters a to f, eight or more.")
        RegexValidator(rf"\A[0-9a-f]{{{FEWEST_SYMBOLS},64}}\Z", said)(bare)
        return bare

    def refuse(self) -> None:
        """Say that no print goes by this pair, and nothing else."""
        self.add_error(
            None,
            _(
                "No record that was issued here goes by this number and fingerprint together. "
                "Compare both with the print. Where they are as printed, do not rely on it; "
                "ask the school."
            ),
        )

    def refuse_for_a_while(self) -> None:
        """Say that too many wrong pairs came from here."""
        self.add_error(
            None, _("Too many prints were not known here. Wait an hour, or ask the school.")
        )
