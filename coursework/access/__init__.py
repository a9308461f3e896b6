"""Who may see and do what. Every query of a view starts here and nowhere else.

What is not yours does not exist for you (404). What is yours, but asks for another role, is
refused (403). A student sees the own coupons, an instructor those of the sections taught, a
coordinator everything of the school.
"""

from coursework.access.coupons import (
    coupon,
    coupon_to_grade,
    coupons,
    coupons_of,
    exercise_to_log_for,
    issued_record,
    live_coupons,
    own_coupon,
    own_exercise,
    photo,
    second_look,
)
from coursework.access.office import (
    exercise_of_plan,
    person_to_sign_in,
    plan,
    plans,
    rubric,
    rubrics,
    school_settings,
    staff,
    staff_member,
    term,
    terms,
)
from coursework.access.roles import (
    keys,
    need_role,
    only,
    person,
)
from coursework.access.sections import (
    enrolments,
    labelled_student,
    lead_of,
    leads,
    own_enrolment,
    own_places,
    roster,
    section_for_staff,
    sections,
    sections_beside,
    student_for_staff,
    students_of,
)

__all__ = [
    "coupon",
    "coupon_to_grade",
    "coupons",
    "coupons_of",
    "enrolments",
    "exercise_of_plan",
    "exercise_to_log_for",
    "issued_record",
    "keys",
    "labelled_student",
    "lead_of",
    "leads",
    "live_coupons",
    "need_role",
    "only",
    "own_coupon",
    "own_enrolment",
    "own_exercise",
    "own_places",
    "person",
    "person_to_sign_in",
    "photo",
    "plan",
    "plans",
    "roster",
    "rubric",
    "rubrics",
    "school_settings",
    "second_look",
    "section_for_staff",
    "sections",
    "sections_beside",
    "staff",
    "staff_member",
    "student_for_staff",
    "students_of",
    "term",
    "terms",
]
