"""Every value that the engine knows has its word on the page."""

from typing import Any, get_args

import pytest

from coursework.choices import (
    WORDS,
    alloy_choices,
    choices,
    filler_choices,
    imperfection_choices,
    words_of,
)
from weldlog.engine import facts
from weldlog.engine.imperfections import find

VALUES = {
    "process": facts.Process,
    "transfer": facts.Transfer,
    "joint": facts.Joint,
    "weld": facts.Weld,
    "position": facts.Position,
    "work": facts.Work,
    "stored": facts.Stored,
    "coating": facts.Coating,
    "edge": facts.Edge,
    "disc_condition": facts.DiscCondition,
    "form": facts.FillerForm,
    "condition": facts.FillerCondition,
    "polarity": facts.Polarity,
    "voltage_read": facts.VoltageRead,
    "shielding_gas": facts.ShieldingGas,
    "tungsten_type": facts.TungstenType,
    "step": facts.Step,
    "agent": facts.Agent,
    "tool": facts.Tool,
    "tool_kept_for": facts.ToolKeptFor,
    "pressure": facts.Pressure,
    "stroke": facts.Stroke,
}


@pytest.mark.parametrize("word", WORDS)
def test_the_words_are_those_of_the_engine(word: str) -> None:
    values: Any = VALUES[word]
    allowed = get_args(values)
    # The tools of a cleaning step are brushes and wheels; cloths are said by the step itself.
    assert set(WORDS[word]) == set(allowed)


def test_a_blank_leads_and_what_is_not_known_can_be_said() -> None:
    assert choices("polarity", "choose")[0] == ("", "choose")
    assert alloy_choices("choose")[-1][0] == "unknown"
    assert len(alloy_choices("")) == 34 + 2
    assert filler_choices("choose")[1] == ("none", "No filler")
    assert len(filler_choices("")) == 20 + 2


def test_every_imperfection_that_can_be_chosen_is_one_of_the_classroom_list() -> None:
    numbers = [number for number, _words in imperfection_choices("") if number]
    assert len(numbers) == len(set(numbers))
    assert [number for number in numbers if find(number) is None] == []


def test_a_value_without_a_word_is_shown_as_it_is() -> None:
    assert words_of("polarity", "XX") == "XX"
