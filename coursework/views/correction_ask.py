"""A student asks for a correction of the own record, and sees what became of earlier requests."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, corrections, disclosures
from coursework.forms.correction_request import AskForm
from coursework.models import Coupon, User


@require_http_methods(["GET", "HEAD", "POST"])
@access.only(User.Role.STUDENT)
def view(request: HttpRequest) -> HttpResponse:
    """Show the form, the requests and to whom the record was given; or ask."""
    user = access.person(request)
    enrolments = access.enrolments(user).order_by("-joined_at", "-pk")
    coupons = access.coupons(user).exclude(state=Coupon.State.WITHDRAWN)
    form = AskForm(
        request.POST or None,
        enrolments=enrolments,
        coupons=coupons,
        initial={"about": f"coupon-{request.GET.get('coupon', '')}"},
    )
    if request.method == "POST" and form.is_valid():
        enrolment, coupon = form.chosen()
        asked = corrections.ask(enrolment, coupon, form.cleaned_data["what"], at=timezone.now())
        messages.success(request, _("Your request is sent. You see the decision here."))
        return redirect("coursework:correction_request", pk=asked.pk)
    context = {
        "form": form,
        "requests": access.correction_requests(user),
        "disclosures": disclosures.about(user),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "coursework/correction_ask.html", context, status=status)
