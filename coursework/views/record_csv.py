"""An issued term record as a table for a spreadsheet."""

from django.http import HttpRequest, HttpResponse
from django.utils.http import content_disposition_header

from coursework import access, exports, issuing, tampered
from coursework.record import from_master


def view(request: HttpRequest, code: str) -> HttpResponse:
    issued = access.issued_record(access.person(request), code)
    if not issuing.is_untouched(issued):
        return tampered.refusal(request, issued)
    record = from_master(issued.master)
    return csv_response(exports.record_csv(record), exports.file_name(record, "csv"))


def csv_response(table: bytes, name: str) -> HttpResponse:
    """Return a table as a file to keep."""
    disposition = content_disposition_header(as_attachment=True, filename=name) or "attachment"
    return HttpResponse(
        table,
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": disposition},
    )
