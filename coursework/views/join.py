"""Join a section: with a new account, or with the one that is signed in."""

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from coursework import access
from coursework.forms.join import JoinForm, NewStudentForm
from coursework.joining import TooManyTries, join, section_with
from coursework.models import Enrolment, User


@sensitive_post_parameters("password1", "password2")
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest) -> HttpResponse:
    user = request.user if isinstance(request.user, User) else None
    if user and not user.is_student:
        raise PermissionDenied
    data = request.POST or None
    code = {"code": request.GET.get("code", "")}
    form = JoinForm(data, initial=code) if user else NewStudentForm(data, initial=code)
    status = 200
    if request.method == "POST":
        if form.is_valid() and (enrolled := _joined(request, form, user)):
            return enrolled
        status = 422
    context = {"form": form, **_places(user)}
    return render(request, "coursework/join.html", context, status=status)


def _places(user: User | None) -> dict[str, list[Enrolment]]:
    """Return where the student waits to be let in, and what the student has left."""
    places = list(access.own_places(user)) if user else []
    return {
        "waiting": [each for each in places if each.waits_for_approval],
        "left": [each for each in places if each.left_at and not each.waits_for_approval],
    }


def _joined(request: HttpRequest, form: JoinForm, user: User | None) -> HttpResponse | None:
    """Enrol the student and go to the bench, or leave an error in the form."""
    try:
        section = section_with(request, form.cleaned_data["code"])
    except TooManyTries:
        form.refuse_for_a_while()
        return None
    if section is None or (user and user.school_id != section.term.school_id):
        form.refuse_code()
        return None
    if isinstance(form, NewStudentForm):
        user = form.save_student(section)
        login(request, user)
    if user and join(user, section, timezone.now()).waits_for_approval:
        return redirect("coursework:join")
    messages.success(request, _("You are in %(section)s.") % {"section": section})
    return redirect("coursework:bench")
