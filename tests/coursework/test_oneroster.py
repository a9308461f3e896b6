"""OneRoster 1.2 sets: a good one is read, a malformed one is refused with file, line and reason.

Every rule and every enumeration below is the OneRoster 1.2 CSV Binding's (1EdTech, 19 September
2022); the limits on the zip are ours.
"""

import io
import zipfile
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursework import oneroster, oneroster_archive, oneroster_tables
from coursework.oneroster_archive import Refused
from tests.coursework import oneroster_sets as sets


def refusal(data: bytes) -> str:
    with pytest.raises(Refused) as caught:
        oneroster.read(data)
    return "\n".join(map(str, caught.value.problems))


def test_a_set_gives_its_classes_with_students_and_teachers() -> None:
    first, second = oneroster.read(sets.a_set())
    assert (first.source_id, first.title, first.code) == ("c1", "ALW 12 A", "ALW 12 A")
    assert [each.name for each in first.students] == ["Quill, Ansa", "Tansy, Bero"]
    assert first.teachers == ("Hale, Odo",)
    ansa = first.students[0]
    assert (ansa.line, ansa.source_id, ansa.student_number) == (2, "u1", "N-u1")
    assert ansa.username == "Ansa.Quill@school"
    assert [each.name for each in second.students] == ["Rook, Cilla"]


def test_the_headers_are_those_that_the_binding_prints() -> None:
    ours = {
        name: ",".join(column.name for column in columns)
        for name, columns in oneroster_tables.FILES.items()
    }
    assert ours == sets.HEADERS
    assert len(oneroster_tables.DATA_FILES) == 21


def test_a_byte_order_mark_is_tolerated_in_every_file() -> None:
    marked = {name: b"\xef\xbb\xbf" + data for name, data in sets.files().items()}
    assert oneroster.read(sets.pack(marked)) == oneroster.read(sets.a_set())


def test_whose_account_is_closed_is_in_no_class() -> None:
    first, _second = oneroster.read(sets.changed("users", 1, enabledUser="false"))
    assert [each.name for each in first.students] == ["Quill, Ansa"]


def test_a_value_that_a_school_adds_to_an_enumeration_is_taken() -> None:
    assert oneroster.read(sets.changed("enrollments", 2, role="ext:auditor"))[1].students == ()


def test_a_user_name_and_a_number_that_cannot_be_one_here_are_left_out() -> None:
    data = sets.changed("users", 0, username="Ansa Quill!", identifier="9" * 36)
    ansa = oneroster.read(data)[0].students[0]
    assert (ansa.username, ansa.student_number, ansa.source_id) == ("", "", "u1")


def test_passwords_and_unused_files_are_not_looked_at() -> None:
    members = sets.files() | {
        "manifest.csv": sets.manifest(demographics="bulk").encode(),
        "demographics.csv": b"\xff\xfe not read",
    }
    assert oneroster.read(sets.pack(members))


# --- what one value can have wrong: file, row, changes, line, words of the reason

VALUES = {
    "a required value is missing": ("users", 0, {"familyName": ""}, 2, "familyName: A value"),
    "a title is missing": ("classes", 1, {"title": ""}, 3, "title: A value is wanted"),
    "an unknown kind of organization": ("orgs", 0, {"type": "shop"}, 2, "none of: department"),
    "an unknown kind of session": ("academicSessions", 0, {"type": "fall"}, 2, "none of: grading"),
    "an unknown kind of class": ("classes", 0, {"classType": "lab"}, 2, "none of: homeroom"),
    "an unknown role": ("roles", 0, {"role": "pupil"}, 2, "none of: aide"),
    "a role of 1.1 in an enrollment": ("enrollments", 0, {"role": "aide"}, 2, "none of: admin"),
    "an unknown role type": ("roles", 1, {"roleType": "ext:main"}, 3, "primary, secondary"),
    "another case of an enumeration": ("enrollments", 1, {"role": "Student"}, 3, "“Student”"),
    "a boolean in capitals": ("users", 0, {"enabledUser": "TRUE"}, 2, "none of: true, false"),
    "a boolean as a digit": ("enrollments", 3, {"primary": "1"}, 5, "primary: “1”"),
    "a date of another order": ("roles", 0, {"beginDate": "08/24/2026"}, 2, "beginDate: “08/24"),
    "a day that is not there": ("academicSessions", 0, {"startDate": "2026-02-30"}, 2, "no date"),
    "a week date": ("enrollments", 0, {"endDate": "2026-W38-1"}, 2, "endDate: “2026-W38"),
    "a date without hyphens": ("enrollments", 0, {"endDate": "20260914"}, 2, "no date"),
    "a school year of two": ("academicSessions", 0, {"schoolYear": "2026/27"}, 2, "four digits"),
    "a session that ends first": ("academicSessions", 0, {"endDate": "2026-08-01"}, 2, "ends bef"),
    "a class of no course": ("classes", 0, {"courseSourcedId": "k9"}, 2, "k9 is not in courses"),
    "a class of no school": ("classes", 0, {"schoolSourcedId": "o9"}, 2, "o9 is not in orgs.csv"),
    "one term of two unknown": ("classes", 1, {"termSourcedIds": "a1,a9"}, 3, "a9 is not in acad"),
    "an enrollment in no class": ("enrollments", 2, {"classSourcedId": "x"}, 4, "x is not in clas"),
    "an enrollment of nobody": ("enrollments", 2, {"userSourcedId": "u9"}, 4, "u9 is not in users"),
    "a role of nobody": ("roles", 2, {"userSourcedId": "u9"}, 4, "u9 is not in users.csv"),
    "a role in no organization": ("roles", 2, {"orgSourcedId": "o9"}, 4, "o9 is not in orgs.csv"),
    "an unknown guardian": ("users", 1, {"agentSourcedIds": "u9"}, 3, "agentSourcedIds: u9"),
    "an id that only differs in case": ("roles", 0, {"orgSourcedId": "O1"}, 2, "O1 is not in orgs"),
    "an id that is there twice": ("users", 1, {"sourcedId": "u1"}, 3, "u1 is there twice"),
    "an id that is too long": ("courses", 0, {"sourcedId": "k" * 256}, 2, "at most 255"),
    "an id with a comma": ("orgs", 0, {"sourcedId": "o,1"}, 2, "no comma"),
    "a status in a bulk file": ("users", 0, {"status": "active"}, 2, "status: “active” in a bulk"),
    "a date of change in a bulk file": (
        "orgs",
        0,
        {"dateLastModified": "2026-08-01T00:00:00Z"},
        2,
        "dateLastModified: “2026",
    ),
    "a carriage return in a field": ("users", 2, {"givenName": "Ci\rlla"}, 4, "A line break"),
    "a line feed in a field": ("users", 2, {"givenName": "Ci\nlla"}, 4, "A line break"),
    "a primary student": ("enrollments", 0, {"primary": "true"}, 2, "Only a teacher is primary"),
    "a sign that cannot be printed": ("users", 0, {"givenName": "A\x00"}, 2, "cannot be printed"),
    "a name that is too long": ("users", 0, {"givenName": "A" * 151}, 2, "longer than 150"),
}


@pytest.mark.parametrize("kind", VALUES)
def test_a_wrong_value_is_refused_with_file_line_and_reason(kind: str) -> None:
    file, place, values, line, words = VALUES[kind]
    said = refusal(sets.changed(file, place, **values))
    assert f"{file}.csv, line {line}: " in said
    assert words in said


def test_a_person_has_one_primary_role_in_an_organization() -> None:
    records = sets.rows()
    records["roles"].append(records["roles"][0] | {"sourcedId": "r-more", "role": "proctor"})
    assert "roles.csv, line 6: A second primary role" in refusal(sets.a_set(records))


def test_every_problem_of_a_set_is_named_and_a_field_of_two_lines_counts_as_two() -> None:
    records = sets.rows()
    records["users"][0]["givenName"] = "An\nsa"
    records["users"][2]["enabledUser"] = "yes"
    records["enrollments"][0]["role"] = "pupil"
    said = refusal(sets.a_set(records)).splitlines()
    assert [each.partition(": ")[0] for each in said] == [
        "users.csv, line 2",
        "users.csv, line 5",
        "enrollments.csv, line 2",
    ]


# --- what a file or the set can have wrong


def text(name: str, old: str, new: str) -> bytes:
    return sets.files()[f"{name}.csv"].decode().replace(old, new).encode()


FILES: dict[str, tuple[Callable[[], bytes], str]] = {
    "a header in another case": (
        lambda: sets.a_set(users=text("users", "sourcedId,status", "sourcedid,status")),
        "users.csv, line 1: The header says “sourcedid” where sourcedId has to stand.",
    ),
    "columns in another order": (
        lambda: sets.a_set(orgs=text("orgs", "name,type", "type,name")),
        "orgs.csv, line 1: The header says “type” where name",
    ),
    "a column too few": (
        lambda: sets.a_set(orgs=text("orgs", ",parentSourcedId", "")),
        "orgs.csv, line 1: The header says “” where parentSourcedId",
    ),
    "a column too many": (
        lambda: sets.a_set(orgs=text("orgs", ",parentSourcedId", ",parentSourcedId,color")),
        "orgs.csv, line 1: The header has a column too many: “color”.",
    ),
    "a row with a field too many": (
        lambda: sets.a_set(orgs=text("orgs", "school,,", "school,,,")),
        "orgs.csv, line 2: 8 fields where the header names 7.",
    ),
    "a header and no row": (
        lambda: sets.a_set(courses=sets.table("courses", []).encode()),
        "courses.csv, line 1: A header and no row.",
    ),
    "an empty file": (lambda: sets.a_set(roles=b""), "roles.csv: Is empty."),
    "a quote that is never closed": (
        lambda: sets.a_set(orgs=text("orgs", "Tern Harbor", '"Tern Harbor')),
        "orgs.csv, line 2: A quotation mark is not closed",
    ),
    "another encoding": (
        lambda: sets.a_set(orgs=text("orgs", "Tern", "Té").decode().encode("cp1252")),
        "orgs.csv, line 2: Is not UTF-8.",
    ),
    "no manifest": (lambda: sets.a_set(manifest=None), "There is no manifest.csv"),
    "a manifest with another header": (
        lambda: sets.a_set(manifest=text("manifest", "propertyName", "property")),
        "manifest.csv, line 1: The header has to be propertyName,value.",
    ),
    "a manifest row of one field": (
        lambda: sets.a_set(manifest=text("manifest", "file.users,bulk", "file.users")),
        "manifest.csv, line 8: A name and a value are wanted.",
    ),
    "a manifest row twice": (
        lambda: sets.a_set(manifest=sets.files()["manifest.csv"] + b"file.users,bulk\r\n"),
        "manifest.csv, line 25: file.users is stated twice.",
    ),
    "a manifest that leaves a file out": (
        lambda: sets.a_set(manifest=sets.manifest(results="").encode()),
        "manifest.csv: file.results has to be absent, bulk or delta.",
    ),
    "an unknown mode": (
        lambda: sets.a_set(manifest=sets.manifest(users="full").encode()),
        "manifest.csv, line 8: file.users has to be absent, bulk or delta.",
    ),
    "a set of changes": (
        lambda: sets.a_set(manifest=sets.manifest(enrollments="delta").encode()),
        "enrollments.csv holds changes alone (delta).",
    ),
    "a needed file stated to be absent": (
        lambda: sets.a_set(users=None, manifest=sets.manifest(users="absent").encode()),
        "users.csv is absent; a roster cannot be read without it.",
    ),
    "a file stated and not there": (
        lambda: sets.a_set(roles=None),
        "manifest.csv, line 9: roles.csv is stated, but not in the zip.",
    ),
    "a file there and not stated": (
        lambda: sets.a_set(results=b"x"),
        "results.csv is there, but stated to be absent.",
    ),
    "version 1.1": (
        lambda: sets.a_set(manifest=sets.manifest(oneroster_version="1.1").encode()),
        "manifest.csv, line 3: This is a OneRoster 1.1 set. Only 1.2 is read",
    ),
    "users of version 1.1": (
        lambda: sets.a_set(
            users=b"sourcedId,status,dateLastModified,enabledUser,orgSourcedIds,role\r\n"
        ),
        "This is a OneRoster 1.1 set.",
    ),
    "no version": (
        lambda: sets.a_set(manifest=sets.manifest(oneroster_version="").encode()),
        "manifest.csv: oneroster.version has to be 1.2.",
    ),
    "another manifest version": (
        lambda: sets.a_set(manifest=sets.manifest(manifest_version="2.0").encode()),
        "manifest.csv, line 2: manifest.version has to be 1.0.",
    ),
    "files in a folder": (
        lambda: sets.pack({f"export/{name}": data for name, data in sets.files().items()}),
        "export/orgs.csv: Lies in a folder.",
    ),
    "a name that climbs out": (
        lambda: sets.pack({"../users.csv": b"x"}),
        "../users.csv: Lies in a folder.",
    ),
    "a method of packing that is not read": (
        lambda: sets.pack(sets.files(), zipfile.ZIP_BZIP2),
        "Is packed with a password, or in a way that is not read.",
    ),
    "no zip": (lambda: b"PK\x03\x04 and nothing else", "This is no zip that can be opened."),
    "more files than a set has": (
        lambda: sets.pack({f"{n}.csv": b"" for n in range(oneroster_archive.MOST_MEMBERS + 1)}),
        "More than 40 files in the zip.",
    ),
    "one file that is too large": (
        lambda: sets.a_set(users=bytes(oneroster_archive.MOST_FILE_BYTES + 1)),
        "users.csv: Is larger than 8 MB unpacked.",
    ),
    "files that are too large together": (
        lambda: sets.pack({f"{n}.csv": bytes(oneroster_archive.MOST_FILE_BYTES) for n in range(4)}),
        "The files are larger than 24 MB unpacked, taken together.",
    ),
    "a zip that is too large": (
        lambda: bytes(oneroster_archive.MOST_PACKED_BYTES + 1),
        "The zip is larger than 8 MB.",
    ),
}


@pytest.mark.parametrize("kind", FILES)
def test_a_malformed_set_is_refused_with_its_reason(kind: str) -> None:
    build, words = FILES[kind]
    assert words in refusal(build())


def test_a_set_of_version_1_1_is_told_so_whatever_else_it_lacks() -> None:
    old = sets.manifest(oneroster_version="1.1", roles="", userProfiles="").encode()
    assert "1.1 set" in refusal(sets.a_set(roles=None, manifest=old))


def test_a_zip_that_understates_a_size_does_not_unpack_more_than_it_states() -> None:
    packed = bytearray(sets.pack({"manifest.csv": bytes(5_000_000)}))
    true, lie = (5_000_000).to_bytes(4, "little"), (10).to_bytes(4, "little")
    assert packed.count(true) == 2
    assert "manifest.csv: Is damaged" in refusal(bytes(packed.replace(true, lie)))


def test_a_damaged_member_is_named() -> None:
    packed = bytearray(sets.pack(sets.files(), zipfile.ZIP_STORED))
    at = packed.find(b"propertyName")
    packed[at : at + 4] = b"PROP"
    assert "manifest.csv: Is damaged and cannot be unpacked." in refusal(bytes(packed))


def test_two_members_of_one_name_are_refused() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("users.csv", "x")
        with pytest.warns(UserWarning, match="Duplicate name"):
            archive.writestr("users.csv", "y")
    assert "Two files of the zip have the same name." in refusal(out.getvalue())


@given(st.binary(max_size=400))
def test_whatever_the_bytes_are_the_set_is_refused_and_never_breaks(data: bytes) -> None:
    refusal(b"PK\x03\x04" + data)


@given(st.dictionaries(st.sampled_from(sorted(sets.HEADERS)), st.binary(max_size=120), min_size=1))
def test_whatever_a_file_holds_the_set_is_refused_and_never_breaks(
    replaced: dict[str, bytes],
) -> None:
    refusal(sets.a_set(None, **replaced))
