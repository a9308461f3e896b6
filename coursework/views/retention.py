"""How long the school keeps what; and the way to holds and to the purge."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, school_settings
from coursework.forms.retention import RetentionForm
from coursework.models import User

A_PAGE = 20


@require_http_methods(["GET", "HEAD", "POST"])
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Show what is set and what was purged, or store other times."""
    user = access.person(request)
    settings = access.school_settings(user)
    form = RetentionForm(request.POST or None, settings=settings)
    if request.method == "POST" and form.is_valid():
        school_settings.change(settings, by=user, **form.cleaned_data)
        messages.success(request, _("The times are stored. Nothing is removed by that."))
        return redirect("coursework:retention")
    context = {
        "form": form,
        "school": settings.school,
        "holds": access.holds(user).filter(lifted_at=None).count(),
        "page": Paginator(access.purges(user), A_PAGE).get_page(request.GET.get("page")),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "coursework/retention.html", context, status=status)
