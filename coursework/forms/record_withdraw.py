"""The form that withdraws an issue of a record."""

from django import forms
from django.utils.translation import gettext_lazy as _


class WithdrawForm(forms.Form):
    """Why."""

    reason = forms.CharField(
        label=_("Why"),
        max_length=300,
        help_text=_("The student and the staff read it; who checks a print does not."),
        error_messages={"required": _("Say in a sentence what is wrong with this issue.")},
    )
