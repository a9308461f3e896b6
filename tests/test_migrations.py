"""What was stored by the first release is carried over by the migrations that follow."""

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.state import StateApps

from coursework.audit_chain import hash_of

pytestmark = pytest.mark.django_db(transaction=True)
APP = "coursework"
AT = datetime(2026, 9, 14, 15, 0, tzinfo=UTC)


def migrated(name: str) -> StateApps:
    """Return the models of the app as they are after a migration, with the database at it."""
    executor = MigrationExecutor(connection)
    executor.migrate([(APP, name)])
    executor.loader.build_graph()
    return executor.loader.project_state([(APP, name)]).apps


@pytest.fixture
def first_release() -> Iterator[StateApps]:
    """The tables as they first landed; afterwards all migrations are applied again."""
    yield migrated("0001_first_tables")
    executor = MigrationExecutor(connection)
    executor.migrate(executor.loader.graph.leaf_nodes())


@pytest.mark.postgres
def test_grades_are_released_and_safety_stops_counted(first_release: StateApps) -> None:
    def made(model: str, **columns: object) -> object:
        return first_release.get_model(APP, model).objects.create(**columns)

    school = made("School", name="Tern Harbor Technical Institute")
    made("SchoolSettings", school=school, limit_sets={})
    term = made(
        "Term", school=school, name="Fall 2026", starts_on=date(2026, 8, 24),
        ends_on=date(2026, 12, 11),
    )  # fmt: skip
    plan = made("CoursePlan", school=school, code="ALW 12", title="Aluminum Practice")
    rubric = made("Rubric", school=school, title="Practice coupon")
    version = made("RubricVersion", rubric=rubric, number=1, published_at=AT)
    exercise = made(
        "Exercise", plan=plan, place=1, title="Bead", process="GTAW", joint="bead_on_plate",
        weld="bead", position="PA", alloy="3003", thickness_mm=3.2, rubric=rubric,
    )  # fmt: skip
    section = made("Section", term=term, plan=plan, name="A", join_code="AAAAAAAA")
    user = made("User", username="ansa", school=school)
    enrolment = made("Enrolment", section=section, user=user, joined_at=AT)
    coupon = made(
        "Coupon", client_id="00000000-0000-0000-0000-000000000001", content_hash="x",
        enrolment=enrolment, section=section, exercise=exercise, number=1, handed_in_at=AT,
    )  # fmt: skip
    facts = made(
        "CouponFacts", coupon=coupon, number=1, stated_by=user, stated_at=AT, process="GTAW"
    )
    made(
        "Grade", coupon=coupon, number=1, facts=facts, rubric_version=version, grader=user,
        graded_at=AT, decision="accepted", level=3, weighted=3,
    )  # fmt: skip
    assessment = made("Assessment", facts=facts, edition="2026.1", assessed_at=AT, stops=2)
    for place, rule in enumerate(("safety-chlorinated-solvent", "setup-gas"), start=1):
        made(
            "Finding", assessment=assessment, place=place, rule=rule, severity="stop", says="",
            source="practice",
        )  # fmt: skip

    now = migrated("0003_carry_over")
    assert now.get_model(APP, "Grade").objects.get().released_at == AT
    assert now.get_model(APP, "Assessment").objects.get().safety_stops == 1
    assert now.get_model(APP, "SchoolSettings").objects.get().limit_sets == []


@pytest.mark.postgres
def test_the_audit_opens_with_the_records_that_were_issued_before_it(
    first_release: StateApps,
) -> None:
    def made(model: str, **columns: object) -> object:
        return before.get_model(APP, model).objects.create(**columns)

    before = migrated("0003_carry_over")
    school = made("School", name="Tern Harbor Technical Institute")
    term = made(
        "Term", school=school, name="Fall 2026", starts_on=date(2026, 8, 24),
        ends_on=date(2026, 12, 11),
    )  # fmt: skip
    plan = made("CoursePlan", school=school, code="ALW 12", title="Aluminum Practice")
    section = made("Section", term=term, plan=plan, name="A", join_code="AAAAAAAA")
    user = made("User", username="ansa", first_name="Ansa", last_name="Quill", school=school)
    enrolment = made("Enrolment", section=section, user=user, joined_at=AT)
    for issue in (1, 2):
        made(
            "IssuedRecord", enrolment=enrolment, code=f"AAAA-AAA{issue}", issue=issue,
            master="{}", sha256=f"{issue:064}", issued_by=user, issued_at=AT,
        )  # fmt: skip

    rows = list(migrated("0006_audit").get_model(APP, "AuditRow").objects.order_by("number"))
    assert [(each.number, each.about_name) for each in rows] == [
        (1, "AAAA-AAA1, issue 1 of Ansa Quill"),
        (2, "AAAA-AAA2, issue 2 of Ansa Quill"),
    ]
    assert [json.loads(each.after)["sha256"] for each in rows] == [f"{1:064}", f"{2:064}"]
    assert [each.hash for each in rows] == [hash_of(each) for each in rows]
    assert rows[1].previous_hash == rows[0].hash


@pytest.mark.postgres
def test_every_school_that_is_there_gets_an_id_of_its_own(first_release: StateApps) -> None:
    schools = migrated("0006_audit").get_model(APP, "School").objects
    for name in ("Tern Harbor Technical Institute", "Another Institute"):
        schools.create(name=name)
    found = migrated("0007_school_ids").get_model(APP, "School").objects.all()
    assert len({each.public_id for each in found}) == 2
    assert None not in {each.public_id for each in found}
