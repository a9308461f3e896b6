"""Every file that can be had of a section: what is in it, and for whom it is.

What stays in the school is a link. What leaves it is given once it is logged to whom and why.
"""

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, disclosures
from coursework.export_kinds import WHERE_LONG, Kind, key_of, kinds_about
from coursework.exports.files import SECTION_FILES, is_long
from coursework.forms.section_exports import LeavingFileForm
from coursework.made_files import made
from coursework.models import Section, User
from coursework.views.your_files import asked_for


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Show the list; give a file that leaves the school once that is logged."""
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    form = LeavingFileForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and _log(form, user, section):
        return _given(request, section, form.cleaned_data["file"])
    return _page(request, section, form)


def _log(form: LeavingFileForm, user: User, section: Section) -> bool:
    """Log that the file leaves; there is nothing to give where nobody is in it."""
    said = dict(form.cleaned_data)
    what = f"{SECTION_FILES[said.pop('file')].title}, {section}, {section.term}"
    students = list(access.students_ever_of(section))
    if not students:
        form.add_error(None, _("Nobody has joined this section yet, so no file is about anybody."))
        return False
    disclosures.disclose(user, students, what=what[:160], **said)
    return True


def _given(request: HttpRequest, section: Section, name: str) -> HttpResponseBase:
    kind = SECTION_FILES[name]
    if kind.grows and is_long(section):
        return asked_for(request, key_of(kind), section)
    return made(kind, section, kind.name_for(section))


def _page(request: HttpRequest, section: Section, form: LeavingFileForm) -> HttpResponse:
    is_big = is_long(section)
    context = {
        "section": section,
        "where": section,
        "files": [each for each in SECTION_FILES.values() if not (each.grows and is_big)],
        "long": [(kind, kind.title(section)) for kind in _by_the_worker(is_big=is_big)],
        "form": form,
        "said": disclosures.NO_ONWARD_DISCLOSURE,
    }
    status = 422 if form.errors else 200
    return render(request, "coursework/section_exports.html", context, status=status)


def _by_the_worker(*, is_big: bool) -> list[Kind]:
    """Return what is asked for: of a big section also what others wait for."""
    others = {key_of(each) for each in SECTION_FILES.values() if is_big and each.grows}
    return [
        kind for kind in kinds_about(Section) if kind.key not in WHERE_LONG or kind.key in others
    ]
