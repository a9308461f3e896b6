"""`manage.py review`: JSON in, JSON out; what cannot be read is one line and status 2."""

import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from tests.engine.contract import EXAMPLES, example, validator

ROOT = Path(__file__).parent.parent.parent


def printed(*arguments: str) -> Any:
    """Return what the command prints, read as strict JSON."""
    out = io.StringIO()
    call_command("review", *arguments, stdout=out)

    def refuse(name: str) -> None:
        raise AssertionError(name)

    return json.loads(out.getvalue(), parse_constant=refuse)


def refused(path: Path, content: bytes, *arguments: str) -> str:
    """Return the line with which the command refuses a file."""
    path.write_bytes(content)
    with pytest.raises(CommandError) as problem:
        call_command("review", str(path), *arguments)
    assert problem.value.returncode == 2
    line = str(problem.value)
    assert len(line.splitlines()) == 1
    return line


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_one_coupon_gives_one_review(path: Path) -> None:
    found = printed(str(path))
    validator("review").validate(found)
    assert found["id"] == example(path.stem)["id"]


def test_an_array_gives_an_array_in_the_same_order(tmp_path: Path) -> None:
    names = ["gmaw-unit-slip", "fillet-clean", "fillet-faults"]
    file = tmp_path / "coupons.json"
    file.write_text(json.dumps([example(name) for name in names]), encoding="utf-8")
    assert [each["id"] for each in printed(str(file))] == ["lap-07", "tee-01", "tee-02"]
    file.write_text("[]", encoding="utf-8")
    assert printed(str(file)) == []


def lines_printed(content: bytes, tmp_path: Path) -> list[Any]:
    """Return what the command prints for coupons that stand one a line."""
    file, out = tmp_path / "coupons.jsonl", io.StringIO()
    file.write_bytes(content)
    call_command("review", str(file), stdout=out)
    return [json.loads(line) for line in out.getvalue().splitlines()]


def test_one_coupon_a_line_gives_one_review_a_line(tmp_path: Path) -> None:
    names = ["gmaw-unit-slip", "fillet-clean", "fillet-faults"]
    content = "\n\n".join(json.dumps(example(name)) for name in names).encode()
    found = lines_printed(b"\xef\xbb\xbf" + content + b"\n\n", tmp_path)
    assert [each["id"] for each in found] == ["lap-07", "tee-01", "tee-02"]
    assert found == printed_as_array([example(name) for name in names], tmp_path)


def printed_as_array(documents: list[Any], tmp_path: Path) -> Any:
    file = tmp_path / "array.json"
    file.write_text(json.dumps(documents, indent=1), encoding="utf-8")
    return printed(str(file))


def test_a_coupon_written_over_several_lines_is_one_coupon(tmp_path: Path) -> None:
    file = tmp_path / "coupon.json"
    file.write_text('\n{\n "process":\n "GTAW"\n}\n\n', encoding="utf-8")
    assert printed(str(file))["edition"]


@pytest.mark.parametrize(
    ("second", "said"),
    [
        (b'{"process": "TIG"}', "line 3: process: expected one of GTAW, GMAW"),
        (b"[]", "line 3: coupon: expected an object, got a list"),
        (b'{"process":', "line 3: this is not JSON"),
        (b"\xff", "line 3: this is not text in UTF-8"),
    ],
)
def test_a_line_that_cannot_be_read_is_named_and_those_before_it_are_answered(
    tmp_path: Path, second: bytes, said: str
) -> None:
    file, out = tmp_path / "coupons.jsonl", io.StringIO()
    file.write_bytes(b'{"process": "GTAW"}\n\n' + second + b'\n{"process": "GMAW"}\n')
    with pytest.raises(CommandError, match=said) as problem:
        call_command("review", str(file), stdout=out)
    assert problem.value.returncode == 2
    assert len(out.getvalue().splitlines()) == 1


def test_who_reads_along_may_leave_early() -> None:
    command = [sys.executable, "manage.py", "review", "-"]
    with subprocess.Popen(
        command,
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as running:
        assert running.stdin is not None
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdin.write(b'{"process": "GTAW"}\n' * 2000)
        running.stdin.close()
        assert running.stdout.readline()
        running.stdout.close()
        assert running.stderr.read() == b""


def test_a_byte_order_mark_is_no_mistake(tmp_path: Path) -> None:
    file = tmp_path / "coupon.json"
    file.write_bytes(b'\xef\xbb\xbf{"process": "GTAW"}')
    assert printed(str(file))["edition"]


def test_rules_of_the_school_are_applied(tmp_path: Path) -> None:
    rules = tmp_path / "rules.json"
    rules.write_text('{"cleaning_window_h": 2}', encoding="utf-8")
    path = str(EXAMPLES[0])
    assert printed(path, "--rules", str(rules))["rules_hash"] != printed(path)["rules_hash"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "this is not JSON"),
        (b"{'process': 'GTAW'}", "this is not JSON"),
        (b'{"process": "GTAW"} {}', "this is not JSON"),
        (b'{"process": "GTAW", "current_a": NaN}', "NaN is not a number"),
        (b'{"process": "GTAW", "current_a": -Infinity}', "-Infinity is not a number"),
        (b'{"process": "GTAW", "current_a": 1e999}', "current_a: expected a finite number"),
        (b'{"process": "GTAW", "process": "GMAW"}', "process: this member stands there twice"),
        (b'{"process": "GTAW", "filler": {"a": 1, "a": 2}}', "a: this member stands there twice"),
        (b'{"process": "GTAW", "amps": 1}', "amps: no such member"),
        (b'{"process": "GTAW", "current_a": "135"}', "current_a: expected a number"),
        (b'[{"process": "GTAW"}, {"process": "TIG"}]', "[1] process: expected one of GTAW, GMAW"),
        (b'"GTAW"', "expected an object"),
        (b'{"process": "GTAW\xff"}', "not text in UTF-8"),
        (b"[" * 200_000, "nested too deep"),
        (b'{"a":' * 100_000, "nested too deep"),
        (
            b'{"process": "GTAW", "runs": 1' + b"0" * 5000 + b"}",
            "a number in it is too long; write it",
        ),
        (b'{"process": "GTAW", "line\\nbreak": 1}', "no such member"),
    ],
)
def test_what_cannot_be_read_is_one_line_and_status_2(
    tmp_path: Path, content: bytes, said: str
) -> None:
    assert said in refused(tmp_path / "coupon.json", content)


def test_bad_rules_are_refused_by_name(tmp_path: Path) -> None:
    rules = tmp_path / "rules.json"
    rules.write_text('{"cleaning_window_h": -1}', encoding="utf-8")
    line = refused(tmp_path / "coupon.json", b'{"process": "GTAW"}', "--rules", str(rules))
    assert "rules.cleaning_window_h: expected a number above 0" in line


@pytest.mark.parametrize("name", ["no such file", "", "nul\0byte", "."])
def test_a_file_that_cannot_be_opened_is_named(tmp_path: Path, name: str) -> None:
    with pytest.raises(CommandError) as problem:
        call_command("review", f"{tmp_path}/{name}")
    assert problem.value.returncode == 2
    assert "number" not in str(problem.value)


def run(*arguments: str, stdin: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    """Run the command as a user does."""
    command = [sys.executable, "manage.py", "review", *arguments]
    return subprocess.run(command, cwd=ROOT, input=stdin, capture_output=True, check=False)


def test_as_a_program_it_reads_standard_input_and_leaves_with_0_or_2() -> None:
    well = run("-", stdin=EXAMPLES[0].read_bytes())
    assert (well.returncode, well.stderr) == (0, b"")
    assert json.loads(well.stdout)["id"] == example(EXAMPLES[0].stem)["id"]
    badly = run("-", stdin=b'{"process": "GTAW", "current_a": NaN}')
    assert (badly.returncode, badly.stdout) == (2, b"")
    assert badly.stderr.count(b"\n") == 1
    assert b"NaN is not a number" in badly.stderr
