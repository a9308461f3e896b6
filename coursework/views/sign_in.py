"""Sign in with user name and password, or with a one-time code in place of the password."""

from typing import Final

from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from coursework import sign_in_codes
from coursework.forms.sign_in import SignInForm
from coursework.next_page import next_page

CODE_IN_SESSION: Final = "sign_in_code"


@sensitive_post_parameters("password")
@never_cache
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest) -> HttpResponse:
    where = next_page(request, "coursework:home")
    if request.user.is_authenticated:
        return redirect(where)
    form = SignInForm(request, request.POST or None)
    if request.method == "POST":
        if form.is_valid():
            login(request, form.get_user())
            return redirect(where)
        if _opened_by_code(request, form):
            return redirect("coursework:new_password")
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "next": where}
    return render(request, "coursework/sign_in.html", context, status=status)


def _opened_by_code(request: HttpRequest, form: SignInForm) -> bool:
    """Return whether a code was typed in place of the password, and remember which."""
    name, typed = request.POST.get("username", "").strip(), request.POST.get("password", "")
    if not name or not sign_in_codes.looks_like_one(typed):
        return False
    address = request.META.get("REMOTE_ADDR", "")
    try:
        code = sign_in_codes.find(name, typed, address=address, at=timezone.now())
    except sign_in_codes.TooManyCodes:
        form.refuse_for_a_while()
        return False
    if code:
        request.session.cycle_key()
        request.session[CODE_IN_SESSION] = code.pk
    return code is not None
