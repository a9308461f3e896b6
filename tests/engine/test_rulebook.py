"""The conditions that stand in the tables, and the rules that are read from them."""

from dataclasses import is_dataclass
from importlib.resources import files
from typing import Any, get_args, get_type_hints

import pytest

from weldlog.engine import cleaning, entry, safety, setup
from weldlog.engine.conditions import condition
from weldlog.engine.facts import BaseMetal, CleaningStep, Facts, NoFiller, Process
from weldlog.engine.rulebook import Rulebook, by_process, judge, read_rules
from weldlog.engine.tables import rows

TABLES: list[tuple[str, str, type]] = [
    *(
        (name, "when", Facts)
        for name in (
            "setup_current.tsv",
            "setup_gas.tsv",
            "setup_torch.tsv",
            "setup_wire.tsv",
            "cleaning_handling.tsv",
            "safety_setup.tsv",
            "cautions.tsv",
            "contradictions.tsv",
        )
    ),
    *((name, "when", CleaningStep) for name in ("cleaning_tools.tsv", "safety_steps.tsv")),
    *((name, "when", BaseMetal) for name in ("cleaning_stock.tsv", "safety_stock.tsv")),
    ("cautions.tsv", "step", CleaningStep),
    ("cautions.tsv", "metal", BaseMetal),
]


def hint_of(kind: type, member: str) -> Any:
    """Return the type hint of a dotted member, or fail where there is no such member."""
    first, _, rest = member.partition(".")
    hint = get_type_hints(kind)[first]
    if not rest:
        return hint
    inside = next(each for each in get_args(hint) if is_dataclass(each) and each is not NoFiller)
    return hint_of(inside, rest)  # type: ignore[arg-type]


def words_of(hint: Any) -> set[object]:
    """Return every choice that a hint allows."""
    parts = get_args(hint)
    return {each for part in parts for each in (words_of(part) or {part})} if parts else set()


@pytest.mark.parametrize(("table", "column", "kind"), TABLES)
def test_conditions_speak_of_members_and_choices_that_exist(
    table: str, column: str, kind: type
) -> None:
    for row in rows(table):
        for case in row[column].split(" or ") if row[column] else ():
            for test in case.split(" and "):
                member, _, said = test.partition(" ")
                hint = hint_of(kind, member)
                relation, _, choices = said.rpartition(" ")
                if relation in ("is", "is not") and choices not in ("true", "false", "logged"):
                    assert set(choices.split("/")) - {"no_filler"} <= words_of(hint), test


@pytest.mark.parametrize(
    ("text", "coupon", "met", "missing"),
    [
        ("draught is true", Facts(process="GTAW", draught=True), True, ()),
        ("draught is true", Facts(process="GTAW"), False, ("draught",)),
        ("tabs is not true", Facts(process="GTAW"), True, None),
        ("tabs is not logged", Facts(process="GTAW"), True, None),
        ("tabs is logged", Facts(process="GTAW", tabs=False), True, None),
        ("tabs is logged", Facts(process="GTAW"), False, ()),
        ("process is GMAW and draught is true", Facts(process="GTAW"), False, ()),
        ("draught is true or air_c below 10", Facts(process="GTAW", air_c=9), True, None),
        ("weave_mm above 4 x filler.diameter_mm", Facts(process="GMAW", weave_mm=5), False,
         ("filler.diameter_mm",)),
        ("air_c at least 10", Facts(process="GTAW", air_c=10), True, None),
    ],
)  # fmt: skip
def test_a_condition_holds_fails_or_names_what_is_missing(
    text: str, coupon: Facts, met: bool, missing: tuple[str, ...] | None
) -> None:
    outcome = condition(text).of(coupon)
    assert outcome.met is met
    if not met:
        assert outcome.fields == missing


@pytest.mark.parametrize("text", ["", "draught", "draught was true", "air_c below cold"])
def test_what_is_not_a_condition_cannot_be_read(text: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011
        condition(text)


@pytest.mark.parametrize("process", get_args(Process))
def test_leaving_out_the_process_changes_no_verdict(process: Process) -> None:
    table = Rulebook([*read_rules("setup_current.tsv"), *read_rules("setup_gas.tsv")])
    coupon = Facts(process=process, gas_flow_l_min=1, torch_angle_deg=-3, polarity="DCEN")
    assert list(judge(by_process(table)[process], coupon)) == list(judge(table, coupon))


def test_every_table_of_rules_is_read_by_a_family_and_checked_here() -> None:
    families = (cleaning, setup, safety, entry)
    known = {rule.id for family in families for rule in family.RULES}
    tables = {table for table, _, _ in TABLES if table != "cautions.tsv"}
    assert {row["rule"] for table in tables for row in rows(table)} <= known
    shipped = files("weldlog.engine").joinpath("tables").iterdir()
    heads = {each.name: each.read_text(encoding="utf-8").partition("\n")[0] for each in shipped}
    assert {name for name, head in heads.items() if head.startswith("rule\t")} == tables
