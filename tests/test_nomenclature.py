"""One symbol, one unit and one name for a quantity: in docstrings, lessons, worked steps and questions."""

import inspect
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from test_readability import LESSONS, cells, each_lesson

import acpower
from acpower import tables
from acpower.worksheets.scheme import Number, Worksheet
from acpower.worksheets.schemes import WORKSHEETS

ROWS = tables.rows("nomenclature")
PLAIN = {"Ω": "ohm", "mm²": "mm2", "°C": "degC"}  # how docstrings write a unit


def entries(row: dict[str, str], column: str) -> list[str]:
    return [] if row[column] == "none" else row[column].split(";")


NAMES = [(name, row) for row in ROWS for name in (*entries(row, "suffix"), *entries(row, "names"))]
QUANTITIES = {name for row in ROWS for name in (row["quantity"], *entries(row, "names"))}
SYMBOLS = {symbol for row in ROWS for symbol in entries(row, "symbol")}


def row_of(name: str) -> dict[str, str] | None:
    """Return the row with the longest name that an argument or a question ends with."""
    words = f" {name.replace('_', ' ')}"
    fitting = [(len(end), row) for end, row in NAMES if words.endswith(f" {end}")]
    return max(fitting, key=lambda pair: pair[0])[1] if fitting else None


def arguments() -> Iterator[tuple[str, str, str]]:
    """Yield function or record, argument or attribute, and the unit that the docstring gives for it."""
    for room in acpower.__all__:
        module = getattr(acpower, room)
        for name in module.__all__:
            text = inspect.getdoc(getattr(module, name)) or ""
            described = r"^(\w[\w, ]*) : (?:array_like|ndarray|float|complex).*\n((?:    .*\n?)+)"
            for together, told in re.findall(described, text, re.MULTILINE):
                names, units = together.split(", "), re.findall(r"\[([^\]]+)\]", told)
                if not units and "fraction" in told:
                    units = ["1"]
                for argument, unit in zip(names, units * len(names), strict=False):
                    yield f"{room}.{name}", argument, unit


@pytest.mark.parametrize(("where", "argument", "unit"), list(arguments()))
def test_an_argument_is_named_after_its_quantity_and_has_its_unit(
    where: str, argument: str, unit: str
) -> None:
    row = row_of(argument)
    assert row is not None, f"the nomenclature has no name for {argument} of {where}"
    ours = row["unit"]
    for sign, letters in PLAIN.items():
        ours = ours.replace(sign, letters)
    assert unit in (ours, *ours.split(" or "))


@pytest.mark.parametrize("worksheet", WORKSHEETS.values(), ids=WORKSHEETS)
def test_a_question_for_a_number_is_named_after_its_quantity_and_has_its_unit(worksheet: Worksheet) -> None:
    for question in worksheet.questions:
        if isinstance(question, Number):
            row = row_of(question.name)
            assert row is not None, question.name
            assert (question.unit or "1") == row["unit"], question.name


def operands(formula: str) -> list[str]:
    """Return what stands between the signs of a formula, without numbers."""
    between = (words.strip() for words in re.split(r"[=×÷·+−()√²≤,:]| / ", formula))
    return [words for words in between if words and not re.match(r"[-\d.]", words)]


def formulas(path: Path) -> list[str]:
    """Return the formulas of a lesson that stand on a line of their own."""
    text = "\n".join(cell["source"] for cell in cells(path, "markdown"))
    lines = [line.removeprefix("- ") for line in text.splitlines()]
    return [line for line in lines if re.match(r"[\w ,%]+ = [^\"]*[^.\"]$", line)]


@each_lesson
def test_a_formula_of_a_lesson_names_quantities_of_the_nomenclature(path: Path) -> None:
    ours = re.compile(rf"\b(?:{'|'.join(map(re.escape, QUANTITIES))})(?!\w)")
    for formula in formulas(path):
        unknown = [words for words in operands(formula) if not ours.search(words)]
        assert unknown == [], formula


@each_lesson
def test_a_symbol_of_a_lesson_stands_in_the_nomenclature(path: Path) -> None:
    text = "\n".join(cell["source"] for cell in cells(path, "markdown"))
    letters = set(re.findall(r"(?<!\*)\*([IU]\w?)\*(?!\*)", text)) | set(re.findall(r"[Ͱ-Ͽ]", text))
    assert letters - SYMBOLS - {"Ω", "π"} == set()


@pytest.mark.parametrize("room", acpower.__all__)
def test_a_symbol_that_a_docstring_gives_a_formula_for_stands_in_the_nomenclature(room: str) -> None:
    module = getattr(acpower, room)
    texts = [inspect.getdoc(getattr(module, name)) or "" for name in module.__all__]
    formula = r"^(?:    |- )?([A-Za-z]|[A-Z][a-z\d])(?:_\w+)? (?:=|<=) "
    assert {symbol for text in texts for symbol in re.findall(formula, text, re.M)} <= SYMBOLS
    assert not any(re.search(r"[=/(*] V(_\w+)?\b", text) for text in texts), "a voltage is U"


@pytest.mark.parametrize("worksheet", WORKSHEETS.values(), ids=WORKSHEETS)
def test_a_symbol_of_a_worked_step_stands_in_the_nomenclature(worksheet: Worksheet) -> None:
    """A symbol may have its place behind it: P grid, U line, I_3; words without a symbol are free."""
    card = worksheet.card("A07")
    keys = worksheet.keys(card)
    for question in worksheet.questions:
        if isinstance(question, Number):
            steps = re.split(r" = |, ", question.working(card, keys))
            symbolic = [step for step in steps if not re.search(r"\d [A-Za-zΩµ%]", step)]
            for words in (words for step in symbolic for words in operands(step)):
                symbol = re.split("[ _]", words)[0]
                if re.fullmatch(r"[A-Za-z]|[A-Z][a-z\d]", symbol):
                    assert symbol in SYMBOLS, (question.name, words)


def test_a_name_of_the_nomenclature_is_of_one_quantity_and_in_use() -> None:
    names = [name for name, _ in NAMES]
    assert len(names) == len(set(names))
    words = {argument.replace("_", " ") for _, argument, _ in arguments()}
    words |= {
        question.name.replace("_", " ") for sheet in WORKSHEETS.values() for question in sheet.questions
    }
    words |= {words for path in LESSONS for formula in formulas(path) for words in operands(formula)}
    assert [name for name in names if not any(f" {name} " in f" {word} " for word in words)] == []


def test_the_glossary_shows_the_nomenclature() -> None:
    shown = "\n".join(cell["source"] for cell in cells(LESSONS[0].parent / "glossary.ipynb", "code"))
    assert 'SourcedTable("nomenclature", ("quantity", "symbol", "unit", "suffix", "note"))' in shown
