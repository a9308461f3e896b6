"""`manage.py filler` prints what the contract says, and leaves with 2 on bad input."""

import json
import subprocess
import sys
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from tests.engine.contract import validator

ROOT = Path(__file__).resolve().parent.parent.parent


def printed(*arguments: str) -> dict[str, Any]:
    out = StringIO()
    call_command("filler", *arguments, stdout=out)
    document: dict[str, Any] = json.loads(out.getvalue())
    return document


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "manage.py", "filler", *arguments]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    "arguments",
    [
        ("6061",),
        ("6061", "5052"),
        ("5083", "--above-65-c"),
        ("6061-T6", "--anodised-after"),
        ("6061", "A356", "--heat-treated-after"),
        ("7075",),
        ("5454", "356.0"),
        ("mystery",),
        ("6061", "mystery"),
    ],
)
def test_what_is_printed_fits_the_contract(arguments: tuple[str, ...]) -> None:
    validator("filler").validate(printed(*arguments))


def test_the_designations_are_printed_as_the_tables_write_them() -> None:
    assert printed("EN AW-6061-T6", "a356")["base_metals"] == ["6061", "A356.0"]


def test_the_service_flags_change_the_choice() -> None:
    assert printed("6061")["fillers"][0]["designation"] == "4043"
    assert printed("6061", "--anodised-after")["fillers"][0]["designation"] == "5356"
    assert printed("6061", "--heat-treated-after")["fillers"][0]["designation"] == "4643"
    warm = {each["designation"]: each for each in printed("6061", "--above-65-c")["fillers"]}
    assert warm["5356"]["verdict"] == "do_not_use"


def test_the_joint_changes_the_choice_and_is_printed() -> None:
    printed_for = printed("6061", "--weld", "square_groove", "--process", "GMAW")
    assert printed_for["fillers"][0]["designation"] == "4047"
    assert printed_for["judged_for"] == {
        "process": "GMAW",
        "joint": None,
        "weld": "square_groove",
        "base_percent": 80.0,
    }
    edge = printed("5050", "--joint", "edge")
    assert (edge["judged_for"]["weld"], edge["judged_for"]["base_percent"]) == (None, 90.0)
    assert printed("6061")["judged_for"]["weld"] == "fillet"


def test_an_unknown_alloy_is_an_answer_and_not_an_error() -> None:
    document = printed("mystery")
    assert (document["weldable"], document["fillers"]) == ("unknown", [])
    assert "certificate" in document["why"]


@pytest.mark.parametrize("arguments", [("6061", "5052", "5083"), ("",), ("6" * 65,), ("60\n61",)])
def test_bad_input_is_refused_in_one_sentence(arguments: tuple[str, ...]) -> None:
    with pytest.raises(CommandError) as refused:
        printed(*arguments)
    assert refused.value.returncode == 2
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    "arguments", [(), ("6061", "5052", "5083"), ("6061", "--weld", "butt"), ("",)]
)
def test_at_the_shell_bad_input_is_one_line_and_status_2(arguments: tuple[str, ...]) -> None:
    done = run(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert len(done.stderr.splitlines()) == 1


def test_at_the_shell_good_input_is_json_and_status_0() -> None:
    done = run("6061")
    assert (done.returncode, done.stderr) == (0, "")
    validator("filler").validate(json.loads(done.stdout))
