"""The addresses of the site, and the bare view that its pages are measured against."""

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import include, path

#: Every cell holds what a cell of the section's grid holds, so that the table is as large as the
#: page both in cells and in bytes.
TABLE = engines["django"].from_string(
    "<!DOCTYPE html><title>Table</title><table>"
    "{% for row in rows %}<tr>{% for cell in row %}"
    '<td data-name="{{ cell.place }}"><a href="{{ cell.url }}" '
    'class="state-cell state-{{ cell.state }}"><span>{{ cell.state }}</span>'
    '<svg class="groove" aria-hidden="true"><use href="#g-{{ cell.state }}" /></svg>'
    '<span class="sr">{{ cell.words }}</span></a></td>'
    "{% endfor %}</tr>{% endfor %}</table>"
)


def bare_table(_request: HttpRequest, rows: int, columns: int) -> HttpResponse:
    """Answer with a table of so many cells; it asks no database and knows nobody."""
    cells = [
        [
            {
                "place": column,
                "url": f"/students/{row}/#exercise-{column}",
                "state": column % 5,
                "words": "Lap: coming along",
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
