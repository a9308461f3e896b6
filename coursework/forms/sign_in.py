"""The form that signs a person in."""

from typing import Any

from django.contrib.auth.forms import AuthenticationForm
from django.utils.translation import gettext_lazy as _


class SignInForm(AuthenticationForm):
    """User name and password; the answer never tells whether the account exists."""

    error_messages = {
        "invalid_login": _(
            "This user name and password do not go together. Check both, or ask your instructor."
        ),
        "inactive": _(
            "This user name and password do not go together. Check both, or ask your instructor."
        ),
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = _("User name")
        self.fields["password"].help_text = _(
            "Forgot it? Your instructor or the office prints a code; type that here instead."
        )
        self.fields["username"].widget.attrs |= {"autocapitalize": "none", "spellcheck": "false"}

    def refuse_for_a_while(self) -> None:
        """Say that too many wrong codes were tried."""
        self.add_error(
            None, _("Too many codes were tried. Wait an hour, or ask for a new code then.")
        )
