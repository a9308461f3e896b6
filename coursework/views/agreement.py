"""How far graders agree with each other, and students with their graders."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access, agreeing


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show both comparisons of a section."""
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    graders = agreeing.between_graders(section)
    students = agreeing.with_students(section)
    context = {
        "section": section,
        "where": section,
        "share": section.term.school.settings.second_grading_percent,
        "graders": graders,
        "compared": graders[0].found is not None,
        "pairs": agreeing.graders(section),
        "students": students,
        "students_rows": [students],
        "grades": user.is_instructor,
    }
    return render(request, "coursework/agreement.html", context)
