"""The typed confirmation of a purge."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _

from coursework.purge_plan import Plan


class PurgeForm(forms.Form):
    """The words that confirm a plan."""

    typed = forms.CharField(
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.plan = plan
        self.fields["typed"].label = _("Type “%(phrase)s” to confirm") % {"phrase": plan.phrase}

    def clean_typed(self) -> str:
        """Want the very words."""
        typed: str = self.cleaned_data["typed"]
        if typed.strip().lower() != self.plan.phrase.lower():
            raise forms.ValidationError(
                _("Type “%(phrase)s” to remove them. Nothing is removed yet.")
                % {"phrase": self.plan.phrase},
                "phrase",
            )
        return typed
