"""The files of a OneRoster 1.2 CSV set that are read or written here, column by column.

Source: OneRoster 1.2 CSV Binding, final release of 19 September 2022, 1EdTech. The order of the
columns is fixed and their case counts. The names of the 21 data files are those of the manifest.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

# Name, ``!`` when a value is always wanted, ``:kind`` of value, ``>file`` that its id stands in
# (``>>`` a list of ids). Status and date of the last change are empty in a bulk file.
_COLUMNS: Final = {
    "orgs": "sourcedId!:id status:empty dateLastModified:empty name! type!:orgType identifier"
    " parentSourcedId>orgs",
    "academicSessions": "sourcedId!:id status:empty dateLastModified:empty title!"
    " type!:sessionType startDate!:date endDate!:date parentSourcedId>academicSessions"
    " schoolYear!:year",
    "courses": "sourcedId!:id status:empty dateLastModified:empty"
    " schoolYearSourcedId>academicSessions title! courseCode grades orgSourcedId!>orgs subjects"
    " subjectCodes",
    "classes": "sourcedId!:id status:empty dateLastModified:empty title! grades"
    " courseSourcedId!>courses classCode classType!:classType location schoolSourcedId!>orgs"
    " termSourcedIds!>>academicSessions subjects subjectCodes periods",
    "users": "sourcedId!:id status:empty dateLastModified:empty enabledUser!:boolean username!"
    " userIds givenName! familyName! middleName identifier email sms phone agentSourcedIds>>users"
    " grades password userMasterIdentifier resourceSourcedIds preferredGivenName"
    " preferredMiddleName preferredFamilyName primaryOrgSourcedId>orgs pronouns",
    "roles": "sourcedId!:id status:empty dateLastModified:empty userSourcedId!>users"
    " roleType!:roleType role!:role beginDate:date endDate:date orgSourcedId!>orgs"
    " userProfileSourcedId",
    "enrollments": "sourcedId!:id status:empty dateLastModified:empty classSourcedId!>classes"
    " schoolSourcedId!>orgs userSourcedId!>users role!:enrollmentRole primary:boolean"
    " beginDate:date endDate:date",
}

_HEAD: Final = "sourcedId!:id status:empty dateLastModified:empty "
_GRADEBOOK_COLUMNS: Final = {
    "categories": _HEAD + "title! weight",
    "lineItems": _HEAD + "title! description assignDate!:date dueDate!:date"
    " classSourcedId!>classes categorySourcedId!>categories"
    " academicSessionSourcedId!>academicSessions resultValueMin resultValueMax"
    " schoolSourcedId!>orgs",
    "results": _HEAD + "lineItemSourcedId!>lineItems studentSourcedId!>users"
    " scoreStatus!:scoreStatus score scoreDate!:date comment textScore classSourcedId>classes"
    " inProgress:boolean incomplete:boolean late:boolean missing:boolean",
    "lineItemLearningObjectiveIds": _HEAD + "lineItemSourcedId!>lineItems"
    " source!:objectiveSource learningObjectiveId!",
    "resultLearningObjectiveIds": _HEAD + "resultSourcedId!>results source!:objectiveSource"
    " learningObjectiveId! score textScore",
}

OPTIONAL_FILES: Final = (
    "categories",
    "classResources",
    "courseResources",
    "demographics",
    "lineItemLearningObjectiveIds",
    "lineItems",
    "lineItemScoreScales",
    "resources",
    "resultLearningObjectiveIds",
    "results",
    "resultScoreScales",
    "scoreScales",
    "userProfiles",
    "userResources",
)
MODES: Final = ("absent", "bulk", "delta")

ENUMERATIONS: Final = {
    "orgType": ("department", "school", "district", "local", "state", "national"),
    "sessionType": ("gradingPeriod", "semester", "schoolYear", "term"),
    "classType": ("homeroom", "scheduled"),
    "roleType": ("primary", "secondary"),
    "role": (
        "aide",
        "counselor",
        "districtAdministrator",
        "guardian",
        "parent",
        "principal",
        "proctor",
        "relative",
        "siteAdministrator",
        "student",
        "systemAdministrator",
        "teacher",
    ),
    "enrollmentRole": ("administrator", "proctor", "student", "teacher"),
    "scoreStatus": (
        "exempt",
        "fully graded",
        "not submitted",
        "partially graded",
        "submitted",
    ),
    "objectiveSource": ("case", "unknown"),
    "boolean": ("true", "false"),
}
# Those that a school may extend with values that begin with ``ext:``.
EXTENDABLE: Final = {
    "orgType",
    "sessionType",
    "classType",
    "role",
    "enrollmentRole",
    "scoreStatus",
    "objectiveSource",
}


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its exact name and what may stand in it."""

    name: str
    required: bool
    kind: str
    refers_to: str
    is_list: bool


def _column(text: str) -> Column:
    found = re.fullmatch(r"(\w+)(!?)(?::(\w+))?(?:(>>?)(\w+))?", text)
    if found is None:
        raise ValueError(text)
    name, required, kind, arrow, file = found.groups(default="")
    return Column(name, bool(required), kind, file, arrow == ">>")


def _files(columns: Mapping[str, str]) -> dict[str, tuple[Column, ...]]:
    return {name: tuple(map(_column, each.split())) for name, each in columns.items()}


# What a roster is read from, and what a gradebook has besides.
FILES: Final = _files(_COLUMNS)
GRADEBOOK_FILES: Final = _files(_GRADEBOOK_COLUMNS)
DATA_FILES: Final = (*FILES, *OPTIONAL_FILES)
