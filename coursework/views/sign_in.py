"""Sign in with user name and password."""

from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from coursework.forms.sign_in import SignInForm
from coursework.next_page import next_page


@sensitive_post_parameters("password")
@never_cache
@login_not_required
@require_http_methods(["GET", "POST"])
def view(request: HttpRequest) -> HttpResponse:
    where = next_page(request, "coursework:home")
    if request.user.is_authenticated:
        return redirect(where)
    form = SignInForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid():
        login(request, form.get_user())
        return redirect(where)
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "next": where}
    return render(request, "coursework/sign_in.html", context, status=status)
