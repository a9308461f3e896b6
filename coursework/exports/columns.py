"""The columns of the tables that are exported, each with what stands in it.

Base units, the unit in the name. Times are those of the school's time zone. An empty cell says
that nobody was asked, or that there is nothing.
"""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

type Columns = dict[str, str | Promise]

_PLACE: Final[Columns] = {
    "term": _("The term."),
    "course": _("Code and title of the course plan."),
    "section": _("The section."),
}
_STUDENT: Final[Columns] = {
    "student": _("The student's name."),
    "student_number": _("The student number; text, also where it is made of digits."),
}
_WHICH: Final[Columns] = _STUDENT | {
    "coupon": _("The number of the coupon; each student's count from 1."),
    "exercise_number": _("The place of the exercise in the course plan."),
    "exercise": _("The title of the exercise."),
}

STUDENTS: Final[Columns] = _STUDENT | {
    "joined_on": _("The day of joining the section."),
    "left_on": _("The day of leaving it; empty for whoever is in it."),
    "exercises": _("How many exercises the plan has."),
    "exercises_competent": _("In how many of them the student is competent."),
    "coupons_logged": _("Coupons logged, without those withdrawn."),
    "coupons_good": _("Coupons accepted."),
    "coupons_waiting": _("Coupons that wait for a grade."),
    "record": _("The code of the newest issued term record."),
    "record_issue": _("The number of that issue."),
    "record_issued_on": _("The day on which it was issued."),
    "statement": _("What the student stated after a request for a correction was declined."),
}

EXERCISES: Final[Columns] = _STUDENT | {
    "exercise_number": _("The place of the exercise in the course plan."),
    "exercise": _("The title of the exercise."),
    "state": _("How far the student is in it."),
    "coupons_logged": _("Coupons logged, without those withdrawn."),
    "coupons_good": _("Coupons accepted."),
    "good_coupons_wanted": _("How many accepted ones the exercise asks for."),
    "coupons_waiting": _("Coupons that wait for a grade."),
    "ready_for_sign_off": _("Whether only an instructor's name is wanted."),
    "signed_by": _("The instructor who signed the exercise off."),
    "signed_on": _("The day of the sign-off."),
    "missing": _("What is still wanted, in words."),
    "statement": _("What the student stated after a request for a correction was declined."),
}

COUPONS: Final[Columns] = (
    _PLACE
    | _WHICH
    | {
        "coupon_id": _("The coupon's id, never used twice."),
        "state": _("Waiting for a grade, accepted, returned or withdrawn."),
        "handed_in_at": _("When it was handed in."),
        "logged_by": _("Who logged it for the student; empty where the student did."),
        "corrections": _("How often the student corrected it before it was graded."),
        "process": _("GTAW or GMAW."),
        "joint": _("The joint."),
        "weld": _("The weld."),
        "position": _("The position, ISO 6947."),
        "base_metal_1": _("Alloy and temper of the first piece."),
        "thickness_1_mm": _("Its thickness."),
        "base_metal_2": _("Alloy and temper of the second piece; empty where both are alike."),
        "thickness_2_mm": _("Its thickness."),
        "filler": _("The filler; none where it was welded without."),
        "filler_diameter_mm": _("The diameter of the filler."),
        "polarity": _("AC, DCEP or DCEN."),
        "shielding_gas": _("The shielding gas."),
        "gas_flow_l_min": _("Its flow."),
        "preheat_c": _("The preheat."),
        "runs": _("How many runs; what follows is of the first."),
        "current_a": _("Current."),
        "voltage_v": _("Voltage."),
        "wire_feed_mm_s": _("Wire feed speed."),
        "weld_length_mm": _("Length of the weld."),
        "arc_time_s": _("Time of the arc."),
        "travel_speed_mm_s": _("Travel speed, as worked out."),
        "arc_energy_kj_mm": _("Arc energy, as worked out."),
        "heat_input_kj_mm": _("Heat input: arc energy with the factor of the process."),
        "cleaning_steps": _("The cleaning steps, in the order in which they were done."),
        "minutes_since_cleaning": _("How long before the weld it was cleaned."),
        "imperfections": _("Imperfections that the student saw, by their ISO 6520-1 numbers."),
        "stops": _("Findings that are a stop."),
        "safety_stops": _("Those of them that are about people."),
        "warnings": _("Findings that are a warning."),
        "rules_edition": _("The edition of the rules that found them."),
        "predicted_level": _("The level that the student expected, 1 to 4."),
        "level": _("The level that was given, 1 to 4."),
        "graded_by": _("Who gave it."),
        "graded_at": _("When it was given."),
        "comment": _("The instructor's words to the student."),
        "repeat": _("What to repeat."),
        "remark": _("What the student says about an odd value."),
        "statement": _("What the student stated after a request for a correction was declined."),
        "time_zone": _("The time zone of every time of day."),
        "note": _("What these records are."),
    }
)

FINDINGS: Final[Columns] = _WHICH | {
    "severity": _("stop, warn or advise."),
    "safety": _("Whether it is about people."),
    "rule": _("The rule that fired."),
    "says": _("What it says."),
    "source": _("The source that the rule rests on."),
    "rules_edition": _("The edition of the rules."),
}

GRADES: Final[Columns] = _WHICH | {
    "grade": _("1 the first grade, then one each time it was graded again."),
    "decision": _("accepted or returned."),
    "level": _("The level, 1 to 4."),
    "weighted": _("The weighted mean that the level came from."),
    "capped_by": _("The criterion that capped the level."),
    "comment": _("The instructor's words to the student."),
    "repeat": _("What to repeat."),
    "reason": _("Why it was graded again."),
    "graded_by": _("Who graded."),
    "graded_at": _("When."),
    "rubric": _("The rubric and its version."),
}

SCORES: Final[Columns] = _WHICH | {
    "grade": _("The number of the grade."),
    "criterion": _("The criterion of the rubric."),
    "level": _("The level given for it, 1 to 4."),
}

CHECK_TESTS: Final[Columns] = _WHICH | {
    "test": _("1 the first test, then one a repeat."),
    "kind": _("What was done to see inside."),
    "passed": _("Whether it passed."),
    "largest_opening_mm": _("The largest opening that was measured."),
    "showed": _("What it showed, in words."),
    "tested_by": _("Who tested."),
    "tested_at": _("When."),
}
