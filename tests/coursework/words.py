"""What a page says, for tests that read it as a person does."""

import html
import re
from typing import Any


def words_on(answer: Any) -> str:
    """Return the text of an answer without its tags, each gap one space."""
    text = html.unescape(re.sub(r"<[^>]+>", " ", answer.text))
    return re.sub(r"\s+", " ", text)
