"""What every form says that takes a new password, twice."""

from typing import Any, ClassVar

from django.contrib.auth.forms import SetPasswordMixin
from django.utils.translation import gettext_lazy as _

from coursework.models import User


class OwnPassword(SetPasswordMixin[User]):
    """A password and the same again; what is wrong with it stands at the first."""

    password_names: ClassVar[tuple[str, str]] = ("password1", "password2")

    def word_passwords(self, fields: dict[str, Any]) -> None:
        """Word both fields for the person at the phone."""
        first, second = (fields[name] for name in self.password_names)
        first.help_text = _(
            "Twelve characters or more; three words that you can remember make a good one."
        )
        second.label, second.help_text = _("The same password again"), ""

    def validate_password_for_user(self, user: User, *_: str) -> None:
        super().validate_password_for_user(user, password_field_name=self.password_names[0])
