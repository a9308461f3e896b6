"""Accept or decline a correction request: a post from its page, by staff."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, corrections
from coursework.forms.correction_request import DecisionForm
from coursework.views import correction_request


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Decide, or show the form again."""
    user = access.person(request)
    asked, form = access.correction_request_to_decide(user, pk), DecisionForm(request.POST)
    if not form.is_valid():
        return correction_request.page(request, asked, form=form, status=422)
    try:
        corrections.decide(asked, **form.cleaned_data, by=user, at=timezone.now())
    except corrections.DecidedMeanwhile:
        asked.refresh_from_db()
        refused = _("Somebody decided this just now. Your decision was not stored.")
        return correction_request.page(request, asked, form=form, refused=refused, status=409)
    messages.success(request, _("Decided. The student sees the decision and the reason."))
    return redirect("coursework:correction_requests")
