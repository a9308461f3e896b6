"""What is true of every answer, whatever the page."""

from collections.abc import Callable
from urllib.parse import quote

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render, resolve_url
from django.utils import timezone
from django_htmx.http import HttpResponseClientRedirect

from coursework import request_id
from coursework.models import SchoolSettings

type Answer = Callable[[HttpRequest], HttpResponse]

NOT_ALLOWED = 405
# The camera, for pictures of a coupon; the rest of the phone is none of our business.
PERMISSIONS = "camera=(self), geolocation=(), microphone=(), payment=(), usb=()"


def request_named(get_response: Answer) -> Answer:
    """Give each request an id: the one that a proxy sent in ``X-Request-ID``, or a new one."""

    def middleware(request: HttpRequest) -> HttpResponse:
        named = request_id.from_header(request.headers.get("X-Request-ID", ""))
        token = request_id.current.set(named)
        try:
            response = get_response(request)
        finally:
            request_id.current.reset(token)
        response.headers["X-Request-ID"] = named
        return response

    return middleware


def permissions_policy(get_response: Answer) -> Answer:
    """Say which parts of the device a page may ask for."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers["Permissions-Policy"] = PERMISSIONS
        return response

    return middleware


def keep_private(get_response: Answer) -> Answer:
    """Let nothing that a signed-in person saw be kept: shop devices change hands."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if request.user.is_authenticated:
            response.headers["Cache-Control"] = "private, no-store"
        return response

    return middleware


def school_clock(get_response: Answer) -> Answer:
    """Show times of day as the clock on the wall of the person's school does."""

    def middleware(request: HttpRequest) -> HttpResponse:
        school = getattr(request.user, "school_id", None)
        if school is None:
            return get_response(request)
        zones = SchoolSettings.objects.filter(school=school).values_list("time_zone", flat=True)
        with timezone.override(zones.first()):
            return get_response(request)

    return middleware


def forms_alone(get_response: Answer) -> Answer:
    """Give a page to who opens an address that only takes forms."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if response.status_code != NOT_ALLOWED or response.content:
            return response
        page = render(request, "405.html", status=NOT_ALLOWED)
        page.headers["Allow"] = response.headers["Allow"]
        return page

    return middleware


class SignInRequired(LoginRequiredMiddleware):
    """Send who is signed out to the sign-in page; htmx the whole page, not into a part of it."""

    # htmx takes no redirect: the browser would follow it and htmx swap what comes into the page.
    def handle_no_permission(  # type: ignore[override]
        self, request: HttpRequest, view_func: Callable[..., HttpResponseBase]
    ) -> HttpResponseBase:
        htmx = getattr(request, "htmx", None)
        if not htmx and request.method == "POST":
            # A redirect would lose what was typed; going back from this page does not.
            return render(request, "signed_out.html", status=401)
        if not htmx:
            return super().handle_no_permission(request, view_func)
        page = quote(htmx.current_url_abs_path or "/")
        return HttpResponseClientRedirect(f"{resolve_url(settings.LOGIN_URL)}?next={page}")
