"""What withdrawing a record of a student and of a section have in common."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from coursework import access, issuing
from coursework.forms.record_withdraw import WithdrawForm
from coursework.issuing import AnyIssued


def withdrawing(request: HttpRequest, record: AnyIssued, back: str) -> HttpResponse:
    """Ask why an issue is withdrawn, or withdraw it and go back to it."""
    form, status = WithdrawForm(request.POST or None), 200
    if record.withdrawn_at:
        messages.info(request, _("This issue is withdrawn already."))
        return redirect(back)
    if request.method == "POST":
        if form.is_valid():
            return _withdrawn(request, record, form.cleaned_data["reason"], back)
        status = 422
    context = {"form": form, "record": record, "back": back}
    return render(request, "coursework/record_withdraw.html", context, status=status)


def _withdrawn(request: HttpRequest, record: AnyIssued, reason: str, back: str) -> HttpResponse:
    user = access.person(request)
    try:
        issuing.withdraw(record, by=user, reason=reason, at=timezone.now())
    except issuing.WithdrawnMeanwhile:
        messages.info(request, _("This issue is withdrawn already."))
    else:
        messages.success(request, _("Withdrawn. Whoever checks a print of it is told so."))
    return redirect(back)
