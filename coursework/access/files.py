"""Files that somebody asked for: the asker's alone, for as long as they may see what is in them."""

import uuid

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from coursework.access.sections import sections
from coursework.models import ExportFile, User


def export_files(user: User) -> QuerySet[ExportFile]:
    """Return the files that the user asked for, the newest first.

    A file about a section that the user has left is no longer among them.
    """
    found = ExportFile.objects.filter(asked_by=user)
    if user.is_student:
        theirs = Q(student=user)
    elif user.is_coordinator:
        theirs = Q(section__term__school=user.school) | Q(student__school=user.school)
    else:
        theirs = Q(section__in=sections(user))
    return found.filter(theirs).select_related("section__plan", "section__term", "student")


def export_file(user: User, public_id: uuid.UUID) -> ExportFile:
    """Return a file that the user asked for."""
    return get_object_or_404(export_files(user), public_id=public_id)


def files_to_tell_of(user: User) -> list[ExportFile]:
    """Return what is in the making, and what is done and was not looked at yet."""
    states = ExportFile.State
    done = Q(state__in=[states.READY, states.FAILED], seen_at=None)
    return list(export_files(user).filter(done | Q(state__in=ExportFile.OPEN)))
