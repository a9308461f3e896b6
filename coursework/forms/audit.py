"""What the rows of the audit table are narrowed by; its address can be kept."""

from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy

from coursework.models import Act, AuditRow


class AuditFilter(forms.Form):
    """Narrows the audit rows by act, and by who did it or whom it is about."""

    act = forms.ChoiceField(
        label=gettext_lazy("Act"),
        required=False,
        choices=[("", gettext_lazy("all")), *sorted(Act.choices, key=lambda each: each[1])],
        error_messages={"invalid_choice": gettext_lazy("This is not on the list; choose another.")},
    )
    person = forms.CharField(
        label=gettext_lazy("Person"),
        required=False,
        max_length=100,
        help_text=gettext_lazy("Who did it or whom it is about; a part of the name is enough."),
    )

    def chosen(self, rows: QuerySet[AuditRow]) -> QuerySet[AuditRow]:
        """Return the rows that were asked for; all of them where the address cannot be read."""
        if not self.is_valid():
            return rows
        if act := self.cleaned_data["act"]:
            rows = rows.filter(act=act)
        for part in self.cleaned_data["person"].split():
            rows = rows.filter(Q(actor_name__icontains=part) | Q(about_name__icontains=part))
        return rows
