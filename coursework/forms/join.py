"""The forms with which a student joins a section."""

from typing import Any

from django import forms
from django.contrib.auth.forms import BaseUserCreationForm
from django.utils.translation import gettext_lazy as _

from coursework.forms.passwords import OwnPassword
from coursework.joining import bare_code
from coursework.models import Section, User


class JoinForm(forms.Form):
    """The join code alone, for a student who is signed in."""

    code = forms.CharField(
        label=_("Join code"),
        help_text=_("Eight letters and digits, from the poster of your section."),
        max_length=40,
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )

    def clean_code(self) -> str:
        return bare_code(self.cleaned_data["code"])

    def refuse_code(self) -> None:
        """Say that the code opens nothing, and nothing else."""
        self.add_error("code", _("This code opens no section. Check it, or ask your instructor."))

    def refuse_for_a_while(self) -> None:
        """Say that too many wrong codes came from here."""
        self.add_error(
            "code", _("Too many codes were tried from here. Wait an hour, or ask your instructor.")
        )


class NewStudentForm(OwnPassword, JoinForm, BaseUserCreationForm[User]):
    """The join code and a new account."""

    class Meta:
        model = User
        fields = ("username", "first_name", "last_name")
        labels = {"username": _("User name")}
        help_texts = {"username": _("You sign in with it. Letters, digits and @ . + - _")}
        error_messages = {
            "username": {
                "unique": _("This user name is taken. Choose another, or sign in if it is yours.")
            }
        }

    field_order = ("code", "first_name", "last_name", "username", "password1", "password2")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # The code comes first, and a phone must not jump over it.
        self.fields["username"].widget.attrs |= {"autofocus": False, "spellcheck": "false"}
        for name in ("first_name", "last_name"):
            self.fields[name].required = True
        self.word_passwords(self.fields)

    def save_student(self, section: Section) -> User:
        """Save the account as a student of the section's school."""
        user = self.save(commit=False)
        user.school = section.term.school
        user.role = User.Role.STUDENT
        user.save()
        return user
