"""Import a class list: read it, look at what it would change, apply it whole or not at all."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from coursework import access, roster, rostering, terms
from coursework.conflicts import ClosedTerm
from coursework.forms.roster_import import RosterImportForm
from coursework.models import Section
from coursework.roster_diff import Diff, Kind, compare


@require_http_methods(["GET", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the form; with a list, what it would change; confirmed, change it."""
    section, _students = access.roster(access.person(request), pk)
    if request.method != "POST":
        return _page(request, section, RosterImportForm(section=section))
    form = RosterImportForm(request.POST, request.FILES, section=section)
    valid = form.is_valid()
    try:
        terms.need_open(section.term)
    except ClosedTerm as reason:
        form.add_error(None, str(reason))
        return _page(request, section, form, status=409)
    if not valid or form.classes:
        return _page(request, section, form, status=422 if form.errors else 200)
    applies = request.POST.get("step") == "apply"
    diff = compare(section, form.rows, complete=form.cleaned_data["complete"])
    if not form.judge(diff, applies=applies):
        return _page(request, section, form, diff, 422)
    if not applies:
        return _page(request, section, form, diff)
    return _applied(request, section, form, diff)


def _applied(
    request: HttpRequest, section: Section, form: RosterImportForm, diff: Diff
) -> HttpResponse:
    try:
        done = rostering.apply(
            section,
            form.rows,
            complete=form.cleaned_data["complete"],
            fingerprint=form.cleaned_data["fingerprint"],
            by=access.person(request),
            at=timezone.now(),
            class_id=form.cleaned_data["class_id"],
        )
    except (rostering.RosterMoved, ClosedTerm):
        form.say_moved()
        return _page(request, section, form, diff, 409)
    messages.success(request, _said(done))
    return redirect("coursework:roster", pk=section.pk)


def _said(done: Diff) -> str:
    joined = len(done.of(Kind.NEW, Kind.JOINS, Kind.LET_IN, Kind.BACK))
    corrected, left = len(done.corrected), len(done.leaving)
    parts = [
        (joined, ngettext("%d student joined", "%d students joined", joined)),
        (corrected, ngettext("%d corrected", "%d corrected", corrected)),
        (left, ngettext("%d left", "%d left", left)),
    ]
    said = ", ".join(words % count for count, words in parts if count)
    return _("The list is applied: %s.") % (said or _("nothing changed"))


def _page(
    request: HttpRequest,
    section: Section,
    form: RosterImportForm,
    diff: Diff | None = None,
    status: int = 200,
) -> HttpResponse:
    usable = diff if diff and not diff.problems else None
    context = {
        "section": section,
        "where": section,
        "form": form,
        "diff": usable,
        "groups": _groups(usable) if usable else [],
        "classes": [(each, roster.write(each.students)) for each in form.classes],
    }
    return render(request, "coursework/roster_import.html", context, status=status)


def _groups(diff: Diff) -> list[tuple[str, str, list[object]]]:
    """Return the changes under their headings, those first that make or open something."""
    groups = (
        (_("New, with an account made for them"), "new", diff.of(Kind.NEW)),
        (_("New here, with the account they have"), "joins", diff.of(Kind.JOINS)),
        (_("Waited to be let in"), "let_in", diff.of(Kind.LET_IN)),
        (_("Left before, and come back"), "back", diff.of(Kind.BACK)),
        (_("Corrected"), "corrected", diff.corrected),
    )
    return [(title, key, list(changes)) for title, key, changes in groups if changes]
