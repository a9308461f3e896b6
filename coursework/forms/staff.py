"""The form that adds an instructor or a coordinator."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coursework.models import User


class StaffForm(forms.ModelForm):  # type: ignore[type-arg]
    """Name, user name and role; the first password is chosen with a code on paper."""

    class Meta:
        model = User
        fields = ("first_name", "last_name", "username", "role")
        labels = {"username": _("User name")}
        help_texts = {"username": _("They sign in with it. Letters, digits and @ . + - _")}
        error_messages = {"username": {"unique": _("This user name is taken. Choose another.")}}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["first_name"].required = self.fields["last_name"].required = True
        self.fields["username"].widget.attrs |= {
            "autocapitalize": "none",
            "autocomplete": "off",
            "spellcheck": "false",
        }
        self.fields["role"] = forms.ChoiceField(
            label=_("Role"),
            choices=[
                (User.Role.INSTRUCTOR, _("instructor: teaches and grades")),
                (User.Role.COORDINATOR, _("coordinator: runs the office, does not grade")),
            ],
            widget=forms.RadioSelect,
            initial=User.Role.INSTRUCTOR,
        )
        self.fields["role"].widget.template_name = "forms/cells.html"
