"""Practising without a browser: what is shown, judged, counted and kept, on every question there is."""

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from itertools import takewhile
from math import isfinite
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from bs4 import BeautifulSoup

from acpower.panels.practise_panel import WRONG_TRIES, PractisePanel, practise_panel
from acpower.printing.page import Look
from acpower.printing.worksheet import worksheet_page
from acpower.worksheets import NotYet
from acpower.worksheets.cards import JobCard
from acpower.worksheets.own import _OWN, use_own_worksheets
from acpower.worksheets.practice import Practice, practised_questions
from acpower.worksheets.practice_file import NAME, Count, PracticeFile
from acpower.worksheets.question_text import question_html
from acpower.worksheets.scheme import HINTS, Choice, Function, Number, Ordering, Worksheet
from acpower.worksheets.schemes import WORKSHEETS
from acpower.worksheets.verdicts import judge

QUESTIONS = [
    (worksheet, question) for worksheet in WORKSHEETS.values() for question in practised_questions(worksheet)
]
each_question = pytest.mark.parametrize(
    ("worksheet", "question"), QUESTIONS, ids=[f"{w.name}-{q.name}" for w, q in QUESTIONS]
)
each_worksheet = pytest.mark.parametrize("worksheet", WORKSHEETS.values(), ids=WORKSHEETS)
SHEET, QUESTION = "charging-power", "three_phase_power_kw"
DRAWN: dict[tuple[Any, ...], JobCard] = {}
WORKED_OUT: dict[tuple[Any, ...], dict[str, Any]] = {}
COUNT = len(practised_questions(WORKSHEETS[SHEET]))


@pytest.fixture(autouse=True)
def _cards_drawn_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every question of a worksheet is practised on the same cards; drawing them once must do."""
    draw, work_out = Worksheet.card, Worksheet.keys

    def card(worksheet: Worksheet, name: str, *term_key: str) -> JobCard:
        place = (worksheet.name, name, *term_key)
        if place not in DRAWN:
            DRAWN[place] = draw(worksheet, name, *term_key)
        return DRAWN[place]

    def keys(worksheet: Worksheet, card: JobCard) -> SimpleNamespace:
        place = (worksheet.name, *card.values.values())
        if place not in WORKED_OUT:
            WORKED_OUT[place] = vars(work_out(worksheet, card))
        return SimpleNamespace(**WORKED_OUT[place])

    monkeypatch.setattr(Worksheet, "card", card)
    monkeypatch.setattr(Worksheet, "keys", keys)


def panel_at(folder: Path, worksheet: str = SHEET, question: str = QUESTION) -> PractisePanel:
    panel = PractisePanel(worksheet, folder)
    panel.press("question", question)
    return panel


def shown(panel: PractisePanel) -> dict[str, Any]:
    return dict(panel.face.shown)


def key(panel: PractisePanel) -> str:
    """Return the right answer to what is on the screen, worked out from its card by the mark scheme."""
    worksheet, question = panel.task.worksheet, panel.task.question
    return str(getattr(worksheet.keys(worksheet.card(f"practise-{panel.task.number}")), question.name))


def kept(folder: Path) -> Any:
    return json.loads((folder / NAME).read_text(encoding="utf-8"))


# ---- Every question of every worksheet


@each_question
def test_right_answers_count_and_known_errors_are_named(
    worksheet: Worksheet, question: Any, tmp_path: Path
) -> None:
    panel = panel_at(tmp_path, worksheet.name, question.name)
    for _ in range(3):
        card = worksheet.card(f"practise-{panel.task.number}")
        keys = worksheet.keys(card)
        for error in question.known_errors:
            value = error.formula(card, keys)
            if value is None or (isinstance(question, Number) and not isfinite(value)):
                continue  # the error gives no answer of its own on this card
            panel.press("record", str(value))
            assert shown(panel)["reaction"].startswith("➜ Not yet."), (error.name, value)
            assert error.says in shown(panel)["reaction"]
        panel.press("record", key(panel))
        assert shown(panel)["reaction"] == "✔ Right."
        panel.press("card")
    assert f"This question: right on {3} cards." in shown(panel)["progress"]
    assert kept(tmp_path)[worksheet.name][question.name]["right"] == 3


@each_question
def test_hints_step_and_another_card_has_other_numbers(
    worksheet: Worksheet, question: Any, tmp_path: Path
) -> None:
    panel = panel_at(tmp_path, worksheet.name, question.name)
    for step, button in ((1, 2), (2, 3), (3, 3), (3, 3)):
        panel.press("hint")
        assert shown(panel)["help"] == f"Hint, {HINTS[step - 1]}: {question.hints[step - 1]}"
        assert shown(panel)["hint"] == f"Hint: {HINTS[button - 1]}"
    seen = [(panel.task.number, panel.task.lines)]
    for _ in range(5):
        panel.press("card")
        seen.append((panel.task.number, panel.task.lines))
        assert seen[-1][0] > seen[-2][0]
        assert seen[-1][1] != seen[-2][1]
        assert shown(panel)["hint"] == "Hint: what to look at"
    again = Practice(worksheet, question)
    assert [again.task(number).lines for number, _ in seen] == [lines for _, lines in seen]


@each_question
def test_the_lines_shown_are_all_that_the_key_looks_up_and_the_answers_it_goes_on_from(
    worksheet: Worksheet, question: Any
) -> None:
    """An answer worked out from nothing but what is shown is right, with the earlier answers as written."""
    practice = Practice(worksheet, question)
    given = {
        one.name: f"From question {at}: {one.title}" for at, one in enumerate(worksheet.questions, start=1)
    }
    for number in (1, 40, 41, 42):
        task = practice.task(number)
        card = worksheet.card(f"practise-{number}")
        lines = {line.label: line.value for line in task.lines}
        assert len(lines) == len(task.lines) > 0

        class OnlyWhatIsShown:
            def __getattr__(self, name: str, card: Any = card, lines: Any = lines) -> Any:
                entry = next(entry for entry in card.entries if entry.name == name)
                assert lines[entry.label] == str(card.values[name])
                return card.values[name]

        class OnlyWhatIsGiven:
            def __getattr__(self, name: str, lines: Any = lines) -> Any:
                text = lines[given[name]]
                worded = not isinstance(worksheet.question(name), Number)
                return text if worded else float(text.replace("\u202f", ""))

        answer = question.key(OnlyWhatIsShown(), OnlyWhatIsGiven())
        assert task.judge(str(answer)).says == "Right."
        assert {given[name] for name in question.needs} == lines.keys() & set(given.values())


@each_question
def test_lines_are_the_same_ones_on_every_card(worksheet: Worksheet, question: Any) -> None:
    practice = Practice(worksheet, question)
    labels = {tuple(line.label for line in practice.task(number).lines) for number in range(1, 60)}
    assert len(labels) == 1


@each_question
def test_the_working_is_shown_after_the_right_answer_and_ends_at_it(
    worksheet: Worksheet, question: Any, tmp_path: Path
) -> None:
    panel = panel_at(tmp_path, worksheet.name, question.name)
    panel.press("working")
    assert not shown(panel)["working_open"]
    assert "working with these numbers" not in shown(panel)["help"]
    panel.press("record", key(panel))
    panel.press("working")
    says = shown(panel)["help"].removeprefix("The working with these numbers: ")
    assert says == panel.task.working
    if isinstance(question, Number):
        last = re.findall(r"-?\d+(?:\u202f\d{3})*(?:\.\d+)?", says)[-1]
        assert panel.task.judge(last).says == "Right."


@each_worksheet
def test_each_question_is_asked_as_on_paper(worksheet: Worksheet, tmp_path: Path) -> None:
    paper = worksheet_page(worksheet, "A07", Look())
    panel = PractisePanel(worksheet.name, tmp_path)
    for at, question in enumerate(worksheet.questions, start=1):
        asked = question_html(worksheet, question)
        assert asked in paper
        if isinstance(question, Function):
            continue
        panel.press("question", question.name)
        assert asked in shown(panel)["asked"]
        soup = BeautifulSoup(shown(panel)["asked"], "html.parser")
        assert soup.h2 is not None
        assert soup.h2.get_text().startswith(f"{at}. {question.title}")
        assert soup.select("a, code, script, [id]") == []
        assert not re.search(r"three dots|Shift|\bcell\b|job\.card|record\(", soup.get_text())


@each_worksheet
def test_functions_are_left_out_and_this_is_said(worksheet: Worksheet, tmp_path: Path) -> None:
    panel = PractisePanel(worksheet.name, tmp_path)
    functions = [one for one in worksheet.questions if isinstance(one, Function)]
    offered = [name for name, _ in shown(panel)["questions"]]
    assert offered == [one.name for one in worksheet.questions if one not in functions]
    places = [str(at) for at, one in enumerate(worksheet.questions, start=1) if one in functions]
    says = f"Question {places[0]} asks for a function. " if places else ""
    assert shown(panel)["left_out"].startswith(says)
    assert bool(shown(panel)["left_out"]) == bool(functions)


# ---- What is chosen and typed


def test_worksheets_stand_in_the_order_of_the_lessons_by_title(tmp_path: Path) -> None:
    panel = PractisePanel(None, tmp_path)
    lessons = [WORKSHEETS[name].lesson for name, _ in shown(panel)["worksheets"]]
    assert lessons == sorted(one.lesson for one in WORKSHEETS.values())
    assert [title for _, title in shown(panel)["worksheets"]] == [
        WORKSHEETS[name].title for name, _ in shown(panel)["worksheets"]
    ]
    for name in WORKSHEETS:
        panel.press("worksheet", name)
        assert shown(panel)["worksheet"] == name
        assert shown(panel)["question"] == practised_questions(WORKSHEETS[name])[0].name
    panel.press("question", "no_such_question")
    assert shown(panel)["worksheet"] == list(WORKSHEETS)[-1]


def test_kinds_of_questions_have_their_kinds_of_fields(tmp_path: Path) -> None:
    for worksheet, question in QUESTIONS:
        panel = panel_at(tmp_path, worksheet.name, question.name)
        options = question.options if isinstance(question, Choice) else ()
        assert tuple(shown(panel)["options"]) == options
        unit = f" ({question.unit})" if isinstance(question, Number) and question.unit else ""
        order = " (letters in order)" if isinstance(question, Ordering) else ""
        assert shown(panel)["label"] == f"Your answer{unit}{order}"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "Nothing is recorded here yet."),
        ('""', "Nothing is recorded here yet."),
        ("1,234", "can be read in two ways"),
        ("eleven", "is not a number"),
        ("x" * 500, "more than 200 characters"),
        ("nan", "is not a finite number"),
        ("<b>1</b>", "“<b>1</b>” is not a number"),
        ("11.0 12.0", "holds more than one number"),
        ("3.125 kW", "can be read in two ways"),
        ("9" * 300, "more than 200 characters"),
        ("11 V", "Accepted units: kW"),
    ],
)
def test_what_is_no_answer_is_a_sentence_and_no_try(tmp_path: Path, typed: str, says: str) -> None:
    panel = panel_at(tmp_path)
    for _ in range(WRONG_TRIES):
        panel.press("record", typed)
        assert says in shown(panel)["reaction"]
    assert not shown(panel)["working_open"]
    assert not (tmp_path / NAME).exists()


def test_quotation_marks_and_units_and_a_decimal_comma_do_not_matter(tmp_path: Path) -> None:
    panel = panel_at(tmp_path)
    panel.press("record", f"{float(key(panel)):.2f} kW".replace(".", ","))
    assert shown(panel)["reaction"] == "✔ Right."
    panel = panel_at(tmp_path, question="limiting_link")
    for typed in (f'"{key(panel)}"', f" “{key(panel)}” ", f"'{key(panel)}'", key(panel).upper()):
        panel.press("record", typed)
        assert shown(panel)["reaction"] == "✔ Right."


def test_a_page_hands_on_what_is_pressed_by_a_message(tmp_path: Path) -> None:
    panel = panel_at(tmp_path)
    panel.face._handle_custom_msg({"press": "record", "text": key(panel), "mark": "a7"}, [])
    assert shown(panel)["reaction"] == "✔ Right."
    assert shown(panel)["answered"] == "a7"


@pytest.mark.parametrize("name", ["charging power", "Work out charging power", "", "../x"])
def test_an_unknown_worksheet_is_one_line_that_lists_the_others(name: str) -> None:
    with pytest.raises(NotYet, match=f"there is no worksheet '{name}'.*charging-power") as refused:
        practise_panel(name)
    assert refused.value._render_traceback_() == [str(refused.value)]


# ---- Tries, working and progress


def test_the_working_opens_after_three_wrong_tries_and_then_the_card_does_not_count(tmp_path: Path) -> None:
    panel = panel_at(tmp_path)
    for at in range(WRONG_TRIES):
        assert not shown(panel)["working_open"]
        assert "after a right answer or 3 wrong tries" in shown(panel)["help"]
        panel.press("record", str(1000 + at))
    assert shown(panel)["working_open"]
    first = panel.task.number
    panel.press("working")
    assert panel.task.working in shown(panel)["help"]
    panel.press("record", key(panel))
    assert shown(panel)["reaction"].startswith(
        "✔ Right. You had seen the working, so this card does not count"
    )
    assert "right on 0 cards" in shown(panel)["progress"]
    # neither does it after closing: the next card is another one
    assert panel_at(tmp_path).task.number > first
    panel.press("card")
    assert panel.task.number == panel_at(tmp_path).task.number
    panel.press("record", key(panel))
    assert "right on 1 card." in shown(panel)["progress"]


def test_a_card_counts_once_and_a_later_slip_takes_nothing_back(tmp_path: Path) -> None:
    panel = panel_at(tmp_path)
    right = key(panel)
    for typed in (right, right, "1000", right):
        panel.press("record", typed)
    assert kept(tmp_path)[SHEET][QUESTION]["right"] == 1
    assert (
        f"Worksheet: 1 of {COUNT} questions right on a card. This question: right on 1 card."
        in shown(panel)["progress"]
    )
    assert dict(shown(panel)["questions"])[QUESTION] == "3. Power of a three-phase vehicle (1 right)"


def test_earlier_answers_are_given_and_go_on_by_the_rules(tmp_path: Path) -> None:
    panel = panel_at(tmp_path, question="battery_power_kw")
    card = BeautifulSoup(shown(panel)["card"], "html.parser")
    rows = {row.th.get_text(): row.td.get_text() for row in card.find_all("tr")}
    assert list(rows) == ["Efficiency of the charger", "From question 7: Power from the grid on two phases"]
    grid, efficiency = (
        rows["From question 7: Power from the grid on two phases"].split()[0],
        rows["Efficiency of the charger"].split()[0],
    )
    panel.press("record", f"{float(grid) * float(efficiency) / 100:.3f}0")
    assert shown(panel)["reaction"] == "✔ Right."
    panel.press("record", str(float(grid) / float(efficiency) * 100))
    assert "divided by the efficiency" in shown(panel)["reaction"]


def test_progress_is_resumed_by_a_new_panel(tmp_path: Path) -> None:
    panel = panel_at(tmp_path, question="phase_voltage_v")
    panel.press("record", key(panel))
    panel.press("card")
    waiting = panel.task.number
    panel.press("record", "1000")
    assert set(kept(tmp_path)) == {SHEET}
    assert kept(tmp_path)[SHEET] == {"phase_voltage_v": {"right": 1, "next_card": waiting}}

    again = PractisePanel(None, tmp_path)  # the last worksheet with progress, its first question without
    assert shown(again)["worksheet"] == SHEET
    assert shown(again)["question"] == "single_phase_power_kw"
    assert f"Worksheet: 1 of {COUNT} " in shown(again)["progress"]
    again.press("question", "phase_voltage_v")
    assert again.task.number == waiting
    assert shown(again)["typed"] == ""

    panel.press("worksheet", "read-ac")
    panel.press("record", key(panel))
    assert shown(PractisePanel(None, tmp_path))["worksheet"] == SHEET
    panel.press("worksheet", SHEET)
    assert shown(panel)["question"] == "single_phase_power_kw"


def test_looking_alone_writes_nothing(tmp_path: Path) -> None:
    panel = panel_at(tmp_path)
    panel.press("hint")
    panel.press("record", "1000")
    panel.press("worksheet", "read-ac")
    assert list(tmp_path.iterdir()) == []


def test_two_panels_of_one_folder_lose_nothing(tmp_path: Path) -> None:
    one, other = panel_at(tmp_path), panel_at(tmp_path, "read-ac", "line_peak_v")
    for panel in (one, other, one):
        panel.press("record", key(panel))
        panel.press("card")
    assert kept(tmp_path)[SHEET][QUESTION]["right"] == 2
    assert kept(tmp_path)["read-ac"]["line_peak_v"]["right"] == 1
    assert [path.name for path in tmp_path.iterdir()] == [NAME]


# ---- The file


GOOD = {SHEET: {QUESTION: {"right": 2, "next_card": 5}}}


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"\xff\xfe",
        b"[]",
        b"3",
        b'{"charging-power": 3}',
        b'{"charging-power": {"a": 3}}',
        b'{"charging-power": {"a": {"right": 1}}}',
        b'{"charging-power": {"a": {"right": 1, "next_card": 2, "name": "x"}}}',
        b'{"charging-power": {"a": {"right": -1, "next_card": 2}}}',
        b'{"charging-power": {"a": {"right": 1, "next_card": 0}}}',
        b'{"charging-power": {"a": {"right": true, "next_card": 2}}}',
        b'{"charging-power": {"a": {"right": 1.5, "next_card": 2}}}',
        b'{"charging-power": {"a": {"right": 1, "next_card": "2"}}}',
        b'{"charging-power": {"a": {"right": 1, "next_card": 1000000001}}}',
        b'{"charging-power": {"a": {"right": ' + b"9" * 5000 + b', "next_card": 2}}}',
        b"[" * 100_000,
    ],
    ids=range(17),
)
def test_a_damaged_file_is_set_aside_and_said(tmp_path: Path, content: bytes) -> None:
    (tmp_path / NAME).write_bytes(content)
    (tmp_path / "my-practice-damaged.json").write_text("an older one", encoding="utf-8")
    panel = panel_at(tmp_path)
    assert "It is now called my-practice-damaged-2.json" in shown(panel)["notice"]
    assert (tmp_path / "my-practice-damaged-2.json").read_bytes() == content
    assert (tmp_path / "my-practice-damaged.json").read_text(encoding="utf-8") == "an older one"
    panel.press("record", key(panel))
    assert kept(tmp_path)[SHEET][QUESTION]["right"] == 1
    assert shown(panel_at(tmp_path))["notice"] == ""


def test_a_file_of_worksheets_that_are_no_more_stays_as_it_is(tmp_path: Path) -> None:
    more = {**GOOD, "welding": {"seam": {"right": 0, "next_card": 1}}}
    (tmp_path / NAME).write_text(json.dumps(more), encoding="utf-8")
    panel = panel_at(tmp_path)
    assert panel.task.number == 5
    panel.press("record", key(panel))
    assert kept(tmp_path)["welding"] == more["welding"]
    assert kept(tmp_path)[SHEET][QUESTION]["right"] == 3


def test_largest_and_smallest_counts_are_sound(tmp_path: Path) -> None:
    counts = {
        SHEET: {
            QUESTION: {"right": 0, "next_card": 1},
            "line_current_a": {"right": 10**9, "next_card": 10**9},
        }
    }
    (tmp_path / NAME).write_text(json.dumps(counts), encoding="utf-8")
    file = PracticeFile(tmp_path)
    assert file.notices == []
    assert file.count(SHEET, "line_current_a") == Count(10**9, 10**9)


def cannot(*_: object, **__: object) -> None:
    raise PermissionError(13, "Permission denied")


def test_a_folder_that_cannot_be_written_is_said_once_and_practising_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / NAME).write_text(json.dumps(GOOD), encoding="utf-8")
    panel = panel_at(tmp_path)
    assert shown(panel)["notice"] == ""
    monkeypatch.setattr(Path, "write_text", cannot)
    for count in (3, 4):
        panel.press("record", key(panel))
        assert shown(panel)["notice"] == (
            "Your progress is not kept: my-practice.json cannot be written here (Permission denied). You can go on "
            "practising."
        )
        assert f"right on {count} cards" in shown(panel)["progress"]
        panel.press("card")
    assert kept(tmp_path) == GOOD


def test_a_disk_that_fills_up_leaves_the_old_file_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / NAME).write_text(json.dumps(GOOD), encoding="utf-8")
    panel = panel_at(tmp_path)
    monkeypatch.setattr(Path, "replace", cannot)
    panel.press("record", key(panel))
    assert "cannot be written here" in shown(panel)["notice"]
    assert [path.name for path in tmp_path.iterdir()] == [NAME]
    assert kept(tmp_path) == GOOD


@pytest.mark.parametrize("method", ["read_text", "rename"])
def test_a_file_that_cannot_be_read_or_set_aside_is_never_overwritten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, method: str
) -> None:
    (tmp_path / NAME).write_text("{", encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.setattr(Path, method, cannot)
        file = PracticeFile(tmp_path)
        file.keep(SHEET, QUESTION, Count(1, 2))
        assert file.count(SHEET, QUESTION) == Count(1, 2)
        assert len(file.notices) == 1
        assert "cannot be read here (Permission denied)" in file.notices[0]
    assert (tmp_path / NAME).read_text(encoding="utf-8") == "{"


def test_a_folder_in_the_place_of_the_file_is_said(tmp_path: Path) -> None:
    (tmp_path / NAME).mkdir()
    panel = panel_at(tmp_path)
    assert "cannot be read here" in shown(panel)["notice"]
    panel.press("record", key(panel))
    assert "right on 1 card." in shown(panel)["progress"]


@pytest.mark.skipif(sys.platform == "win32", reason="folders have no such mode there")
def test_a_read_only_folder_in_earnest(tmp_path: Path) -> None:
    """As another user, where the test is run by root: root may write anywhere."""
    script = (
        "import os, sys; from pathlib import Path; from acpower.worksheets.practice_file import *; "
        "os.getuid() or os.setuid(65534); file = PracticeFile(Path(sys.argv[1])); "
        "file.keep('a', 'b', Count(1, 2)); file.keep('a', 'b', Count(2, 3)); print(*file.notices)"
    )
    folder = tmp_path / "read-only"
    folder.mkdir(mode=0o555)
    # The folders of the test are closed to other users, all the way up to the one that all share.
    shared = Path(tempfile.gettempdir()).resolve()
    for above in takewhile(lambda above: above != shared, (tmp_path.resolve(), *tmp_path.resolve().parents)):
        above.chmod(above.stat().st_mode | 0o011)
    says = subprocess.run(
        [sys.executable, "-c", script, str(folder)], capture_output=True, text=True, check=True
    ).stdout
    assert says.count("cannot be written here (Permission denied)") == 1
    assert os.listdir(folder) == []


# ---- Own worksheets, still pages, imports


@pytest.fixture
def own(tmp_path: Path) -> Iterator[Path]:
    before = dict(WORKSHEETS)
    shutil.copytree(Path(__file__).parent / "own_worksheet", tmp_path / "own")
    yield tmp_path / "own"
    WORKSHEETS.clear()
    WORKSHEETS.update(before)
    _OWN.clear()


def test_own_worksheets_in_use_are_practised_too(own: Path, tmp_path: Path) -> None:
    use_own_worksheets(own)
    panel = PractisePanel("bench-heater", tmp_path)
    for name, _ in shown(panel)["questions"]:
        panel.press("question", name)
        panel.press("record", key(panel))
        assert shown(panel)["reaction"] == "✔ Right."


def test_a_worksheet_of_functions_only_is_left_to_its_notebook(monkeypatch: pytest.MonkeyPatch) -> None:
    from dataclasses import replace

    function = WORKSHEETS[SHEET].questions[-1]
    only = replace(WORKSHEETS[SHEET], name="only", questions=(function,))
    monkeypatch.setitem(WORKSHEETS, "only", only)
    with pytest.raises(NotYet, match="asks for functions only"):
        practise_panel("only")
    assert "only" not in [name for name, _ in shown(practise_panel(SHEET))["worksheets"]]


def test_a_page_without_a_kernel_shows_a_sentence(tmp_path: Path) -> None:
    bundle = PractisePanel(None, tmp_path)._repr_mimebundle_()[0]
    assert bundle["text/html"] == "<p>In a running notebook, the panel for practising stands here.</p>"
    assert "application/vnd.jupyter.widget-view+json" in bundle


def test_the_panels_of_the_lessons_bring_no_worksheets() -> None:
    code = "import sys, acpower.panels; print(*(name for name in sys.modules if 'worksheets' in name))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []


def test_signs_stand_with_words_and_the_card_is_said_to_be_invented(tmp_path: Path) -> None:
    panel = panel_at(tmp_path)
    assert "(invented)" in shown(panel)["card"]
    panel.press("record", "1000")
    assert shown(panel)["reaction"].startswith("➜ Not yet.")
    assert shown(panel)["colour"] == "#D55E00"
    panel.press("record", key(panel))
    assert shown(panel)["colour"] == "#0072B2"


def test_the_verdict_is_the_one_of_the_worksheet(tmp_path: Path) -> None:
    from acpower.worksheets.answers import Answer

    panel = panel_at(tmp_path)
    worksheet, question = panel.task.worksheet, panel.task.question
    card = worksheet.card(f"practise-{panel.task.number}")
    for typed in ("1000", "11", key(panel), "0.5 W"):
        panel.press("record", typed)
        says = judge(worksheet, question, Answer("text", typed), card, {}).says
        assert shown(panel)["reaction"][2:] == says
