"""One photo, for whoever may look at its coupon."""

import uuid

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest
from django.utils.csp import CSP
from django.utils.translation import gettext as _
from django.views.decorators.csp import csp_override
from django.views.decorators.http import require_safe

from coursework import access

# A photo is a picture and nothing else, even if somebody finds a way to store another thing.
ONLY_A_PICTURE = {"default-src": [CSP.NONE], "sandbox": ""}


@require_safe
@csp_override(ONLY_A_PICTURE)
def view(request: HttpRequest, public_id: uuid.UUID) -> FileResponse:
    """Send the stored file, to be shown in the page."""
    photo = access.photo(access.person(request), public_id)
    try:
        file = default_storage.open(photo.file)
    except FileNotFoundError as missing:
        raise Http404(_("The file of this photo is not there.")) from missing
    response = FileResponse(file, filename=f"photo-{photo.place}.jpg", content_type="image/jpeg")
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Cache-Control"] = "private, no-store"
    return response
