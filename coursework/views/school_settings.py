"""What a school sets: units, time zone, cleaning window, helium, how grades are given."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, school_settings
from coursework.forms.school_settings import SettingsForm
from coursework.models import User


@require_http_methods(["GET", "HEAD", "POST"])
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Show the settings, or store them."""
    user = access.person(request)
    settings = access.school_settings(user)
    form = SettingsForm(request.POST or None, settings=settings)
    if request.method == "POST" and form.is_valid():
        differs = school_settings.change(settings, by=user, **form.cleaned_data)
        messages.success(request, stored(differs=differs))
        return redirect("coursework:school_settings")
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "settings": settings, "own_sets": settings.limit_sets}
    return render(request, "coursework/school_settings.html", context, status=status)


def stored(*, differs: bool) -> str:
    """Return what is said after a change, and what it means for coupons that are there."""
    if not differs:
        return _("The settings are saved.")
    return _(
        "The settings are saved. Coupons already assessed keep their findings; "
        "“manage.py recheck” assesses them again."
    )
