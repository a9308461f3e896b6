"""Many conditions, looked at in one pass.

Every coupon meets every row of the tables, and few of them speak. A sieve is a function that is
written once, when a table is read: it takes the members of a thing one by one and returns the
conditions that hold, each with the case that does, and what the others lack. What a condition
means stands in ``conditions`` alone; the sieve puts the same comparisons behind one another.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from weldlog.engine.conditions import Comparison, Condition, getter, multiple


@dataclass(frozen=True, slots=True)
class Missing:
    """A member for want of which the condition at ``place`` cannot be judged; never true."""

    place: int
    member: str

    def __bool__(self) -> bool:
        return False


class Met(NamedTuple):
    """The condition at ``place`` holds, by its first ``case`` that does."""

    place: int
    case: int


type Sieve = Callable[[Any], tuple[list[Met], list[Missing]]]


class _Writer:
    """Writes the function; names stand for members, choices and what is missing."""

    def __init__(self) -> None:
        self.names: dict[str, str] = {}
        self.known: dict[str, object] = {"multiple": multiple}

    def member(self, member: str) -> str:
        """Return the variable that holds a member of the thing."""
        return self.names.setdefault(member, f"m{len(self.names)}")

    def constant(self, value: object) -> str:
        """Return the name of a value that the function knows."""
        name = f"k{len(self.known)}"
        self.known[name] = value
        return name

    def test(self, place: int, test: Comparison) -> str:
        """Return the expression of one test: true, false, or what is missing."""
        value, bound, lacks = self.member(test.member), repr(test.bound), ""
        if not test.optional:
            lacks = f"{self.constant(Missing(place, test.member))} if {value} is None else "
        if test.bound_member:
            base = self.member(test.bound_member)
            missing = self.constant(Missing(place, test.bound_member))
            lacks += f"{missing} if {base} is None else "
            bound = f"multiple({test.bound!r}, {base})"
        words = {"value": value, "bound": bound, "choices": ""}
        if test.choices:
            words["choices"] = self.constant(test.choices)
        asks = " ".join(words.get(word, word) for word in test.asks.split())
        return f"({lacks}{asks})"

    def rule(self, place: int, condition: Condition) -> list[str]:
        """Return the lines that judge one condition; the tests of a case are taken in order."""
        cases = [" and ".join(self.test(place, test) for test in case) for case in condition.cases]
        names = [f"c{number}" for number, _ in enumerate(cases)]
        lines = [f"{name} = {case}" for name, case in zip(names, cases, strict=True)]
        for case, name in enumerate(names):
            known = self.constant(Met(place, case))
            lines += [f"{'elif' if case else 'if'} {name}:", f" met.append({known})"]
        lines.append("else:")
        return lines + [f" if {name} is not False: missing.append({name})" for name in names]


def sieve(conditions: Sequence[Condition]) -> Sieve:
    """Return the function that looks at all of these conditions at once.

    It returns the conditions that hold, in order, and what the others lack.

    >>> from weldlog.engine.conditions import condition
    >>> from weldlog.engine.facts import Facts
    >>> look = sieve([condition("gas_flow_l_min below 5"), condition("draught is true")])
    >>> look(Facts(process="GTAW", gas_flow_l_min=3))
    ([Met(place=0, case=0)], [Missing(place=1, member='draught')])
    """
    writer = _Writer()
    rules = [line for place, each in enumerate(conditions) for line in writer.rule(place, each)]
    reads = []
    for member, name in writer.names.items():
        if "." in member:
            reads.append(f"{name} = {writer.constant(getter(member))}(thing)")
        else:
            reads.append(f"{name} = thing.{member}")
    body = ["met = []", "missing = []", *reads, *rules, "return met, missing"]
    # The text is made of this package's own tables and of nothing that a user typed.
    exec("def look(thing):\n" + "\n".join(f" {line}" for line in body), writer.known)  # noqa: S102
    look: Sieve = writer.known["look"]  # type: ignore[assignment]
    return look
