"""The addresses of the site, and the bare view that its pages are measured against."""

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import include, path

#: What a cell of the section's grid holds, and no more: four values, each escaped.
TABLE = engines["django"].from_string(
    "<!DOCTYPE html><title>Table</title><table>"
    "{% for row in rows %}<tr>{% for cell in row %}"
    '<td><a href="{{ cell.url }}" class="{{ cell.shade }}">{{ cell.digit }}</a>'
    " {{ cell.words }}</td>"
    "{% endfor %}</tr>{% endfor %}</table>"
)


def bare_table(_request: HttpRequest, rows: int, columns: int) -> HttpResponse:
    """Answer with a table of so many cells; it asks no database and knows nobody."""
    cells = [
        [
            {
                "url": f"/students/{row}/#exercise-{column}",
                "shade": f"state-{column % 5}",
                "digit": column % 5,
                "words": "Square butt: coming along, waiting for a grade",
            }
            for column in range(columns)
        ]
        for row in range(rows)
    ]
    return HttpResponse(TABLE.render({"rows": cells}))


urlpatterns = [
    path("bare-table/<int:rows>/<int:columns>/", bare_table),
    path("", include("coursework.urls")),
]
