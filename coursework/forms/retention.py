"""How long a school keeps what."""

from typing import Any, Final

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.forms.fields import WholeNumberField
from coursework.models import SchoolSettings

FIELDS: Final = (
    "keep_photos_months",
    "keep_coupons_months",
    "keep_records_months",
    "keep_logs_months",
)
LONGEST: Final = 1200


class RetentionForm(forms.Form):
    """Months after the end of the term, and for codes after they are over."""

    keep_photos_months = WholeNumberField(
        label=gettext_lazy("Photos, months"),
        low=1,
        required=True,
        help_text=gettext_lazy("After the end of the term. Default 12."),
    )
    keep_coupons_months = WholeNumberField(
        label=gettext_lazy("Coupons, grades and sign-offs, months"),
        low=1,
        required=True,
        help_text=gettext_lazy("After the end of the term. Default 60."),
    )
    keep_records_months = WholeNumberField(
        label=gettext_lazy("Issued records, months"),
        low=1,
        help_text=gettext_lazy(
            "After the end of the term, with their correction requests and disclosures. "
            "Empty, the default: for good."
        ),
    )
    keep_logs_months = WholeNumberField(
        label=gettext_lazy("Sign-in codes that are over, notes of files, months"),
        low=1,
        required=True,
        help_text=gettext_lazy("From their own day. Default 12."),
    )

    def __init__(self, data: Any = None, *, settings: SchoolSettings) -> None:
        super().__init__(data, initial={name: getattr(settings, name) for name in FIELDS})

    def clean(self) -> dict[str, Any]:
        """Refuse what would lose a part before what it belongs to, or end in no year at all."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name in FIELDS:
            if (data.get(name) or 0) > LONGEST:
                self.add_error(name, _("A hundred years are the most: type 1200 or less."))
        photos, coupons = data.get("keep_photos_months"), data.get("keep_coupons_months")
        if photos and coupons and coupons < photos:
            self.add_error(
                "keep_coupons_months",
                _("Photos go with their coupons: type %(months)d or more.") % {"months": photos},
            )
        records = data.get("keep_records_months")
        if coupons and records and records < coupons:
            self.add_error(
                "keep_records_months",
                _("A record outlasts its coupons: type %(months)d or more, or nothing.")
                % {"months": coupons},
            )
        return data
