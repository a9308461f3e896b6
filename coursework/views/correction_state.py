"""Place a statement under a request that was declined: a post from its page, by the student."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, corrections
from coursework.forms.correction_request import StatementForm
from coursework.views import correction_request


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Place it, or show the form again."""
    asked = access.own_correction_request(access.person(request), pk)
    form = StatementForm(request.POST)
    if not form.is_valid():
        return correction_request.page(request, asked, form=form, status=422)
    try:
        corrections.state(asked, form.cleaned_data["statement"], at=timezone.now())
    except corrections.NoStatementNow:
        asked.refresh_from_db()
        refused = _("A statement goes under a declined request, once. Yours was not stored.")
        return correction_request.page(request, asked, form=form, refused=refused, status=409)
    messages.success(request, _("Your statement goes with every copy of your record from now on."))
    return redirect("coursework:correction_request", pk=pk)
