"""Choose a password, for whoever came in with a one-time code."""

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from coursework import sign_in_codes
from coursework.forms.new_password import NewPasswordForm
from coursework.views.sign_in import CODE_IN_SESSION


@sensitive_post_parameters("new_password1", "new_password2")
@never_cache
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest) -> HttpResponse:
    """Show the form, or store the password and sign the person in."""
    now = timezone.now()
    code = sign_in_codes.still_good(request.session.get(CODE_IN_SESSION), now)
    if code is None:
        return redirect("coursework:sign_in")
    form = NewPasswordForm(code.user, request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            user = sign_in_codes.choose_password(code, form.cleaned_data["new_password1"], at=now)
        except sign_in_codes.CodeIsOver as reason:
            messages.error(request, str(reason))
            return redirect("coursework:sign_in")
        del request.session[CODE_IN_SESSION]
        login(request, user)
        said = _("Your password is saved. Sign in with it from now on; the code is used up.")
        messages.success(request, said)
        return redirect("coursework:home")
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "who": code.user}
    return render(request, "coursework/new_password.html", context, status=status)
