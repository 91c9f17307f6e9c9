"""What an apprentice gets back: own numbers, plain words, fresh questions, a page that prints well."""

import json
import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from importlib.metadata import version
from math import sqrt
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from bs4 import BeautifulSoup
from classroom import hand_in, right, write_register
from test_readability import FORMULA, HIGHEST_GRADE, grade

from acpower import notebooks
from acpower.cli import main
from acpower.marking.fresh_questions import WeakPoint, weak_points
from acpower.marking.hand_back import report_page, unparted
from acpower.marking.judge import Change, judge_worksheet, recorded_words
from acpower.marking.record import marking_record, read_record, write_record
from acpower.marking.register import Register
from acpower.marking.result import ClassResult, Result
from acpower.marking.run import Limits, cell_words
from acpower.marking.take_in import Submission
from acpower.worksheets import own, question_text
from acpower.worksheets.answers import Answer, answer_from_data, answer_from_value
from acpower.worksheets.question_text import needed_numbers, question_html
from acpower.worksheets.scheme import Function, Number, Question, Worksheet
from acpower.worksheets.schemes import WORKSHEETS, find_worksheet
from acpower.worksheets.verdicts import judge, show_input

CHARGING = find_worksheet("charging-power")
WHEN = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
each_worksheet = pytest.mark.parametrize("worksheet", WORKSHEETS.values(), ids=list(WORKSHEETS))


def result_of(
    worksheet: Worksheet,
    answers: Mapping[str, Answer] = {},
    *,
    who: str = "A07",
    notes: tuple[tuple[str, str], ...] = (),
    **term: str,
) -> Result:
    """Return a marked worksheet with these answers and nothing else recorded."""
    marked = judge_worksheet(worksheet, worksheet.card(who, **term), answers)
    return Result(Submission("file.ipynb", "accepted", who, worksheet), marked, list(notes))


def page_of(*results: Result, **look: bool) -> BeautifulSoup:
    return BeautifulSoup(report_page("A07", results, WHEN, **look), "html.parser")


def points_of(worksheet: Worksheet, who: str = "A07", **term: str) -> list[WeakPoint]:
    marked = result_of(worksheet, who=who, **term).marked
    assert marked is not None
    return weak_points(worksheet, marked)


# ---- Fresh questions


@each_worksheet
def test_every_weak_point_gets_two_fresh_questions_with_other_numbers(worksheet: Worksheet) -> None:
    """One where the card has no more than two values for it, as with a list that runs up or down."""
    points = points_of(worksheet)
    assert [point.number for point in points] == list(range(1, len(worksheet.questions) + 1))
    for point in points:
        own_card = worksheet.card("A07")
        if isinstance(point.question, Function):
            own_numbers: Any = own_card.trials[point.question.name][0]
            numbers: list[Any] = [
                worksheet.card(one.card).trials[point.question.name][0] for one in point.again
            ]
        else:
            own_numbers = needed_numbers(worksheet, point.question, own_card)
            numbers = [one.given for one in point.again]
        assert own_numbers not in numbers
        assert all(numbers.count(one) == 1 for one in numbers)
        lines = {given.label for given in needed_numbers(worksheet, point.question, own_card)}
        values = [len(set(e.values)) for e in worksheet.entries if e.label in lines]
        assert len(point.again) == (1 if values == [2] else 2), point.question.name


@each_worksheet
def test_a_fresh_solution_is_right_in_a_worksheet_opened_with_the_id_beside_it(worksheet: Worksheet) -> None:
    for who in ("A07", "B12"):
        for point in points_of(worksheet, who):
            for one in point.again:
                assert one.card.startswith(f"{who}-again-")
                if isinstance(point.question, Function):
                    continue
                word = one.expected.replace("\u202f", "")
                is_number = isinstance(point.question, Number)
                answer = Answer("number", word.split()[0]) if is_number else Answer("text", word)
                verdict = judge(worksheet, point.question, answer, worksheet.card(one.card), {})
                assert verdict.passed, (point.question.name, one, verdict.says)


class Only:
    """A card, or earlier answers, of which nothing is known but what was given."""

    def __init__(self, values: Mapping[str, Any]) -> None:
        self._values = values

    def __getattr__(self, name: str) -> Any:
        return self._values[name]  # KeyError: a number is missing


@each_worksheet
def test_what_is_given_is_enough_and_nothing_is_given_that_is_not_read(worksheet: Worksheet) -> None:
    for point in points_of(worksheet):
        if isinstance(point.question, Function):
            continue
        for one in point.again:
            card = worksheet.card(one.card)
            values = {given.label: given.value for given in one.given}
            lines = {e.name: card.values[e.name] for e in worksheet.entries if e.label in values}
            earlier = {
                question.name: _read(question, values[label])
                for number, question in enumerate(worksheet.questions, start=1)
                if (label := f"From question {number}: {question.title}") in values
            }
            assert len(lines) + len(earlier) == len(one.given)
            assert all(str(lines[e.name]) == values[e.label] for e in worksheet.entries if e.name in lines)
            question: Any = point.question
            assert question.working(Only(lines), Only(earlier)) == one.working
            key = question.key(Only(lines), Only(earlier))
            if isinstance(key, str):
                assert key == one.expected
            else:
                assert float(one.expected.replace("\u202f", "").split()[0]) == pytest.approx(key, rel=0.0006)


def _read(question: Question, value: str) -> Any:
    return float(value.replace("\u202f", "")) if isinstance(question, Number) else value


@each_worksheet
def test_which_lines_a_question_needs_is_the_same_on_every_card(worksheet: Worksheet) -> None:
    for question in worksheet.questions:
        labels = {
            tuple(
                given.label
                for given in needed_numbers(worksheet, question, worksheet.card(f"other-{number}"))
            )
            for number in range(15)
        }
        assert len(labels) == 1, question.name


def test_a_fresh_question_by_plain_arithmetic() -> None:
    points = {point.question.name: point for point in points_of(CHARGING)}
    for one in points["phase_voltage_v"].again:
        (line_voltage,) = one.given
        assert (line_voltage.label, line_voltage.unit) == ("Line voltage, measured between two lines", "V")
        assert float(one.expected.removesuffix(" V")) == pytest.approx(
            int(line_voltage.value) / sqrt(3), abs=0.05
        )
    for one in points["battery_power_kw"].again:
        efficiency, grid_power = one.given
        assert (grid_power.label, grid_power.unit) == (
            "From question 7: Power from the grid on two phases",
            "kW",
        )
        battery_power = float(grid_power.value) * int(efficiency.value) / 100
        assert float(one.expected.removesuffix(" kW")) == pytest.approx(battery_power, rel=0.0006)
        assert grid_power.value in one.working.replace("\u202f", "")
    for one in points["charging_power_kw"].again:
        (inputs,) = one.given
        assert inputs.label == "Inputs, in the order of the brackets"
        named = dict(one.split("\xa0=\xa0") for one in inputs.value.split(", "))
        assert list(named) == ["line_voltage", "current", "power_factor"]
        voltage, current, power_factor = map(float, named.values())
        power = sqrt(3) * voltage * current * power_factor / 1000
        assert float(one.expected.removesuffix(" kW")) == pytest.approx(power, rel=0.0006)


def test_a_card_line_that_the_key_reads_on_some_cards_only_is_always_given() -> None:
    question = CHARGING.question("phase_voltage_v")
    assert isinstance(question, Number)
    some = replace(
        question,
        name="some",
        key=lambda card, earlier: card.line_voltage if card.line_voltage > 400 else card.busbar_power,
        working=lambda card, earlier: "",
    )
    sheet = replace(CHARGING, questions=(some,), possible=lambda card: True)
    given = needed_numbers(sheet, some, sheet.card("A07"))
    assert [one.unit for one in given] == ["V", "kW"]


def test_what_is_right_or_given_full_marks_by_hand_is_not_practised_again() -> None:
    result = result_of(
        CHARGING, {"phase_voltage_v": Answer("number", repr(CHARGING.card("A07").line_voltage / sqrt(3)))}
    )
    marked = result.marked
    assert marked is not None
    first, second, *rest = marked.questions
    assert (first.weak, second.weak) == (False, True)
    by_hand = Change("", "MK", "A07", CHARGING.name, second.question.name, 0, second.question.marks, "seen")
    changed = replace(marked, questions=(first, replace(second, change=by_hand), *rest))
    assert [point.number for point in weak_points(CHARGING, changed)] == list(range(3, 13))
    taken = replace(by_hand, question=first.question.name, old=1, new=0)
    changed = replace(marked, questions=(replace(first, change=taken), second, *rest))
    assert [point.number for point in weak_points(CHARGING, changed)][:2] == [1, 2]


def test_inputs_without_names_stand_bare() -> None:
    """The right function of an own worksheet may be one that tells no names, or takes any number of inputs."""
    function = CHARGING.question("charging_power_kw")
    assert isinstance(function, Function)
    given = ", ".join(map(show_input, CHARGING.card("A07-again-1").trials[function.name][0]))
    for key in (lambda *inputs: 1.0, max):
        sheet = replace(CHARGING, questions=(*CHARGING.questions[:-1], replace(function, key=key)))
        point = next(one for one in points_of(sheet) if one.by_function)
        assert given in [value for _, values, _ in point.rows for value in values]


def test_no_line_ends_between_a_value_and_its_unit() -> None:
    soup = page_of(result_of(CHARGING, {"phase_voltage_v": Answer("text", "229 V")}))
    tables = " ".join(table.get_text(" ") for table in soup.select("table.narrow, table.solution"))
    assert "229\xa0V" in tables
    assert re.findall(r"\d (?:V|A|kW|%|kWh)\b", tables) == []
    assert unparted("6 mm² and 40 °C: 21 kWh/100 km") == "6\xa0mm² and 40\xa0°C: 21\xa0kWh/100\xa0km"


def test_fresh_cards_never_come_from_the_term_key() -> None:
    term_key = "a-term-key-that-nobody-knows"
    for point in points_of(CHARGING, term_key=term_key):
        for one in point.again:
            for card_line in one.given:
                entry = next((e for e in CHARGING.entries if e.label == card_line.label), None)
                if entry:
                    assert card_line.value == str(CHARGING.card(one.card).values[entry.name])
    text = str(page_of(result_of(CHARGING, term_key=term_key)))
    assert term_key not in text
    assert str(CHARGING.card("A07", term_key).line_voltage) in text  # own numbers are those handed out


def test_practise_and_solutions_stand_at_the_end_and_only_where_something_is_open() -> None:
    soup = page_of(result_of(CHARGING), result_of(find_worksheet("losses")))
    headings = [heading.get_text() for heading in soup.find_all("h2")]
    assert headings[-2:] == ["Practise these", "Solutions"]
    solutions = soup.find("h2", string="Solutions")
    assert solutions is not None
    rest = solutions.find_all_next(["h1", "h2", "section"])
    assert len(rest) == 24
    assert all(part.name == "section" for part in rest)
    titles = [section.find("h3").get_text() for section in soup.select("section.again")]  # type: ignore[union-attr]
    assert titles[0] == "Work out charging power: Question 1. Voltage between line and neutral"
    assert titles[:24] == titles[24:]
    answers = {
        name: Answer("text", key) if isinstance(key, str) else Answer("number", repr(key))
        for name, key in vars(CHARGING.keys(CHARGING.card("A07"))).items()
    }
    function = CHARGING.question("charging_power_kw")
    assert isinstance(function, Function)
    trials = CHARGING.card("A07").trials[function.name]
    done = page_of(result_of(CHARGING, {**answers, function.name: answer_from_value(function.key, trials)}))
    assert "everything is right" in done.get_text()
    assert done.find("h2", string="Practise these") is None
    assert done.find("h2", string="Solutions") is None


def test_an_own_worksheet_without_its_notebook_has_a_report_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(question_text, "notebook_of", lambda name: tmp_path / "not-there.ipynb")
    soup = page_of(result_of(CHARGING))
    assert soup.find("h2", string="Practise these") is None
    assert len(soup.select(".question")) == 12


# ---- What was recorded, and where it stopped


@pytest.mark.parametrize(
    ("value", "was"),
    [
        ((229, 5), "229, 5"),
        ([6, 10.5], "[6, 10.5]"),
        ([], "[]"),
        (True, "True"),
        (list(range(10)), "[0, 1, 2, 3, 4, 5, 6, 7, 8, 9]"),
        (list(range(11)), "a list"),
        ((1, "kW"), "several values"),
        ((10**400, 1), "several values"),
        ([True], "a list"),
        (np.array([1.0, 2.0]), "several values"),
        (10**18, "a number of more than 18 whole digits"),
        (10**400, "a number of more than 18 whole digits"),
        (Fraction(10**400, 3), "a number of more than 18 whole digits"),
        ({}, "a value of the kind dict"),
        (1j, "a value of the kind complex"),
        (float, "a value of the kind type"),
    ],
)
def test_a_refused_value_is_shown_as_typed_or_in_words(value: Any, was: str) -> None:
    answer = answer_from_data(json.loads(json.dumps(answer_from_value(value).as_data())))
    assert (answer.kind, answer.was) == ("refused", was)
    soup = page_of(result_of(CHARGING, {"phase_voltage_v": answer}))
    row = soup.find("th", string="You recorded")
    assert row is not None
    cell = row.find_next("td")
    assert cell is not None
    assert cell.get_text() == was
    assert answer.text in soup.get_text()  # what to do about it stands once, in the verdict


def test_a_long_text_is_shown_cut_and_a_record_without_it_is_still_read() -> None:
    answer = answer_from_value("9" * 10_000)
    assert answer.was.startswith("999")
    assert answer.was.endswith("(10000 characters)")
    old = answer_from_data({"kind": "refused", "text": "A list is no answer.", "code": "", "trials": []})
    assert recorded_words(CHARGING.questions[0], old) == "something that is no answer"
    assert "was" not in Answer("number", "1").as_data()
    with pytest.raises(ValueError, match="wrong form"):
        answer_from_data({"kind": "refused", "was": 5})


@pytest.mark.parametrize(
    ("source", "words"),
    [
        (
            "x = 1\njob.record( 'loss_power_kw' , x)",
            "the cell of question 9 (Power that becomes heat in the charger)",
        ),
        (
            'job.record("no_such_question", 1)',
            'the cell that begins with “job.record("no_such_question", 1)”',
        ),
        ("\n\n  import os\nos.fork()", "the cell that begins with “import os”"),
        ("a" * 500, f"the cell that begins with “{'a' * 60} …”"),
        ("\x1b[31m = 1", "the cell that begins with “?[31m = 1”"),
        (" \n", "an empty cell"),
    ],
)
def test_a_cell_is_named_so_that_it_can_be_found(source: str, words: str) -> None:
    assert cell_words(CHARGING, source) == words


def test_choices_of_several_words_stay_apart_in_a_question() -> None:
    connectors = find_worksheet("connectors")
    asked = question_html(connectors, connectors.question("current_contacts"))
    assert "one of “L1 and N”, “L1, L2 and L3” or “L1 and L2/N”." in asked
    assert "<li>“rises”: " in question_html(CHARGING, CHARGING.question("far_end_voltage"))
    assert "“" not in question_html(CHARGING, CHARGING.question("limiting_link"))


# ---- Notes


def test_a_report_tells_nothing_of_others_and_asks_the_apprentice_for_nothing_that_is_the_instructors() -> (
    None
):
    notes = {
        "other-card": "6 of 6 wrong answers fit the job card of B09.",
        "scheme-opened": "A cell looks into the mark schemes of the package.",
        "structure-changed": "The notebook opened the job card of “B09”, but the file is A07's.",
        "answer-ambiguous": "Question 3: Ask A07, and settle it with acpower second-marks.",
        "answer-not-read": "Question 4: give the marks with acpower second-marks.",
        "by-hand": "Question 12: mark it by hand: acpower second-marks.",
        "late": "The file was last saved on Monday.",
    }
    told = [
        part.get_text() for part in page_of(result_of(CHARGING, notes=tuple(notes.items()))).select(".note")
    ]
    assert len(told) == 5
    assert "last saved on Monday" in told[-1]
    text = " ".join(told)
    for words in ("B09", "A07", "second-marks", "acpower", "mark schemes", "answer-", "by-hand"):
        assert words not in text


def test_a_report_on_a_worksheet_without_any_answer_gives_no_answer_away() -> None:
    blank = result_of(CHARGING, notes=(("nothing-recorded", "Nothing is recorded. Ask for the file again."),))
    soup = page_of(blank)
    (told,) = [part.get_text() for part in soup.select(".note")]
    assert "Nothing is recorded in your file" in told
    assert "hand it in again" in told
    text = soup.get_text().replace("\xa0", " ")
    for words in ("Expected", "With your numbers", "Practise these", "Solutions", "of 19 marks", "Ask for"):
        assert words not in text
    assert blank.marked is not None
    assert not any(one.working in text or one.expected in text for one in blank.marked.questions)


@pytest.mark.parametrize(
    ("code", "says"),
    [
        ("bad-file", "This is not a notebook (.ipynb). Ask the apprentice for the worksheet."),
        ("too-large", "The file has 11 MB. Ask for a copy with the outputs cleared."),
        ("unsafe-name", "This is a link or a device, not a file. Ask for the file itself."),
        ("handed-in-twice", "More than one file for A07: also A07 (1). Keep the one that counts."),
        ("structure-changed", "This is version 1. Mark it with the package that handed it out."),
        ("other-hand-out", "Mark it with --term-key and the file of that term."),
        ("not-judged", "This worksheet could not be judged (ValueError('x')). Report this."),
    ],
)
def test_a_file_that_was_not_marked_is_explained_to_the_apprentice(code: str, says: str) -> None:
    result = Result(Submission("file.ipynb", "query", "A07", CHARGING), notes=[(code, says)])
    (told,) = [part.get_text() for part in page_of(result).select(".note")]
    assert says not in told


def test_the_report_on_an_own_worksheet_names_no_lesson_of_the_course(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert f"The lesson is course/{CHARGING.lesson}.ipynb" in page_of(result_of(CHARGING)).get_text()
    monkeypatch.setitem(own._OWN, CHARGING.name, Path("charging-power.py"))
    monkeypatch.setattr(
        question_text, "notebook_of", lambda name: notebooks.folder("exercises") / f"{name}.ipynb"
    )
    assert "The lesson is course/" not in page_of(result_of(CHARGING)).get_text()


# ---- Escaped, inert, dated


def test_every_text_is_escaped_and_nothing_is_active(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bad = "<script>alert(1)</script><img src=x onerror=alert(2)>"
    hostile = tmp_path / "hostile.ipynb"
    cells = [
        {"id": f"{question.name.replace('_', '-')}-question", "source": f"## 1. Title\n\n{bad} [go](http://a.example)"
         " <a href='javascript:alert(3)'>on</a> <p onclick='alert(4)' style='x'>stays</p>"}
        for question in CHARGING.questions
    ]  # fmt: skip
    hostile.write_text(json.dumps({"cells": cells}), encoding="utf-8")
    monkeypatch.setattr(question_text, "notebook_of", lambda name: hostile)
    result = result_of(
        CHARGING,
        {
            "phase_voltage_v": Answer("text", bad),
            "line_current_a": Answer("refused", bad, was=bad),
            "limiting_link": Answer("text", bad),
        },
        notes=(("stopped", bad),),
    )
    marked = result.marked
    assert marked is not None
    change = Change("", bad, "A07", CHARGING.name, "phase_voltage_v", 0, 1, bad)
    questions = (replace(marked.questions[0], change=change), *marked.questions[1:])
    soup = page_of(replace(result, marked=replace(marked, questions=questions)))
    assert soup.select("script, img, link, iframe, object, embed, form, base, meta[http-equiv], a") == []
    for part in soup.find_all(True):
        assert not any(name.startswith("on") or name in ("src", "href", "style") for name in part.attrs), part
    for style in soup.find_all("style"):
        assert not re.search(r"@import|url\(", style.get_text())
    text = soup.get_text()
    assert text.count(bad) >= 5  # note, reason, recorded, verdict: as words
    assert "stays" in text
    assert "alert(3)" not in text


def test_date_versions_and_invented_site_are_told(tmp_path: Path) -> None:
    results = (result_of(CHARGING), result_of(find_worksheet("losses")))
    soup = page_of(*results)
    small = [part.get_text() for part in soup.select(".small")]
    assert small.count("The site is invented.") == 2
    day = f"{WHEN.astimezone():%Y-%m-%d}"
    versions = " ".join(
        f"Worksheet {one.worksheet.name}, version {one.worksheet.version}." for one in results
    )
    assert small[-1] == f"Marked on {day} with acpower {version('acpower')}. {versions}"
    # pages that are written again from the record keep the date of the marking
    register = Register(("A07",), {}, ())
    write_record(ClassResult(register, results[:1], (), marked_at=WHEN), Limits(), tmp_path / "record.json")
    again = read_record(tmp_path / "record.json")
    assert again.marked_at == WHEN
    assert marking_record(again, Limits())["marked_at"] == "2026-11-25T12:00:00+00:00"


# ---- Large print


def test_large_print_has_the_same_content_in_18_point() -> None:
    """18 point for large print is common practice, no source."""
    result = result_of(
        CHARGING, {"phase_voltage_v": Answer("number", "99")}, notes=(("late", "It was late."),)
    )
    normal, large = page_of(result), page_of(result, large_print=True)
    sizes = [re.findall(r"(?<!@)font-size: (\d+)pt; margin: 0", str(soup.style)) for soup in (normal, large)]
    assert sizes == [["11"], ["18"]]
    for soup in (normal, large):
        assert soup.style is not None
        soup.style.decompose()
    assert str(normal) == str(large)


def test_mark_and_second_marks_write_large_print_when_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    register = write_register(tmp_path / "class.csv", "A01")
    hand_in(tmp_path / "in", "A01", right("A01", loss_power_kw="(0, 9)"))
    marked = tmp_path / "marked"
    call = ["mark", str(tmp_path / "in"), "--register", str(register), "--to", str(marked)]
    assert main([*call, "--large-print"]) == 0
    report = marked / "reports" / "A01.html"
    text = report.read_text(encoding="utf-8")
    assert "font-size: 18pt" in text
    assert "<td>0, 9</td>" in text
    assert '"0, 9"' in (marked / "answers.csv").read_text(encoding="utf-8")
    second = marked / "second.csv"
    row = f"A01,{CHARGING.name},loss_power_kw,1,meant 0.9\n"
    second.write_text("id,worksheet,question,second_mark,why\n" + row, encoding="utf-8")
    assert main(["second-marks", str(marked), str(second), "--who", "MK", "--large-print"]) == 0
    text = report.read_text(encoding="utf-8")
    assert "font-size: 18pt" in text
    assert "Changed by hand" in text
    assert "Practise these" not in text
    second.write_text("id,worksheet,question,second_mark,why\n" + row.replace(",1,", ",0,"), encoding="utf-8")
    assert main(["second-marks", str(marked), str(second), "--who", "MK"]) == 0
    assert "font-size: 11pt" in report.read_text(encoding="utf-8")


# ---- Plain words, paper, accessibility


def _sentences(soup: BeautifulSoup) -> list[str]:
    """Return the prose of a page sentence by sentence, without tables and formulas."""
    for part in soup.find_all(["table", "style", "head"]):
        part.decompose()
    spoken = [
        sentence
        for block in soup.find_all(["p", "h1", "h2", "h3", "li"])
        for sentence in re.split(r"(?<=[.!?])\s+", re.sub(r"\s+", " ", block.get_text(" ")).strip())
    ]
    return [
        re.sub(r"[.,;:!?]*$", ".", one)
        for one in spoken
        if re.search("[a-z]", one) and not FORMULA.search(one)
    ]


@each_worksheet
def test_a_report_is_in_plain_words(worksheet: Worksheet) -> None:
    wrong = {
        question.name: Answer("number", "12345") if isinstance(question, Number) else Answer("text", "no")
        for question in worksheet.questions
    }
    texts = _sentences(page_of(result_of(worksheet, wrong)))
    assert len(texts) > 60
    assert grade(texts) <= HIGHEST_GRADE


def test_the_words_of_the_report_itself_are_plain(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "acpower.marking.fresh_questions.question_html", lambda worksheet, question: "<p></p>"
    )
    texts = _sentences(page_of(result_of(CHARGING)))
    prose = [one for one in texts if len(one.split()) > 6]
    assert grade(list(dict.fromkeys(prose))) <= HIGHEST_GRADE


BEYOND_THE_PAPER = """(edge) => [...document.querySelectorAll("main *")].filter(
  (part) => part.getBoundingClientRect().right > edge + 1 || part.scrollWidth > part.clientWidth + 1
    && getComputedStyle(part).display !== "inline"
).map((part) => part.tagName + ": " + part.textContent.slice(0, 40))"""
PAPER_WIDTH = 680  # CSS pixels between the margins: 180 mm of A4; letter is wider
LONG_ID = "A" * 32


@pytest.fixture(scope="module")
def reports(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return reports of every worksheet, all wrong, in both sizes; among them one with the longest id."""
    place = tmp_path_factory.mktemp("reports")
    long_note = ("stopped", "The cell that begins with “" + "x" * 60 + " …” stopped: " + "y" * 200)
    found = {}
    for worksheet in WORKSHEETS.values():
        wrong = {one.name: Answer("text", "w" * 200) for one in worksheet.questions}
        result = result_of(worksheet, wrong, who=LONG_ID, notes=(long_note,))
        for look, large in (("normal", False), ("large", True)):
            path = place / f"{worksheet.name}-{look}.html"
            path.write_text(report_page(LONG_ID, [result], WHEN, large_print=large), encoding="utf-8")
            found[path.stem] = path
    return found


@pytest.mark.parametrize("look", ["normal", "large"])
def test_nothing_leaves_the_paper_and_no_table_is_clipped(
    reports: dict[str, Path], browser: Any, look: str
) -> None:
    page = browser.new_page(viewport={"width": PAPER_WIDTH, "height": 960})
    page.emulate_media(media="print")
    beyond = {}
    for name, path in reports.items():
        if name.endswith(look):
            page.goto(path.as_uri())
            beyond[name] = page.evaluate(BEYOND_THE_PAPER, PAPER_WIDTH)
            breaks = "getComputedStyle([...document.querySelectorAll('h2')].at(-1)).breakBefore"
            assert page.evaluate(breaks) == "page"
            points = "getComputedStyle(document.body).fontSize"
            assert page.evaluate(points) == {"normal": "14.6667px", "large": "24px"}[look]  # 11 and 18 pt
    page.close()
    assert len(beyond) == len(WORKSHEETS)
    assert {name: found for name, found in beyond.items() if found} == {}


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_report_prints_on_the_paper_that_is_chosen(
    reports: dict[str, Path], browser: Any, paper: str, tmp_path: Path
) -> None:
    """Sizes of paper: ISO 216 (A4), ASME Y14.1 (letter)."""
    page = browser.new_page()
    page.goto(reports["charging-power-normal"].as_uri())
    raw = page.pdf(format=paper, prefer_css_page_size=True)
    page.close()
    width, height = {"A4": (210, 297), "Letter": (215.9, 279.4)}[paper]
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", raw)
    assert len(boxes) > 5
    for box in boxes:
        assert float(box[0]) == pytest.approx(width / 25.4 * 72, abs=1)
        assert float(box[1]) == pytest.approx(height / 25.4 * 72, abs=1)


@pytest.mark.parametrize("look", ["normal", "large"])
def test_a_report_opens_whole_quiet_and_accessible(
    reports: dict[str, Path], browser: Any, axe: Any, look: str
) -> None:
    for name in ("charging-power", "follow-the-power", "losses"):  # numbers, orders, a table in a question
        path = reports[f"{name}-{look}"]
        requests: list[str] = []
        page = browser.new_page(viewport={"width": 1366, "height": 768})
        page.on("request", lambda request, seen=requests: seen.append(request.url))
        page.goto(path.as_uri())
        assert requests == [path.as_uri()]
        assert page.evaluate("document.documentElement.scrollWidth") == 1366
        assert (name, axe(page)) == (name, [])
        page.close()


def test_prose_is_that_of_the_notebook_without_what_the_screen_needs() -> None:
    text = question_html(CHARGING, CHARGING.question("charging_power_kw"))
    assert text.startswith(
        "<p>Write a function that gives three-phase charging power for <strong>any</strong>"
    )
    assert "three dots" not in text
    assert "12." not in text  # the heading
    assert own.notebook_of(CHARGING.name).name == "charging-power.ipynb"
