"""Every mark scheme on many job cards: no slip passes for right, and no right answer for a slip.

No published source says how a mark scheme should behave on personal numbers; these are the rules
that the project sets itself. The draw behind the cards is tested at the end, against a vector that
was computed independently of this package.
"""

import hashlib
import hmac
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from math import floor, isfinite, sqrt
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import acpower
from acpower.circuit import cable_loss, voltage_drop, voltage_drop_percent
from acpower.marking.hand_out import job_card_source
from acpower.notebooks import folder
from acpower.plan import read_lesson
from acpower.protection import check_overload, residual_current_device
from acpower.worksheets.answers import Answer
from acpower.worksheets.cards import Draw, JobCard
from acpower.worksheets.check import problems
from acpower.worksheets.misconceptions import MISCONCEPTIONS
from acpower.worksheets.own import notebook_of
from acpower.worksheets.scheme import (
    COMMON_PRACTICE,
    LEVELS,
    Choice,
    Function,
    Number,
    Ordering,
    Worded,
    Worksheet,
)
from acpower.worksheets.schemes import WORKSHEETS
from acpower.worksheets.verdict import Verdict
from acpower.worksheets.verdicts import judge

CARDS = 500
WORK_OUT_KEYS = Worksheet.keys.__wrapped__
SOURCES = tomllib.loads((Path(acpower.__file__).parent / "tables" / "sources.toml").read_text("utf-8"))
each_worksheet = pytest.mark.parametrize("worksheet", WORKSHEETS.values(), ids=WORKSHEETS)

# What an electrician would call possible, lowest and highest, in the unit of the question.
PHYSICAL = {
    "follow-the-power": {
        "time_between_tops_ms": (8, 25),
        "drawn_current_a": (6, 32),
        "left_voltage_v": (0.5, 4),
    },
    "read-ac": {
        "line_peak_v": (500, 620),
        "transformer_rms_v": (3, 25),
        "lamp_power_w": (2, 40),
        "half_wave_rms_v": (10, 30),
        "meter_reading_a": (1, 16),
        "pilot_mean_v": (-12, -3),
        "total_current_a": (6, 16),
        "cable_loss_w": (5, 100),
    },
    "supplies": {
        "phase_voltage_v": (216, 253),
        "between_wires_v": (190, 256),
        "charger_power_kw": (4, 24),
        "bank_power_kw": (3, 22),
        "bank_current_a": (4, 32),
        "home_neutral_a": (7, 18),
        "lowest_voltage_v": (180, 220),
    },
    "connectors": {
        "rating_a": (32, 80),
        "rated_power_kw": (15, 45),
        "type_1_power_kw": (4, 12),
        "three_phase_power_kw": (8, 20),
        "two_phase_power_kw": (5, 14),
        "line_current_a": (13, 63),
        "cable_ohm": (100, 680),
        "dirty_cable_a": (13, 63),
    },
    "pilots": {
        "duty_percent": (10, 85),
        "offered_current_a": (6, 51),
        "upper_current_a": (52.5, 80),
        "offer_duty_percent": (10, 85),
        "pilot_rms_v": (9, 12),
    },
    "charging-power": {
        "phase_voltage_v": (216, 253),  # 230 V, +10 % and -6 %
        "single_phase_power_kw": (1.4, 7.4),
        "three_phase_power_kw": (4, 44),
        "line_current_a": (6, 63),
        "charging_current_a": (6, 63),
        "grid_power_kw": (2, 15),
        "battery_power_kw": (2, 14),
        "loss_power_kw": (0.2, 3),
        "neutral_current_a": (6, 63),
    },
    "weakest-link": {
        "cable_rating_a": (13, 32),
        "offer_a": (6, 32),
        "charging_power_kw": (2, 6),
        "three_phase_power_kw": (6, 18),
        "sagged_power_kw": (5, 17),
        "cable_heat_w": (3, 40),
        "heat_factor": (1.5, 8),
    },
    "losses": {
        "chain_efficiency_percent": (65, 80),
        "given_back_kwh": (25, 48),
        "loss_w": (100, 300),
        "best_power_kw": (2, 5),
        "bought_kwh": (40, 65),
        "bought_loss_percent": (10, 30),
        "auxiliaries_kwh": (1, 3),
        "standby_mj": (60, 140),
        "true_power_factor": (0.6, 0.95),
    },
    "charge-time": {
        "energy_needed_kwh": (10, 80),
        "battery_power_kw": (2, 10),
        "time_h": (4, 12),
        "time_min": (240, 720),
        "grid_energy_kwh": (12, 95),
        "cost_units": (3, 40),
        "stay_cost_units": (1, 8),
        "second_time_h": (0.5, 10),
        "slows_down_percent": (85, 99),
    },
    "charging-point": {
        "station_current_a": (6, 63),
        "design_current_a": (8, 80),
        "breaker_a": (15, 80),
        "conductor_mohm": (20, 300),
        "drop_percent": (0.3, 5),  # the advice of IEC 60364-5-52 ends at 5 %
        "cable_loss_w": (20, 500),
        "share_a": (6, 32),
        "charge_time_h": (1, 12),
    },
}

# Here the answer is one of the numbers on the card: to choose the right one is the question.
CHOSEN_FROM_THE_CARD = {
    ("follow-the-power", "drawn_current_a"),
    ("charging-power", "charging_current_a"),
    ("charging-power", "neutral_current_a"),  # of two phases: as much as one line
    ("weakest-link", "offer_a"),
}


@cache
def keys_of(worksheet: Worksheet, card: JobCard) -> SimpleNamespace:
    return WORK_OUT_KEYS(worksheet, card)


@pytest.fixture(autouse=True)
def _keys_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Judging asks for all keys of a card again and again; over so many cards once must do."""
    monkeypatch.setattr(Worksheet, "keys", keys_of)


@cache
def cards(name: str) -> list[JobCard]:
    return [WORKSHEETS[name].card(f"card-{number}") for number in range(CARDS)]


def numbers(worksheet: Worksheet) -> list[Number]:
    return [question for question in worksheet.questions if isinstance(question, Number)]


def worded(worksheet: Worksheet) -> list[Worded]:
    return [question for question in worksheet.questions if isinstance(question, Worded)]


def functions(worksheet: Worksheet) -> list[Function]:
    return [question for question in worksheet.questions if isinstance(question, Function)]


def each_key(worksheet: Worksheet, count: int = CARDS) -> Iterator[tuple[JobCard, Any, Number]]:
    """Go through every number question of every card, with the keys of the card."""
    for card in cards(worksheet.name)[:count]:
        keys = worksheet.keys(card)
        for question in numbers(worksheet):
            yield card, keys, question


def judged(worksheet: Worksheet, question: Any, card: JobCard, text: str) -> Verdict:
    return judge(worksheet, question, Answer("number", text), card, {})


def judged_words(worksheet: Worksheet, question: Any, card: JobCard, text: str) -> tuple[str, list[str]]:
    verdict = judge(worksheet, question, Answer("text", text), card, {})
    return verdict.outcome, names(verdict)


def rounded(value: float, question: Number) -> str:
    """Write a value with the figures required, three at least: two cannot tell neighbours apart."""
    return f"{value:.{max(3, question.figures) - 1}e}"


def names(verdict: Verdict) -> list[str]:
    return [error.name for error in verdict.known_errors]


# ---- Keys and known errors


@each_worksheet
def test_the_check_for_own_worksheets_finds_nothing_wrong(worksheet: Worksheet) -> None:
    """Keys right, known errors named and by no other name, workings, notebook: see acpower/worksheets/check.py."""
    assert problems(worksheet, notebook_of(worksheet.name), CARDS) == []


@each_worksheet
def test_a_known_error_rounded_by_hand_is_named_alone_or_with_one_other(worksheet: Worksheet) -> None:
    unclear = []
    for card, keys, question in each_key(worksheet, 200):
        for error in question.known_errors:
            value = float(error.formula(card, keys))
            if not isfinite(value):
                continue
            verdict = judged(worksheet, question, card, rounded(value, question))
            if verdict.outcome != "known error" or error.name not in names(verdict):
                unclear.append((card.apprentice, question.name, error.name, value, verdict))
    assert unclear == []


@each_worksheet
def test_every_option_of_a_choice_is_the_right_one_for_somebody(worksheet: Worksheet) -> None:
    """So that nobody can leave an option out; and no order is the one in which the statements stand."""
    for question in worded(worksheet):
        right = [getattr(worksheet.keys(card), question.name) for card in cards(worksheet.name)]
        if isinstance(question, Choice):
            assert min(right.count(option) for option in question.options) >= CARDS / 20, question.name
        if isinstance(question, Ordering):
            assert question.letters not in right
            assert all(sorted(order) == sorted(question.letters) for order in right)


# ---- Cards: physical, without chance hits, equally hard


@each_worksheet
def test_every_answer_is_physically_possible(worksheet: Worksheet) -> None:
    ranges = PHYSICAL[worksheet.name]
    assert [question.name for question in numbers(worksheet)] == list(ranges)
    for card, keys, question in each_key(worksheet):
        low, high = ranges[question.name]
        assert low <= getattr(keys, question.name) <= high, (card.apprentice, question.name)


@each_worksheet
def test_no_answer_stands_on_the_card_by_accident(worksheet: Worksheet) -> None:
    hits = [
        (card.apprentice, question.name, entry.name)
        for card, keys, question in each_key(worksheet)
        if (worksheet.name, question.name) not in CHOSEN_FROM_THE_CARD
        for key in [float(f"{getattr(keys, question.name):.{question.figures}e}")]
        for entry in worksheet.entries
        if entry.unit == question.unit
        and not isinstance(card.values[entry.name], str)
        and abs(card.values[entry.name] - key) <= question.relative * abs(key)
    ]
    assert hits == []


@each_worksheet
def test_every_workshop_value_is_met_and_no_two_cards_are_alike(worksheet: Worksheet) -> None:
    drawn = [card.values for card in cards(worksheet.name)]
    for entry in worksheet.entries:
        assert {values[entry.name] for values in drawn} == set(entry.values)
    assert len({tuple(values.values()) for values in drawn}) == CARDS


@each_worksheet
def test_the_numbers_of_a_card_are_equally_hard_to_handle(worksheet: Worksheet) -> None:
    for entry in worksheet.entries:
        values = [value for value in entry.values if not isinstance(value, str)]
        if not values:
            continue
        figures = [len(Decimal(repr(value)).normalize().as_tuple().digits) for value in values]
        assert max(figures) - min(figures) <= 1, entry.name
        # A factor of 1 or 0, or 100 %, would take a step away; another sign would add one.
        assert not {0, 1, 100} & set(values), entry.name
        assert len({value > 0 for value in values}) == 1, entry.name
        assert max(map(abs, values)) <= 6 * min(map(abs, values)), entry.name


@each_worksheet
def test_the_answers_of_a_question_have_one_sign_and_one_size(worksheet: Worksheet) -> None:
    for question in numbers(worksheet):
        keys = [getattr(worksheet.keys(card), question.name) for card in cards(worksheet.name)]
        assert len({key > 0 for key in keys}) == 1, question.name
        assert max(map(abs, keys)) <= 10 * min(map(abs, keys)), question.name


def test_no_charge_ends_near_a_full_hour() -> None:
    """Where decimal hours and clock time nearly agree, the question would be easier."""
    for card in cards("charge-time"):
        hours = WORKSHEETS["charge-time"].keys(card).time_h
        assert 15 <= 60 * (hours - floor(hours)) <= 55


def test_one_link_limits_and_its_power_or_current_stands_out() -> None:
    for card in cards("charging-power"):
        ratings = [card.supply_current, card.station_current, card.cable_current, card.vehicle_current]
        assert ratings.count(min(ratings)) == 1
    for card in cards("charge-time"):
        limits = [card.supply_limit, card.station_limit, card.vehicle_limit]
        assert limits.count(min(limits)) == 1
        # The second station is the faster one, whichever link limits it.
        assert min(limits) > card.station_power


def test_the_cable_and_the_check_of_a_charging_point_are_those_of_the_formulas() -> None:
    """From the card alone, without the earlier answers on which the keys go on."""
    for card in cards("charging-point")[:100]:
        keys = WORKSHEETS["charging-point"].keys(card)
        cable = (card.length_m, card.area_mm2)
        lost = voltage_drop(card.single_current, *cable, phases=1, temperature_c=card.conductor_celsius)
        assert keys.drop_percent == pytest.approx(voltage_drop_percent(lost, card.line_voltage / sqrt(3)))
        current = 1000 * card.station_kw / (sqrt(3) * card.line_voltage)
        heat = cable_loss(current, *cable, phases=3, temperature_c=card.conductor_celsius)
        assert keys.cable_loss_w == pytest.approx(heat)

        check = check_overload(card.other_load, card.other_breaker, card.other_capacity)
        failed = {"first": not check.breaker_carries_load, "second": not check.cable_carries_breaker}
        assert [name for name in failed if failed[name]] == [
            name for name in [keys.overload_check] if name != "none"
        ]

        kind = card.residual_current.removesuffix(" as well")
        detected = "AC" if kind == "alternating current only" else kind
        assert residual_current_device(f"type-{keys.rcd_type.lower()}").detects[-1] == detected


@each_worksheet
def test_a_redraw_is_identical_whatever_process_draws(worksheet: Worksheet) -> None:
    again = [worksheet.card(f"card-{number}") for number in range(CARDS)]
    assert [card.values for card in again] == [card.values for card in cards(worksheet.name)]
    script = (
        "import json, sys; from acpower.worksheets.schemes import find_worksheet; "
        "sheet = find_worksheet(sys.argv[1]); "
        "print(json.dumps([dict(sheet.card(f'card-{n}').values) for n in range(50)]))"
    )
    printed = subprocess.run(
        [sys.executable, "-c", script, worksheet.name],
        env=os.environ | {"PYTHONHASHSEED": "4711"},
        capture_output=True,
        check=True,
        timeout=60,
    ).stdout
    assert json.loads(printed) == [dict(card.values) for card in again[:50]]


def test_another_worksheet_version_apprentice_or_term_gives_another_card() -> None:
    def first_values(term: str, version: str, item: str, apprentice: str) -> list[int]:
        draw = Draw(term, version, item, apprentice)
        return [draw.choose(range(1000)) for _ in range(8)]

    base = ("term", "1", "read-ac", "A07")
    changed = [(*base[:place], "other", *base[place + 1 :]) for place in range(4)]
    assert len({tuple(first_values(*fields)) for fields in [base, *changed]}) == 5
    # The fields are kept apart: moving a letter from one to the next is another card.
    assert first_values("term", "1", "read-acA", "07") != first_values("term", "1", "read-ac", "A07")


# ---- Follow-through and the form of a scheme


@each_worksheet
def test_needs_name_number_questions_that_come_before(worksheet: Worksheet) -> None:
    before: list[str] = []
    for question in worksheet.questions:
        assert set(question.needs) <= set(before), question.name
        if isinstance(question, Number):
            before.append(question.name)


@each_worksheet
def test_formulas_use_no_earlier_answer_but_those_needed(worksheet: Worksheet) -> None:
    for card, keys, question in each_key(worksheet, 20):
        own = SimpleNamespace(**{name: getattr(keys, name) for name in question.needs})
        for formula in [question.key, question.working, *(error.formula for error in question.known_errors)]:
            assert repr(formula(card, own)) == repr(formula(card, keys)), question.name


@each_worksheet
def test_a_right_step_from_each_wrong_earlier_answer_earns_its_marks(worksheet: Worksheet) -> None:
    carried = set()
    for card, keys, question in each_key(worksheet, 50):
        for wrong in question.needs:
            own = {name: float(getattr(keys, name)) for name in question.needs}
            own[wrong] *= 1.1
            value = float(question.key(card, SimpleNamespace(**own)))
            earlier = {name: Answer("number", repr(at)) for name, at in own.items()}
            verdict = judge(worksheet, question, Answer("number", repr(value)), card, earlier)
            # A value that hardly weighs, such as a small harmonic, may leave the answer plainly right.
            assert verdict.outcome in ("carried forward", "right"), question.name
            assert verdict.marks == question.marks
            if verdict.outcome == "carried forward":
                carried.add((question.name, wrong))
    assert carried == {(question.name, name) for question in worksheet.questions for name in question.needs}


@each_worksheet
def test_a_known_error_costs_its_own_step_only(worksheet: Worksheet) -> None:
    """Whatever known error went before: the right step from its value earns full marks."""
    for card, keys, question in each_key(worksheet, 20):
        for wrong in question.needs:
            for error in worksheet.question(wrong).known_errors:
                own = {name: float(getattr(keys, name)) for name in question.needs}
                own[wrong] = float(error.formula(card, keys))
                if not isfinite(own[wrong]):  # the error gives no value of its own on this card
                    continue
                value = float(question.key(card, SimpleNamespace(**own)))
                if value <= 0:  # such as a loss when more comes out than goes in: nothing follows
                    continue
                earlier = {name: Answer("number", repr(at)) for name, at in own.items()}
                verdict = judge(worksheet, question, Answer("number", repr(value)), card, earlier)
                assert verdict.passed, (question.name, error.name)
                assert verdict.marks == question.marks


@each_worksheet
@pytest.mark.parametrize("own", ["1e-300", "1e300", "1.7e308"])
def test_earlier_answers_beyond_all_reason_are_judged_all_the_same(worksheet: Worksheet, own: str) -> None:
    for card, keys, question in each_key(worksheet, 3):
        earlier = {name: Answer("number", own) for name in question.needs}
        text = repr(float(getattr(keys, question.name)))
        assert judge(worksheet, question, Answer("number", text), card, earlier).outcome == "right"
        assert judge(worksheet, question, Answer("number", "-777"), card, earlier).marks == 0


@each_worksheet
def test_a_scheme_keeps_to_its_form(worksheet: Worksheet) -> None:
    questions = [question.name for question in worksheet.questions]
    assert len(set(questions)) == len(questions)
    assert 8 <= len(questions) <= 12
    assert {question.level for question in worksheet.questions} == set(LEVELS)
    for question in worksheet.questions:
        assert question.marks >= 1
        assert set(question.sources) <= {*SOURCES, COMMON_PRACTICE}
        assert question.sources, question.name
        assert len(set(question.hints)) == 3, question.name
        errors = [error.name for error in question.known_errors]
        assert errors
        assert len(set(errors)) == len(errors)
        for error in question.known_errors:
            assert 0 <= error.keeps < question.marks, error.name
            assert not error.says[0].isupper(), error.says
            assert not error.says.endswith("."), error.says
            assert error.misconception in ("", *MISCONCEPTIONS), error.misconception
        for hint in [*question.hints, *(error.hint for error in question.known_errors)]:
            assert hint.endswith((".", "?")), hint
    for question in numbers(worksheet):
        if question.unit.endswith(("V", "A", "W", "h", "min")):
            assert question.name.endswith("_" + question.unit.lower()), "the unit stands in the name"


@each_worksheet
def test_no_hint_gives_the_answer(worksheet: Worksheet) -> None:
    for card, _, question in each_key(worksheet, 50):
        for error in question.known_errors:
            for number in re.findall(
                r"\d+(?:\.\d+)?", f"{' '.join(question.hints)} {error.says} {error.hint}"
            ):
                assert judged(worksheet, question, card, number).outcome != "right", (number, error.hint)
    for question in worksheet.questions:
        texts = [*question.hints, *(f"{error.says} {error.hint}" for error in question.known_errors)]
        if isinstance(question, Worded):
            rights = {getattr(worksheet.keys(card), question.name) for card in cards(worksheet.name)}
            given_away = [(right, text) for right in rights for text in texts if in_words(right, text)]
            assert not given_away, question.name
        if isinstance(question, Function):
            formula = question.working.removeprefix("return ")
            assert not [text for text in texts if formula in text]


def in_words(right: str, text: str) -> bool:
    return re.search(rf"\b{re.escape(right)}\b", text, re.IGNORECASE if len(right) > 2 else 0) is not None


@each_worksheet
def test_every_outcome_of_the_lesson_has_a_question(worksheet: Worksheet) -> None:
    lesson = folder("course") / f"{worksheet.lesson}.ipynb"
    outcomes = read_lesson(worksheet.lesson, lesson.read_text(encoding="utf-8")).outcomes
    assert {question.outcome for question in worksheet.questions} == set(outcomes)


def test_the_known_errors_cover_the_misconceptions() -> None:
    used = {
        error.misconception
        for worksheet in WORKSHEETS.values()
        for question in worksheet.questions
        for error in question.known_errors
        if error.misconception
    }
    assert len(used) >= 45, sorted(set(MISCONCEPTIONS) - used)


@each_worksheet
def test_what_differs_in_kind_between_cards_is_met_often_enough(worksheet: Worksheet) -> None:
    for name, level_of in worksheet.features.items():
        levels = [level_of(card) for card in cards(worksheet.name)]
        assert len(set(levels)) > 1, name
        assert min(levels.count(level) for level in set(levels)) >= CARDS / 20, name


# ---- The notebooks say what the scheme says


@each_worksheet
@pytest.mark.parametrize("room", ["exercises", "solutions"])
def test_titles_marks_and_names_in_the_notebook_are_those_of_the_scheme(
    worksheet: Worksheet, room: str
) -> None:
    notebook = json.loads((folder(room) / f"{worksheet.name}.ipynb").read_text(encoding="utf-8"))
    cells = {cell["id"]: "".join(cell["source"]) for cell in notebook["cells"]}
    text = "\n".join("".join(cell["source"]) for cell in notebook["cells"] if cell["cell_type"] == "markdown")

    assert cells["job-card"] == job_card_source(worksheet)
    assert cells["title"].splitlines()[0].startswith(f"# {worksheet.title}")
    assert f"[{worksheet.title}](../course/{worksheet.lesson}.ipynb)" in text
    if room == "exercises":
        assert f" {worksheet.marks} marks." in cells["title"]
    headings = re.findall(r"^## (\d+)\. (.+) \((\d+) marks?\)$", text, flags=re.MULTILINE)
    assert headings == [
        (str(place), question.title, str(question.marks))
        for place, question in enumerate(worksheet.questions, 1)
    ]
    for question in worksheet.questions:
        if isinstance(question, Ordering):
            for letter, statement in zip(question.letters, question.statements, strict=True):
                assert f"\n- **{letter}** {statement}\n" in f"{text}\n", question.name
    recorded = re.findall(r'^job\.record\("(\w+)", (\w+)\)$', "\n".join(cells.values()), flags=re.MULTILINE)
    assert recorded == [(question.name, question.name) for question in worksheet.questions]


@each_worksheet
def test_a_question_that_goes_on_from_an_answer_names_it(worksheet: Worksheet) -> None:
    """The prose says where to go on from, and the scheme follows it."""
    notebook = json.loads((folder("exercises") / f"{worksheet.name}.ipynb").read_text(encoding="utf-8"))
    cells = {cell["id"]: "".join(cell["source"]) for cell in notebook["cells"]}
    for question in worksheet.questions:
        prose = cells[f"{question.name.replace('_', '-')}-question"]
        assert ("Go on from your own answer" in prose) == bool(question.needs), question.name


# ---- The draw


def test_the_draw_repeats_a_vector_computed_independently_of_this_package() -> None:
    """HMAC-SHA-256 (RFC 2104 with FIPS 180-4) over version, item, apprentice and counter.

    The fields are joined with U+001F and the counter is decimal, from 0. The first 8 bytes are
    read big-endian; the index is their remainder by the length of the list. The choices below were
    computed outside this package, from that description.
    """
    currents, factors = (10, 13, 16, 20, 25, 32), (0.95, 0.96, 0.97, 0.98, 0.99)
    drawn = {}
    for apprentice in ("A01", "A02", "A03"):
        draw = Draw("course secret (kept by instructor)", "v1", "Q1", apprentice)
        drawn[apprentice] = (draw.choose(currents), draw.choose(factors))
    assert drawn == {"A01": (20, 0.96), "A02": (25, 0.97), "A03": (16, 0.97)}


def test_hmac_sha_256_is_the_published_one() -> None:
    """RFC 4231, section 4.3, test case 2."""
    digest = hmac.digest(b"Jefe", b"what do ya want for nothing?", hashlib.sha256)
    assert digest.hex() == "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"


def test_no_value_of_a_list_is_likelier_than_another() -> None:
    """Chi-square with 6 degrees of freedom: 22.46 is passed by chance once in a thousand draws."""
    draw = Draw("term", "1", "fairness", "A07")
    drawn = [draw.choose(range(7)) for _ in range(7000)]
    assert sum((drawn.count(value) - 1000) ** 2 / 1000 for value in range(7)) < 22.46
