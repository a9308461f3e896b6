"""The join code of a section: open it, close it, say until when, or take a new one."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, joining
from coursework.forms.join_code import JoinCodeForm


@require_http_methods(["GET", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the form, or change what it says."""
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    if "renew" in request.POST:
        joining.renew_code(section, by=user)
        messages.success(request, _("The section has a new join code. Print the poster again."))
        return redirect("coursework:roster", pk=section.pk)
    form = JoinCodeForm(request.POST if request.method == "POST" else None, section=section)
    status = 200
    if request.method == "POST":
        if form.is_valid():
            joining.set_joining(
                section,
                is_open=form.cleaned_data["is_open"],
                ends_at=form.ends_at(),
                needs_approval=form.cleaned_data["needs_approval"],
                by=user,
            )
            messages.success(request, _("Saved: who can join, and until when."))
            return redirect("coursework:roster", pk=section.pk)
        status = 422
    context = {
        "section": section,
        "where": section,
        "form": form,
        "code": joining.spaced_code(section.join_code),
    }
    return render(request, "coursework/join_code.html", context, status=status)
