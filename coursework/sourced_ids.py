"""Ids under which other systems know what is stored here: lower-case UUIDs that never change.

Who came from a school's own roster keeps the id that they have there. Every other id is made from
the school's id and the row's, by RFC 9562, version 5.
"""

import uuid

from coursework.models import School, Section, User


def of(school: School, kind: str, *keys: int) -> str:
    """Return the id of something of a school.

    Parameters
    ----------
    school : School
        Whose it is.
    kind : str
        What it is, such as ``enrolment``.
    keys : int
        The keys of the rows that it is made of.
    """
    return str(uuid.uuid5(school.public_id, ":".join([kind, *map(str, keys)])))


def of_section(section: Section) -> str:
    """Return the id of a section, which has its term and school at hand."""
    return section.source_id or of(section.term.school, "section", section.pk)


def of_person(school: School, user: User) -> str:
    """Return the id of somebody of a school."""
    return user.source_id or of(school, "person", user.pk)
