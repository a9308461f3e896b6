"""User names for students who come from a list: made from the name, each once in any case."""

from collections.abc import Collection, Iterable, Sequence

from django.db.models.functions import Lower
from django.utils.text import slugify

from coursework.models import User

WITHOUT_LETTERS = "student"
LONGEST_STEM = 30


def stem(first_name: str, last_name: str) -> str:
    """Return what a user name is made of: the first letter of one name and all of the other.

    >>> stem("Zoë", "van der Núñez")
    'zvandernunez'
    >>> stem("玲", "王")
    'student'
    """
    first, last = (slugify(name).replace("-", "") for name in (first_name, last_name))
    return (first[:1] + last)[:LONGEST_STEM] or WITHOUT_LETTERS


def make(names: Sequence[tuple[str, str]], reserved: Collection[str] = ()) -> list[str]:
    """Return a free user name for each pair of first and last name, in their order.

    Parameters
    ----------
    names : sequence of (str, str)
        First and last names.
    reserved : collection of str
        User names that are about to be given, in lower case.
    """
    given = set(reserved)
    made = [""] * len(names)
    open_places, last_number, step = list(range(len(names))), 1, 0
    while open_places:
        # Few names collide, so the first look is at plain names, each further one ten times wider.
        numbers = range(last_number, last_number + 10**step)
        offers = {place: _offers(names[place], numbers) for place in open_places}
        taken = given | _taken({each for some in offers.values() for each in some})
        for place, some in offers.items():
            made[place] = next((each for each in some if each not in taken), "")
            taken.add(made[place])
        given |= set(filter(None, made))
        open_places = [place for place in open_places if not made[place]]
        last_number, step = numbers.stop, step + 1
    return made


def _offers(name: tuple[str, str], numbers: Iterable[int]) -> list[str]:
    base = stem(*name)
    return [base if number == 1 else f"{base}{number}" for number in numbers]


def _taken(offers: Collection[str]) -> set[str]:
    lower = User.objects.annotate(lower=Lower("username"))
    return set(lower.filter(lower__in=offers).values_list("lower", flat=True))
