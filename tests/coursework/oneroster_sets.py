"""A small OneRoster 1.2 set, and the same set with one thing wrong."""

import csv
import io
import zipfile
from collections.abc import Mapping

# Headers as the OneRoster 1.2 CSV Binding (19 September 2022) prints them.
HEADERS = {
    "orgs": "sourcedId,status,dateLastModified,name,type,identifier,parentSourcedId",
    "academicSessions": "sourcedId,status,dateLastModified,title,type,startDate,endDate,"
    "parentSourcedId,schoolYear",
    "courses": "sourcedId,status,dateLastModified,schoolYearSourcedId,title,courseCode,grades,"
    "orgSourcedId,subjects,subjectCodes",
    "classes": "sourcedId,status,dateLastModified,title,grades,courseSourcedId,classCode,classType,"
    "location,schoolSourcedId,termSourcedIds,subjects,subjectCodes,periods",
    "users": "sourcedId,status,dateLastModified,enabledUser,username,userIds,givenName,familyName,"
    "middleName,identifier,email,sms,phone,agentSourcedIds,grades,password,userMasterIdentifier,"
    "resourceSourcedIds,preferredGivenName,preferredMiddleName,preferredFamilyName,"
    "primaryOrgSourcedId,pronouns",
    "roles": "sourcedId,status,dateLastModified,userSourcedId,roleType,role,beginDate,endDate,"
    "orgSourcedId,userProfileSourcedId",
    "enrollments": "sourcedId,status,dateLastModified,classSourcedId,schoolSourcedId,userSourcedId,"
    "role,primary,beginDate,endDate",
}
ABSENT = (
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

type Row = dict[str, str]
type Rows = dict[str, list[Row]]


def rows() -> Rows:
    """Return a school, a fall term whose school year ends in 2027, two classes, four people."""
    ids = [("u1", "Ansa", "Quill"), ("u2", "Bero", "Tansy"), ("u3", "Cilla", "Rook")]
    users = [_user(key, given, family) for key, given, family in ids]
    teacher = _user("t1", "Odo", "Hale")
    return {
        "orgs": [{"sourcedId": "o1", "name": "Tern Harbor", "type": "school"}],
        "academicSessions": [
            {
                "sourcedId": "a1",
                "title": "Fall 2026",
                "type": "term",
                "startDate": "2026-08-24",
                "endDate": "2026-11-16",
                "schoolYear": "2027",
            }
        ],
        "courses": [{"sourcedId": "k1", "title": "Aluminum Practice", "orgSourcedId": "o1"}],
        "classes": [_class("c1", "ALW 12 A", "a1"), _class("c2", "ALW 12 B", "a1,a1")],
        "users": [*users, teacher],
        "roles": [
            *(_role(user["sourcedId"], "student") for user in users),
            _role("t1", "teacher"),
        ],
        "enrollments": [
            _enrollment("e1", "c1", "u1", "student"),
            _enrollment("e2", "c1", "u2", "student"),
            _enrollment("e3", "c2", "u3", "student"),
            _enrollment("e4", "c1", "t1", "teacher") | {"primary": "true"},
        ],
    }


def _user(key: str, given: str, family: str) -> Row:
    named = {"givenName": given, "familyName": family, "username": f"{given}.{family}@school"}
    return {"sourcedId": key, "enabledUser": "true", "identifier": f"N-{key}"} | named


def _class(key: str, title: str, terms: str) -> Row:
    course = {"courseSourcedId": "k1", "classType": "scheduled", "schoolSourcedId": "o1"}
    return {"sourcedId": key, "title": title, "termSourcedIds": terms, "classCode": title} | course


def _role(user: str, role: str) -> Row:
    place = {"userSourcedId": user, "orgSourcedId": "o1"}
    return {"sourcedId": f"r-{user}", "roleType": "primary", "role": role} | place


def _enrollment(key: str, of: str, user: str, role: str) -> Row:
    place = {"classSourcedId": of, "schoolSourcedId": "o1", "userSourcedId": user}
    return {"sourcedId": key, "role": role} | place


def table(name: str, records: list[Row]) -> str:
    """Return one file of the set as text."""
    return written(HEADERS[name].split(","), records).decode()


def written(columns: list[str], records: list[Row]) -> bytes:
    """Return records as CSV."""
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(records)
    return out.getvalue().encode()


def manifest(**changes: str) -> str:
    """Return the manifest; ``oneroster_version="1.1"`` or ``users="delta"`` changes a value."""
    stated = {"manifest.version": "1.0", "oneroster.version": "1.2"}
    stated |= {f"file.{name}": "bulk" for name in HEADERS}
    stated |= {f"file.{name}": "absent" for name in ABSENT}
    for name, value in changes.items():
        key = name.replace("_", ".") if "_" in name else f"file.{name}"
        stated[key] = value
    lines = [f"{name},{value}" for name, value in stated.items() if value]
    return "\r\n".join(["propertyName,value", *lines, ""])


def files(records: Rows | None = None) -> dict[str, bytes]:
    """Return the files of the set by name, the manifest among them."""
    texts = {name: table(name, each) for name, each in (records or rows()).items()}
    texts["manifest"] = manifest()
    return {f"{name}.csv": text.encode() for name, text in texts.items()}


def pack(members: Mapping[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """Return files as a zip."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return out.getvalue()


def a_set(records: Rows | None = None, **replaced: bytes | None) -> bytes:
    """Return the set as a zip; ``users=b"..."`` gives another file, ``users=None`` none."""
    members = files(records)
    for name, data in replaced.items():
        members.pop(f"{name}.csv", None)
        if data is not None:
            members[f"{name}.csv"] = data
    return pack(members)


def changed(file: str, place: int, **values: str) -> bytes:
    """Return the set with some values of one row changed; the first row of a file is 0."""
    records = rows()
    records[file][place] |= values
    return a_set(records)
