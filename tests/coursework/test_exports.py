"""Records as tables: readable, and deaf to hostile text."""

import csv
import io
import sys
from importlib.machinery import ModuleSpec

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursework import exports
from tests.coursework.records import HOSTILE, a_record


class NoPango:
    """Finds that Pango is missing, as WeasyPrint does where it is not installed."""

    @staticmethod
    def find_spec(name: str, _path: object = None, _target: object = None) -> ModuleSpec | None:
        if name == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return None


def test_without_pango_there_is_no_pdf_and_nothing_else_is_missing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    monkeypatch.setattr(sys, "meta_path", [NoPango, *sys.meta_path])
    with pytest.raises(exports.NoPdf):
        exports.pdf(a_record())
    assert exports.record_csv(a_record())


# --- tables


def rows_of(table: bytes) -> list[dict[str, str]]:
    assert table.startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(io.StringIO(table.decode("utf-8-sig"), newline="")))


def test_a_record_is_a_row_an_exercise_with_units_in_the_names() -> None:
    tee, lap = rows_of(exports.record_csv(a_record()))
    assert (tee["record"], tee["student"], tee["exercise"]) == ("7QK4-MB2X", "Ansa Quill", "Tee")
    assert (tee["state"], tee["coupons_good"], tee["signed_on"]) == ("competent", "2", "2026-11-20")
    assert tee["travel_speed_mm_s_mean"] == "4.0417"
    assert tee["travel_speed_mm_s_coupons_in_window"] == "5"
    assert (lap["filler"], lap["best_level"], lap["travel_speed_mm_s_mean"]) == ("none", "", "")
    assert "not a welder qualification" in tee["note"]


def test_days_are_those_of_the_school() -> None:
    """17:30 UTC on November 20 is the 21st in Auckland (UTC+13 in summer time)."""
    (tee, _lap) = rows_of(exports.record_csv(a_record(time_zone="Pacific/Auckland")))
    assert tee["issued_on"] == "2026-11-21"


def test_a_record_without_exercises_is_a_head_alone() -> None:
    assert rows_of(exports.record_csv(a_record(exercises=()))) == []


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_stays_text_in_a_table(hostile: str) -> None:
    (tee, _lap) = rows_of(exports.record_csv(a_record(student=hostile)))
    assert tee["student"].removeprefix("'") == hostile
    assert not tee["student"].startswith("=")


@given(st.text(max_size=40))
def test_no_text_begins_a_formula_and_none_is_lost(text: str) -> None:
    """OWASP ASVS 5.0.0, 1.2.10: = + - @, tab, carriage return and NUL at the beginning."""
    safe = str(exports.cell(text))
    assert safe[:1] not in {"=", "+", "-", "@", "\t", "\r", "\0"}
    shown = "".join(map(sign_for, text))
    assert safe in {shown, f"'{shown}"}


def sign_for(character: str) -> str:
    """Return what stands for a character: for a control one its picture (Unicode block 2400)."""
    if character < " " and character not in "\t\n\r":
        return chr(0x2400 + ord(character))
    lost = character in "\ufffe\uffff" or "\ud800" <= character <= "\udfff"
    return "\u2421" if character == "\x7f" else "\ufffd" if lost else character


@given(st.integers() | st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_stay_numbers(number: float) -> None:
    assert exports.cell(number) == number


@given(st.text(st.characters(codec="utf-8"), max_size=300))
def test_a_file_name_fits_a_header_and_a_disk(name: str) -> None:
    found = exports.file_name(a_record(student=name), "pdf")
    assert found.isascii()
    assert found.endswith("7QK4-MB2X.pdf")
    assert len(found) < 100
    assert not set(found) & set('/\\"\r\n;:')
