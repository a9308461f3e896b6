"""A progress bar in plain text."""

from typing import Final, Protocol

WIDTH: Final = 30


class Stream(Protocol):
    """Where it is drawn."""

    def write(self, text: str, /) -> object:
        """Write a text."""

    def flush(self) -> None:
        """Show it."""

    def isatty(self) -> bool:
        """Whether somebody looks at it as it is drawn."""


class Bar:
    """A bar that is drawn anew on a terminal; elsewhere it is a line for each quarter."""

    def __init__(self, stream: Stream, words: str, total: int) -> None:
        self.stream, self.words, self.total = stream, words, total
        self.done = 0

    def step(self, number: int = 1) -> None:
        """Count some more."""
        before, self.done = self.done, min(self.done + number, self.total)
        if self.stream.isatty():
            full = WIDTH * self.done // self.total
            line = (
                f"\r{self.words} [{'#' * full}{'.' * (WIDTH - full)}] {self.done} of {self.total}"
            )
            self.stream.write(line + ("\n" if self.done == self.total else ""))
            self.stream.flush()
        elif self.done == self.total or self.done * 4 // self.total > before * 4 // self.total:
            self.stream.write(f"{self.words}: {self.done} of {self.total}\n")
