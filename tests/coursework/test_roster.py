"""Class lists as text: any sensible one is read, every line that is not says why."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursework import roster
from coursework.roster import Row

ANSA = ("Quill", "Ansa", "S00001")


def first(text: str) -> tuple[str, str, str]:
    found = roster.read(text)
    assert found.problems == ()
    row = found.rows[0]
    return row.last_name, row.first_name, row.student_number


LISTS = {
    "plain": "last name,first name,student number\nQuill,Ansa,S00001\n",
    "another order and case": "STUDENT NUMBER,First Name,LAST NAME\nS00001,Ansa,Quill\n",
    "semicolons": "Last name;First name;Student no.\nQuill;Ansa;S00001\n",
    "tabs, as a spreadsheet pastes": "Last Name\tFirst Name\tID\nQuill\tAnsa\tS00001",
    "a byte-order mark": "\ufeffSurname,Given name,Number\nQuill,Ansa,S00001\n",
    "quoted fields": '"Surname","Forename","Student-ID"\r\n"Quill","Ansa","S00001"\r\n',
    "one column for the name": 'Student name,ID\n"Quill, Ansa",S00001\n',
    "first name first": "Name;Student_ID\nAnsa Quill;S00001\n",
    "columns that are not wanted": "e-mail,last name,phone,first name,id\nx@y.example,Quill,1,Ansa,"
    "S00001\n",
    "blank lines and loose spaces": "\n\n last name , first name,id\n\n  Quill ,  Ansa,S00001 \n\n",
    "empty columns at the end": "last name,first name,id,,\nQuill,Ansa,S00001,,\n",
    "old line ends": "last name,first name,id\rQuill,Ansa,S00001\r",
    "a hash for number": "last,first,student #\nQuill,Ansa,S00001\n",
}


@pytest.mark.parametrize("kind", LISTS)
def test_any_sensible_list_is_read(kind: str) -> None:
    assert first(LISTS[kind]) == ANSA


def test_a_list_of_names_alone_is_read_with_commas_in_it() -> None:
    found = roster.read("Name\nQuill, Ansa\nBero Tansy\nvan der Rook, Cilla Maria\n")
    assert [(each.last_name, each.first_name) for each in found.rows] == [
        ("Quill", "Ansa"),
        ("Tansy", "Bero"),
        ("van der Rook", "Cilla Maria"),
    ]


def test_columns_that_were_not_read_are_named() -> None:
    assert roster.read("last name,first name,E-mail\nQuill,Ansa,a@b.example").unread == ("E-mail",)


WRONG = {
    "nothing": ("  \n ", "There is nothing in the list yet."),
    "no header": ("Quill,Ansa\nTansy,Bero", "Line 1: No header."),
    "no names": ("student number,e-mail\n1,x", "Line 1: The header names no columns for last"),
    "one name alone": ("last name,id\nQuill,1", "Line 1: The header names no columns for last"),
    "a column twice": ("last,first,surname\nQuill,Ansa,Quill", "Line 1: Two columns"),
    "a header alone": ("last name,first name\n", "Line 1: The header is there, but no student"),
    "no first name": ("last,first\nQuill,Ansa\nTansy,\n", "Line 3: A last name and a first name"),
    "a name of one word": ("name,id\nAnsa Quill,1\nBero,2", "Line 3: A last name and a first name"),
    "an unquoted comma": (
        "name,id\nQuill, Ansa,1\n",
        "Line 2: 3 fields, but the header names 2. Quote names with a comma.",
    ),
    "a quote not closed": ('last,first\n"Quill,Ansa\nTansy,Bero', "Line 2: A quotation mark"),
    "something after a quote": ('last,first\nA,B\n"Quill"s,Ansa', "Line 3: A quotation mark"),
    "a number twice": ("last,first,id\nQuill,Ansa,7\nTansy,Bero,7", "Line 3: This is the student"),
    "a user name twice in another case": (
        "last,first,user\nQuill,Ansa,aq\nTansy,Bero,AQ",
        "Line 3: This is the user name of line 2.",
    ),
    "a name twice": ("last,first\nQuill,Ansa\nQUILL,ansa", "Line 3: Same name as line 2."),
    "a user name that is none": ("last,first,user\nQuill,Ansa,a q", "Line 2: “a q” is no user"),
    "a number too long": ("last,first,id\nQuill,Ansa," + "1" * 25, "longer than 24"),
    "a sign that cannot be printed": ("last,first\nQuill,An\x00sa", "Line 2: There is a sign"),
    "a line after one of two lines": ('last,first\n"Qu\nill",Ansa\nTansy,', "Line 4: A last name"),
}


@pytest.mark.parametrize("kind", WRONG)
def test_a_list_that_cannot_be_read_says_where_and_why(kind: str) -> None:
    text, words = WRONG[kind]
    assert words in "\n".join(map(str, roster.read(text).problems))


def test_two_of_a_name_are_two_people_where_numbers_tell_them_apart() -> None:
    found = roster.read("last,first,id\nQuill,Ansa,1\nQuill,Ansa,2\n")
    assert (len(found.rows), found.problems) == (2, ())


def test_every_wrong_line_is_named_in_order_beside_the_good_ones() -> None:
    found = roster.read("last,first,id\nQuill,Ansa,1\nTansy\nRook,Cilla,1\n,Dara,4\n")
    assert [each.line for each in found.problems] == [3, 4, 5]
    assert [each.name for each in found.rows] == ["Quill, Ansa", "Rook, Cilla"]


def test_a_list_longer_than_any_class_is_refused() -> None:
    lines = "".join(f"Quill,Ansa,{n}\n" for n in range(roster.MOST_ROWS + 1))
    assert "import one class at a time" in str(roster.read("last,first,id\n" + lines).problems[0])


ENCODINGS = {
    "UTF-8": "utf-8",
    "UTF-8 with a mark": "utf-8-sig",
    "Windows-1252": "cp1252",
    "UTF-16": "utf-16",
}


@pytest.mark.parametrize("name", ENCODINGS)
def test_a_file_is_read_in_its_encoding_which_is_named(name: str) -> None:
    text, said = roster.decode("last,first\nNuñez,Zoë\n".encode(ENCODINGS[name]))
    assert said == name.removesuffix(" with a mark")
    assert (roster.read(text).rows[0].name) == "Nuñez, Zoë"


def test_bytes_that_stand_for_nothing_are_no_text() -> None:
    with pytest.raises(roster.NotText):
        roster.decode(b"last,first\nQu\x81ill,Ansa")


SIGNS = st.text(max_size=60) | st.text(alphabet='"\r\n,;\tNameidlstfr \x00\ufeff', max_size=80)


@given(SIGNS)
def test_any_text_gives_rows_or_problems(text: str) -> None:
    found = roster.read(text)
    assert found.rows or found.problems


@given(SIGNS)
def test_any_text_below_a_header_gives_rows_or_problems(text: str) -> None:
    found = roster.read("last name,first name,student number\n" + text)
    assert found.rows or found.problems
    for row in found.rows:
        assert row.last_name
        assert row.first_name


@given(st.binary(max_size=200))
def test_any_bytes_are_text_or_said_to_be_none(data: bytes) -> None:
    try:
        text, encoding = roster.decode(data)
    except roster.NotText:
        return
    assert encoding in {"UTF-8", "UTF-16", "Windows-1252"}
    roster.read(text)


NAMES = st.text(st.characters(exclude_categories=("Cc", "Cs", "Z")), min_size=1, max_size=12)


@given(st.lists(st.tuples(NAMES, NAMES), min_size=1, max_size=8))
def test_a_list_that_was_written_is_read_back(names: list[tuple[str, str]]) -> None:
    rows = tuple(
        Row(line, last, first, f"S{line}", f"user{line}", f"id-{line}")
        for line, (last, first) in enumerate(names, start=2)
    )
    found = roster.read(roster.write(rows))
    assert (found.rows, found.problems) == (rows, ())
