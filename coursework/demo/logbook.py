"""What a student writes down: values as they were typed, with their unit, and what they mean."""

from dataclasses import dataclass, field
from typing import Any

from coursework.forms.fields import Measure, in_base_unit
from coursework.hand_in import Statement, TypedValues
from coursework.models.facts import Document


@dataclass(slots=True)
class Log:
    """One coupon as it is logged; ``comma`` is how this student types a decimal."""

    comma: bool = False
    document: Document = field(default_factory=dict)
    typed: TypedValues = field(default_factory=dict)

    def state(self, **members: Any) -> None:
        """Put values where they stand in the document: ``ac__en_percent`` is ``ac.en_percent``."""
        for name, value in members.items():
            self._put(name.split("__"), value)

    def _put(self, path: list[str], value: Any) -> None:
        head, *rest = path
        if head == "base_metals":
            self.document.setdefault(head, [{}])[int(rest[0])][rest[1]] = value
        elif rest:
            self.document.setdefault(head, {})[rest[0]] = value
        else:
            self.document[head] = value

    def measure(self, path: str, quantity: str, number: float, unit: str, digits: int = 0) -> None:
        """Type a number in a unit; the document gets what was typed, in the base unit."""
        text = f"{number:.{digits}f}"
        value = in_base_unit(float(text), quantity, unit)
        shown = text.replace(".", ",") if self.comma else text
        self.typed[path] = Measure(value, shown, unit).typed
        self._put(path.split("."), value)

    def forget(self, path: str) -> None:
        """Take out a value that was typed."""
        self.document.pop(path, None)
        self.typed.pop(path, None)

    @property
    def steps(self) -> list[Document]:
        """The cleaning steps in the order in which they were done."""
        return list(self.document["cleaning"])

    def step(self, name: str) -> Document:
        """Return one cleaning step to change; an empty one where it was not done."""
        return next((each for each in self.document["cleaning"] if each["step"] == name), {})

    def leave_out(self, *names: str) -> None:
        """Take cleaning steps out."""
        self.document["cleaning"] = [each for each in self.steps if each["step"] not in names]

    @property
    def metal(self) -> Document:
        """The one base metal."""
        metal: Document = self.document["base_metals"][0]
        return metal

    def statement(self, predicted_level: int | None) -> Statement:
        """Return what is handed in."""
        return Statement(
            document=self.document, typed=self.typed, timed=True, predicted_level=predicted_level
        )
