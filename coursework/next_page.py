"""Where to go after a form: only ever to a page of this site."""

from django.http import HttpRequest
from django.shortcuts import resolve_url
from django.utils.http import url_has_allowed_host_and_scheme


def next_page(request: HttpRequest, fallback: str) -> str:
    """Return the address that the form names, or the fallback where it leads off the site."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return wanted if safe else resolve_url(fallback)
