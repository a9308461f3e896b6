"""A student's own coupon log as a file, at any time."""

from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from coursework import access
from coursework.exports.files import OWN_FILES
from coursework.made_files import made


@require_safe
def view(request: HttpRequest, name: str) -> HttpResponseBase:
    """Make and send the file."""
    user = access.person(request)
    if access.own_enrolment(user) is None:
        return redirect("coursework:join")
    kind = OWN_FILES.get(name)
    if kind is None:
        raise Http404
    return made(kind, user, name)
