"""Labels as PDF, on the sheet that was described."""

from collections.abc import Iterator

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from coursework import access, exports, shop_prints
from coursework.forms.labels import LabelsForm
from coursework.models import Section
from coursework.shop_prints import Label
from coursework.views import labels as labels_page
from coursework.views.record_pdf import NO_PANGO


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Print what was chosen, or show the form with what is wrong."""
    section = access.section_for_staff(access.person(request), pk)
    form = labels_page.form(request, section, data=request.GET)
    if not form.is_valid():
        return labels_page.page(request, section, form, 422)
    start = form.cleaned_data["start"] or 1
    try:
        made = shop_prints.labels_pdf(
            list(_labels(request, section, form)), form.sheet, start=start
        )
    except exports.NoPdf:
        return HttpResponse(NO_PANGO, status=503, content_type="text/plain; charset=utf-8")
    return HttpResponse(
        made,
        content_type="application/pdf",
        headers={"Content-Disposition": 'inline; filename="labels.pdf"'},
    )


def _labels(request: HttpRequest, section: Section, form: LabelsForm) -> Iterator[Label]:
    if form.cleaned_data["of"] == "coupons":
        zone = section.term.school.settings.zone
        for coupon in form.cleaned_data["coupon"]:
            address = reverse("coursework:coupon", args=[coupon.public_id])
            yield shop_prints.coupon_label(coupon, request.build_absolute_uri(address), zone)
        return
    for enrolment in form.cleaned_data["student"]:
        address = reverse("coursework:label", args=[enrolment.pk])
        label = shop_prints.student_label(enrolment, request.build_absolute_uri(address))
        yield from [label] * (form.cleaned_data["copies"] or 1)
