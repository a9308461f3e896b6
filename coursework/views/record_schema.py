"""The form of the masters that exports carry, for whoever reads one."""

from pathlib import Path
from typing import Final

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

SCHEMAS: Final = {
    path.name.removesuffix(".schema.json"): path
    for path in (Path(__file__).parent.parent / "schemas").glob("*.schema.json")
}


@login_not_required
@require_safe
def view(_request: HttpRequest, name: str) -> HttpResponse:
    """Give a JSON schema by its name and number, such as term_record_2."""
    if name not in SCHEMAS:
        raise Http404
    return HttpResponse(SCHEMAS[name].read_bytes(), content_type="application/schema+json")
