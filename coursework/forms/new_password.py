"""The form with which the owner of a one-time code chooses a password."""

from typing import Any

from django.contrib.auth.forms import SetPasswordForm
from django.utils.translation import gettext_lazy as _

from coursework.models import User


class NewPasswordForm(SetPasswordForm[User]):
    """A password, twice."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["new_password1"].help_text = _(
            "Twelve characters or more; three words that you can remember make a good one."
        )
