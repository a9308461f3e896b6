"""The form with which the owner of a one-time code chooses a password."""

from typing import Any

from django.contrib.auth.forms import SetPasswordForm

from coursework.forms.passwords import OwnPassword
from coursework.models import User


class NewPasswordForm(OwnPassword, SetPasswordForm[User]):
    """A password, twice."""

    password_names = ("new_password1", "new_password2")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.word_passwords(self.fields)
