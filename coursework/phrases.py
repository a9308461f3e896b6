"""Words that an instructor uses again and again, and how often."""

from collections.abc import Iterable

from django.db.models import F, QuerySet

from coursework.models import Phrase, User

SHOWN = 12


def own(user: User) -> QuerySet[Phrase]:
    """Return somebody's phrases, those used most first."""
    return Phrase.objects.filter(owner=user).order_by("-used", "text", "pk")


def count(phrases: Iterable[Phrase]) -> None:
    """Count one more use of each."""
    Phrase.objects.filter(pk__in=[each.pk for each in phrases]).update(used=F("used") + 1)


def keep(user: User, text: str) -> None:
    """Keep words as a phrase; words that are kept already count once more."""
    longest = Phrase._meta.get_field("text").max_length
    words = " ".join(text.split())[:longest]
    if words:
        phrase, _new = Phrase.objects.get_or_create(owner=user, text=words)
        count([phrase])
