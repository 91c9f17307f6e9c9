"""What a cell that stops says in place of Python's report. No published source: the sentences are the project's own."""

import pytest

from acpower.worksheets.plain_errors import error_block, in_plain_words


@pytest.mark.parametrize(
    ("problem", "cell", "says"),
    [
        (NameError, "job.record('loss', 1)", "There is no job card yet. Run the first code cell"),
        (NameError, "sqrt(2)", "Python does not know sqrt yet. Run the cell with “from math import”"),
        (NameError, "curent * 230", "The name “curent” is not known here. Check its spelling"),
        (ZeroDivisionError, "230 / 0", "It divides by zero. Check the number below the line."),
        (SyntaxError, "230 V", "A number with its unit stands between quotation marks."),
        (TypeError, "2 * ...", "An earlier answer that goes in here is still three dots."),
        (TypeError, "'230' * '16'", "A text stands where a number belongs. Take the quotation marks away"),
        (TypeError, "(lambda question: 1)()", "Between the brackets something is missing: 'question'"),
        (IndexError, "[230][3]", "IndexError: list index out of range"),
    ],
)
def test_what_people_type_is_answered_in_plain_words(problem: type[Exception], cell: str, says: str) -> None:
    with pytest.raises(problem) as stopped:
        exec(compile(cell, "cell", "exec"), {})
    assert says in in_plain_words(stopped.type.__name__, str(stopped.value))


def test_a_line_that_cannot_be_read_is_named() -> None:
    with pytest.raises(SyntaxError) as stopped:
        compile("power = 1\npower = 230 V", "cell", "exec")
    assert "This cell stopped before it began, at line 2" in error_block(stopped.value, None)
