"""A school and its first coordinator, put into a database that holds none yet."""

from dataclasses import dataclass
from typing import cast

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils.translation import gettext as _

from coursework import audit
from coursework.conflicts import Conflict
from coursework.models import Act, School, SchoolSettings, User
from coursework.models.school import known_time_zone


class SchoolIsThere(Conflict):
    """The database holds a school already; the message names it and says how to go on."""


@dataclass(frozen=True, slots=True)
class FirstSchool:
    """What is asked of whoever sets weldlog up for a school."""

    school: str
    first_name: str
    last_name: str
    username: str
    time_zone: str


def refuse_a_second() -> None:
    """Refuse where there is a school already.

    Raises
    ------
    SchoolIsThere
        With the sentences for whoever tried.
    """
    if school := School.objects.order_by("pk").first():
        raise SchoolIsThere(
            _(
                "%(school)s is in this database already, and a database keeps one school. "
                "Another coordinator is added in the office, under Staff. "
                "A coordinator who forgot the password: python3 manage.py changepassword USERNAME. "
                "For another school set WELDLOG_DATA or WELDLOG_DATABASE_URL to another place."
            )
            % {"school": school}
        )


def clean(name: str, text: str) -> str:
    """Return one answer as it is stored.

    Parameters
    ----------
    name : str
        A member of :class:`FirstSchool`.

    Raises
    ------
    ValidationError
        With the sentence for whoever typed it.
    """
    text = text.strip()
    if not text:
        raise ValidationError(_("This cannot be left out."))
    if name == "time_zone":
        known_time_zone(text)
        return text
    found = School._meta.get_field("name") if name == "school" else User._meta.get_field(name)
    return str(cast("models.CharField[str, str]", found).clean(text, None))


def clean_password(password: str, answers: FirstSchool) -> str:
    """Return the password; ValidationError where it is too easy to guess."""
    validate_password(password, _coordinator(answers))
    return password


@transaction.atomic
def found(answers: FirstSchool, password: str) -> User:
    """Store the school with its settings as they are at first, and return its coordinator.

    Raises
    ------
    SchoolIsThere
        Where there is one already.
    """
    refuse_a_second()
    user = _coordinator(answers)
    user.school = School.objects.create(name=answers.school)
    SchoolSettings.objects.create(school=user.school, time_zone=answers.time_zone)
    user.set_password(password)
    user.save()
    audit.record_act(None, Act.STAFF_ADDED, user, after={"role": user.role})
    return user


def _coordinator(answers: FirstSchool) -> User:
    return User(
        username=answers.username,
        first_name=answers.first_name,
        last_name=answers.last_name,
        role=User.Role.COORDINATOR,
    )
