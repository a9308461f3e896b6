"""To be written."""

from django.http import Http404, HttpRequest, HttpResponse


def view(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise Http404
