"""Reading the class list, with the mistakes that class lists have."""

import pytest

from acpower.marking.register import read_register
from acpower.marking.user_mistake import UserMistake


def register(tmp_path, text, encoding="utf-8"):
    path = tmp_path / "class.csv"
    path.write_bytes(text.encode(encoding))
    return path


def test_ids_come_in_the_order_of_the_file_and_names_stay_beside_them(tmp_path):
    read = read_register(register(tmp_path, "id,name\nB2,Invented Two\nA1,Invented One\n"))
    assert read.ids == ("B2", "A1")
    assert read.names["A1"] == "Invented One"
    assert read.problems == ()


@pytest.mark.parametrize("text", ["ID;Name\nA1;One\n", "\ufeffid,name\r\nA1,One\r\n", "name,id\nOne, A1 \n"])
def test_semicolons_a_byte_order_mark_and_other_column_orders_are_read(tmp_path, text):
    assert read_register(register(tmp_path, text)).ids == ("A1",)


def test_an_id_that_stands_twice_is_set_aside_and_told(tmp_path):
    read = read_register(register(tmp_path, "id\nA1\nA2\na1\n"))
    assert read.ids == ("A2",)
    assert "“A1” 2 times" in read.problems[0]
    assert "give each apprentice an id of their own" in read.problems[0]


@pytest.mark.parametrize("bad", ["../x", "A 1", "=1+1", "A_1", "x" * 40, "-A1"])
def test_an_id_that_is_no_file_name_is_told_with_its_line(tmp_path, bad):
    read = read_register(register(tmp_path, f"id\nA1\n{bad}\nA2\n"))
    assert read.ids == ("A1", "A2")
    assert read.problems[0].startswith("Register line 3:")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "no column “id”"),
        ("name\nOne\n", "no column “id”"),
        ("id\n", "has no rows"),
        ("id,name\n,One\n", "lists no apprentice"),
        ("id\nA1\nA1\n", "lists no apprentice that can be used. The register lists the id “A1” 2 times"),
    ],
)
def test_a_register_without_anybody_says_what_is_missing(tmp_path, text, says):
    with pytest.raises(UserMistake, match=says):
        read_register(register(tmp_path, text))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('id,name\nA1,"One\nA2,Two\n', "quotation mark"),
        ("id,id\nA1,A2\n", "two columns of the same name"),
        ("id,name\nA1," + "x" * 200_000 + "\n", "damaged near line"),
    ],
)
def test_a_damaged_register_is_told_with_what_to_look_for(tmp_path, text, says):
    with pytest.raises(UserMistake, match=says):
        read_register(register(tmp_path, text))


def test_a_missing_register_and_one_in_another_encoding_each_get_a_sentence(tmp_path):
    with pytest.raises(UserMistake, match="Check the path"):
        read_register(tmp_path / "nowhere.csv")
    with pytest.raises(UserMistake, match="save as CSV UTF-8"):
        read_register(register(tmp_path, "id,name\nA1,Zoë\n", "latin-1"))


def test_a_row_of_commas_only_is_nobody(tmp_path):
    read = read_register(register(tmp_path, "id,name\nA1,One\n,\nA2,Two\n"))
    assert read.ids == ("A1", "A2")
    assert read.problems == ()
