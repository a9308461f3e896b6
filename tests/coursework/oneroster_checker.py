"""Checks a OneRoster 1.2 CSV set against the standard's own tables; knows nothing of the exporter.

Headers, required columns, enumerations, kinds and references are those of the OneRoster 1.2 CSV
Binding (1EdTech, final release of 19 September 2022), copied from its tables column by column.
"""

import csv
import io
import re
import zipfile
from collections.abc import Iterator
from datetime import date

# A star behind a name: a value is always wanted.
TABLES = {
    "orgs": "sourcedId* status dateLastModified name* type* identifier parentSourcedId",
    "academicSessions": "sourcedId* status dateLastModified title* type* startDate* endDate* "
    "parentSourcedId schoolYear*",
    "courses": "sourcedId* status dateLastModified schoolYearSourcedId title* courseCode grades "
    "orgSourcedId* subjects subjectCodes",
    "classes": "sourcedId* status dateLastModified title* grades courseSourcedId* classCode "
    "classType* location schoolSourcedId* termSourcedIds* subjects subjectCodes periods",
    "users": "sourcedId* status dateLastModified enabledUser* username* userIds givenName* "
    "familyName* middleName identifier email sms phone agentSourcedIds grades password "
    "userMasterIdentifier resourceSourcedIds preferredGivenName preferredMiddleName "
    "preferredFamilyName primaryOrgSourcedId pronouns",
    "roles": "sourcedId* status dateLastModified userSourcedId* roleType* role* beginDate endDate "
    "orgSourcedId* userProfileSourcedId",
    "enrollments": "sourcedId* status dateLastModified classSourcedId* schoolSourcedId* "
    "userSourcedId* role* primary beginDate endDate",
    "categories": "sourcedId* status dateLastModified title* weight",
    "lineItems": "sourcedId* status dateLastModified title* description assignDate* dueDate* "
    "classSourcedId* categorySourcedId* academicSessionSourcedId* resultValueMin resultValueMax "
    "schoolSourcedId*",
    "results": "sourcedId* status dateLastModified lineItemSourcedId* studentSourcedId* "
    "scoreStatus* score scoreDate* comment textScore classSourcedId inProgress incomplete late "
    "missing",
    "lineItemLearningObjectiveIds": "sourcedId* status dateLastModified lineItemSourcedId* source* "
    "learningObjectiveId*",
    "resultLearningObjectiveIds": "sourcedId* status dateLastModified resultSourcedId* source* "
    "learningObjectiveId* score textScore",
}
NOT_WRITTEN = {
    "classResources",
    "courseResources",
    "demographics",
    "lineItemScoreScales",
    "resources",
    "resultScoreScales",
    "scoreScales",
    "userProfiles",
    "userResources",
}
ALLOWED = {
    ("orgs", "type"): "department school district local state national",
    ("academicSessions", "type"): "gradingPeriod semester schoolYear term",
    ("classes", "classType"): "homeroom scheduled",
    ("roles", "roleType"): "primary secondary",
    ("roles", "role"): "aide counselor districtAdministrator guardian parent principal proctor "
    "relative siteAdministrator student systemAdministrator teacher",
    ("enrollments", "role"): "administrator proctor student teacher",
    ("enrollments", "primary"): "true false",
    ("users", "enabledUser"): "true false",
    ("results", "scoreStatus"): "exempt|fully graded|not submitted|partially graded|submitted",
    **{("results", name): "true false" for name in ("inProgress", "incomplete", "late", "missing")},
    ("lineItemLearningObjectiveIds", "source"): "case unknown",
    ("resultLearningObjectiveIds", "source"): "case unknown",
}
# Where the id in a column of this name stands.
STANDS_IN = {
    "parentSourcedId": "",
    "schoolYearSourcedId": "academicSessions",
    "orgSourcedId": "orgs",
    "primaryOrgSourcedId": "orgs",
    "schoolSourcedId": "orgs",
    "courseSourcedId": "courses",
    "termSourcedIds": "academicSessions",
    "academicSessionSourcedId": "academicSessions",
    "classSourcedId": "classes",
    "userSourcedId": "users",
    "studentSourcedId": "users",
    "categorySourcedId": "categories",
    "lineItemSourcedId": "lineItems",
    "resultSourcedId": "results",
}
DATES = {"startDate", "endDate", "beginDate", "assignDate", "dueDate", "scoreDate"}
NUMBERS = {"weight", "resultValueMin", "resultValueMax", "score"}
YEAR = re.compile(r"\d{4}")
NUMBER = re.compile(r"-?\d+(\.\d+)?")

type Row = dict[str, str]
type Tables = dict[str, list[Row]]


def read(data: bytes) -> Tables:
    """Return the rows of every file of a set, the manifest too, without checking them."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {
            name.removesuffix(".csv"): list(csv.DictReader(_lines(archive.read(name)), strict=True))
            for name in archive.namelist()
        }


def _lines(data: bytes) -> io.StringIO:
    return io.StringIO(data.decode("utf-8"), newline="")


def problems(data: bytes) -> list[str]:
    """Return all that is wrong with a set; empty where nothing is."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        found = [name for name in archive.namelist() if "/" in name or not name.endswith(".csv")]
        heads = {n[:-4]: archive.read(n).decode().split("\r\n")[0] for n in archive.namelist()}
        ends = [n for n in archive.namelist() if not archive.read(n).endswith(b"\r\n")]
    tables = read(data)
    return [
        *(f"{name}: no file of a set" for name in found),
        *(f"{name}: its last line does not end in CR LF (RFC 4180)" for name in ends),
        *_manifest(tables),
        *(f"{name}: header {heads[name]}" for name in _wrong_heads(heads)),
        *_values(tables),
        *_references(tables),
        *_together(tables),
    ]


def _wrong_heads(heads: dict[str, str]) -> list[str]:
    right = {name: columns.replace("*", "").split() for name, columns in TABLES.items()}
    right["manifest"] = ["propertyName", "value"]
    return [name for name, head in heads.items() if head.split(",") != right.get(name)]


def _manifest(tables: Tables) -> Iterator[str]:
    stated = {row["propertyName"]: row["value"] for row in tables["manifest"]}
    if len(stated) != len(tables["manifest"]):
        yield "manifest: something is stated twice"
    if (stated.get("manifest.version"), stated.get("oneroster.version")) != ("1.0", "1.2"):
        yield "manifest: another version"
    for name in {*TABLES, *NOT_WRITTEN}:
        wanted = "bulk" if name in tables else "absent"
        if stated.get(f"file.{name}") != wanted:
            yield f"manifest: file.{name} is {stated.get(f'file.{name}')}, not {wanted}"
    known = {"manifest.version", "oneroster.version", "source.systemName", "source.systemCode"}
    others = stated.keys() - known - {f"file.{n}" for n in {*TABLES, *NOT_WRITTEN}}
    yield from (f"manifest: {each} is no property of it" for each in others)


def _values(tables: Tables) -> Iterator[str]:
    for name, columns in TABLES.items():
        rows = tables.get(name)
        if rows == []:
            yield f"{name}: a header and no row"
        for line, row in enumerate(rows or [], start=2):
            for column in columns.split():
                plain = column.removesuffix("*")
                value = row[plain]
                if reason := _reason(name, plain, value, needed=column.endswith("*")):
                    yield f"{name} row {line}, {plain}: {reason}: {value!r}"


def _reason(name: str, column: str, value: str | None, *, needed: bool) -> str:
    if not value:
        return "a value is wanted" if needed or value is None else ""
    if column in {"status", "dateLastModified", "password"}:
        return "not empty"
    if any(sign in value for sign in "\r\n\0"):
        return "a line break or NUL in a field"
    allowed = ALLOWED.get((name, column), "")
    words = allowed.split("|") if "|" in allowed else allowed.split()
    if words and value not in words:
        return "not of its enumeration"
    return "" if _is_of_its_kind(column, value) else "not of its kind"


def _is_of_its_kind(column: str, value: str) -> bool:
    if column == "sourcedId":
        return len(value) <= 255 and "," not in value
    if column in DATES:
        return _is_date(value)
    wanted = YEAR if column == "schoolYear" else NUMBER if column in NUMBERS else None
    return wanted is None or wanted.fullmatch(value) is not None


def _is_date(value: str) -> bool:
    try:
        return date.fromisoformat(value).isoformat() == value
    except ValueError:
        return False


def _references(tables: Tables) -> Iterator[str]:
    ids = {name: [row.get("sourcedId", "") for row in rows] for name, rows in tables.items()}
    for name, rows in tables.items():
        if name != "manifest" and len(set(ids[name])) < len(ids[name]):
            yield f"{name}: an id is there twice"
        for row in rows:
            for column, value in row.items():
                target = STANDS_IN.get(column, "") if value else ""
                for each in value.split(",") if target else ():
                    if each not in ids.get(target, ()):
                        yield f"{name}, {column}: {each} is not in {target}"


def _together(tables: Tables) -> Iterator[str]:
    """Yield what no single value is guilty of."""
    for row in tables["academicSessions"]:
        if row["endDate"] <= row["startDate"]:
            yield "academicSessions: ends before it begins"
    for row in tables.get("enrollments", ()):
        if row["primary"] == "true" and row["role"] != "teacher":
            yield "enrollments: who is no teacher is primary"
    roles = [row for row in tables.get("roles", ()) if row["roleType"] == "primary"]
    places = [(row["userSourcedId"], row["orgSourcedId"]) for row in roles]
    if len(set(places)) < len(places):
        yield "roles: two primary roles in one organization"
    yield from _grades(tables)


def _grades(tables: Tables) -> Iterator[str]:
    items = {row["sourcedId"]: row for row in tables.get("lineItems", ())}
    for item in items.values():
        if item["dueDate"] < item["assignDate"]:
            yield "lineItems: due before it is assigned"
    for row in tables.get("results", ()):
        if (row["scoreStatus"] in {"submitted", "not submitted"}) == bool(row["score"]):
            yield "results: graded without a score, or a score without a grade"
        if row["score"] and not _in_range(float(row["score"]), items.get(row["lineItemSourcedId"])):
            yield "results: a score outside of its line item's range"


def _in_range(score: float, item: Row | None) -> bool:
    return item is None or float(item["resultValueMin"]) <= score <= float(item["resultValueMax"])
