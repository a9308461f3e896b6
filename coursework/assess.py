"""The one bridge to the engine: a coupon's facts are read, reviewed and the findings stored."""

from datetime import datetime

from django.db import transaction
from django.db.models import Q

from coursework.models import Assessment, CouponFacts, Finding, SchoolSettings
from coursework.models.facts import Document
from weldlog.engine import cleaning_order
from weldlog.engine import facts as engine_facts
from weldlog.engine.review import EDITION, Review, review
from weldlog.engine.school import SchoolRules, read_rules

CLEANING_ORDER_RULES = frozenset(rule.id for rule in cleaning_order.RULES)
SAFETY_STOP = Q(severity=Finding.Severity.STOP, rule__startswith="safety-")
FACT_ROWS = ("base_metals", "runs", "cleaning_steps", "imperfections")


def school_rules(settings: SchoolSettings) -> SchoolRules:
    """Return the engine's rules as the school has set them."""
    return read_rules(settings.rules())


def review_document(document: Document, settings: SchoolSettings) -> Review:
    """Review one coupon document without storing anything.

    Raises
    ------
    weldlog.engine.reading.Unreadable
        When the document is not one that a coupon may state.
    """
    return review_with(document, school_rules(settings))


def review_with(document: Document, rules: SchoolRules) -> Review:
    """Review one coupon document by the engine's rules as a school has set them."""
    return review(engine_facts.read(document), rules)


def unsaved_assessment(
    facts: CouponFacts, found: Review, at: datetime
) -> tuple[Assessment, list[Finding]]:
    """Return the rows that hold a review, not yet saved."""
    said = found.as_json()
    figures = said["figures"]
    severities = [each["severity"] for each in said["findings"]]
    assessment = Assessment(
        facts=facts,
        edition=EDITION,
        rules_hash=said.get("rules_hash", ""),
        assessed_at=at,
        travel_speed_mm_s=figures.get("travel_speed_mm_s"),
        arc_energy_kj_mm=figures.get("arc_energy_kj_mm"),
        heat_input_kj_mm=figures.get("heat_input_kj_mm"),
        stops=severities.count("stop"),
        safety_stops=sum(
            each["severity"] == "stop" and each["rule"].startswith("safety-")
            for each in said["findings"]
        ),
        warns=severities.count("warn"),
        cleaning_slips=sum(each["rule"] in CLEANING_ORDER_RULES for each in said["findings"]),
        figures=figures,
        causes=said["causes"],
        acceptance=said["acceptance"],
        not_assessed=said["not_assessed"],
        cautions=said["cautions"],
        next_try=said.get("next_try"),
    )
    findings = [
        Finding(assessment=assessment, place=place, **each)
        for place, each in enumerate(said["findings"], start=1)
    ]
    return assessment, findings


@transaction.atomic
def assess(facts: CouponFacts, settings: SchoolSettings, at: datetime) -> Assessment:
    """Review the facts of a coupon and store what was found; earlier assessments stay.

    Parameters
    ----------
    facts : CouponFacts
        Saved, with its rows.
    settings : SchoolSettings
        Of the school whose coupon it is.
    at : datetime
        When it was assessed.
    """
    assessment, findings = unsaved_assessment(
        facts, review_document(facts.document(), settings), at
    )
    assessment.save()
    Finding.objects.bulk_create(findings)
    return assessment
