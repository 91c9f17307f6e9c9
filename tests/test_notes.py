"""When wrong answers that fit the job card of another apprentice are noted, and when it may well be chance.

A note that comes too easily puts an innocent apprentice under suspicion. The rule is the project's own; what
chance alone brings is worked out here from the binomial distribution, term by term.
"""

from dataclasses import replace
from math import comb

import pytest

from acpower.marking.judge import judge_worksheet
from acpower.marking.notes import (
    HIGHEST_PROBABILITY,
    LEAST_CHANCE,
    note_other_cards,
    notes_on_run,
)
from acpower.marking.result import Result
from acpower.marking.run import Run
from acpower.marking.submission import Submission
from acpower.worksheets.answers import Answer, answer_from_value
from acpower.worksheets.cards import Entry, JobCard
from acpower.worksheets.scheme import COMMON_PRACTICE, Number, Worksheet

NAMES = tuple(f"reading_{number}_v" for number in range(1, 9))
# Two per cent apart, so that no value lies within the tolerance of another one.
VALUES = tuple(round(100 * 1.02**step, 2) for step in range(200))
SHEET = Worksheet(
    name="readings",
    version="1",
    title="Readings (invented)",
    lesson="none",
    entries=tuple(Entry(name, name, "V", VALUES) for name in NAMES),
    questions=tuple(
        Number(
            name=name,
            title=name,
            marks=1,
            level=1,
            outcome="read",
            hints=("a", "b", "c"),
            sources=(COMMON_PRACTICE,),
            unit="V",
            key=lambda card, earlier, name=name: getattr(card, name),
            working=lambda card, earlier: "as read",
        )
        for name in NAMES
    ),
)
COPIED_FROM, FITS_NOBODY = "C002", 5.0


def card_of(apprentice: str) -> JobCard:
    return SHEET.card(apprentice)


def result_of(apprentice: str, changed: dict[str, float]) -> Result:
    """Return a worksheet on which all is right but for what was changed."""
    card = card_of(apprentice)
    answers: dict[str, Answer] = {
        name: answer_from_value(changed.get(name, card.values[name])) for name in NAMES
    }
    submission = Submission(f"{apprentice}.ipynb", "accepted", apprentice, SHEET)
    return Result(submission, judge_worksheet(SHEET, card, answers))


def first_notes(size: int, copied: int, other: int) -> list[tuple[str, str]]:
    """Return the notes on C001 in a class: so many answers from another card, so many that fit nobody."""
    theirs = card_of(COPIED_FROM).values
    changed = {name: theirs[name] for name in NAMES[:copied]}
    changed |= dict.fromkeys(NAMES[copied : copied + other], FITS_NOBODY)
    ids = [f"C{number:03d}" for number in range(1, size + 1)]
    return note_other_cards([result_of(one, changed if one == "C001" else {}) for one in ids])[0].notes


def by_chance(matches: int, wrong: int, others: int) -> float:
    """Return how often at least so many of the wrong answers fit one of the other cards by chance."""
    one_card = sum(
        comb(wrong, count) * LEAST_CHANCE**count * (1 - LEAST_CHANCE) ** (wrong - count)
        for count in range(matches, wrong + 1)
    )
    return others * one_card


@pytest.mark.parametrize(
    ("run", "says"),
    [
        (Run(), "The job card was not opened"),
        (Run(opened="welding"), "opened the job card of another worksheet (“welding”)"),
        (Run(opened="readings", opened_for="C009"), "opened the job card of “C009”, but the file is C001's"),
        (Run(opened="readings", numbers={"reading_1_v": "0"}), "shows other numbers than were handed out"),
    ],
)
def test_a_job_card_other_than_the_one_handed_out_is_noted(run: Run, says: str) -> None:
    result = result_of("C001", {})
    assert result.marked is not None
    ((code, noted),) = notes_on_run(replace(result.submission, cells=NAMES), run, result.marked)
    assert code == "structure-changed"
    assert says in noted


@pytest.mark.parametrize("size", [20, 150])
def test_answers_that_all_fit_one_other_card_are_noted(size: int) -> None:
    ((code, says),) = first_notes(size, copied=6, other=0)
    assert code == "other-card"
    assert says.startswith(
        f"6 of 6 wrong answers fit the job card of {COPIED_FROM}. The marks are not changed"
    )


def test_the_same_answers_are_noted_in_a_small_class_and_may_be_chance_in_a_large_one() -> None:
    assert by_chance(3, 6, others=19) < HIGHEST_PROBABILITY < by_chance(3, 6, others=149)
    assert [code for code, _ in first_notes(20, copied=3, other=3)] == ["other-card"]
    assert first_notes(150, copied=3, other=3) == []


def test_two_answers_or_less_than_half_of_the_wrong_ones_are_never_noted() -> None:
    assert by_chance(2, 2, others=2) < HIGHEST_PROBABILITY
    assert first_notes(3, copied=2, other=0) == []
    assert by_chance(3, 8, others=2) < HIGHEST_PROBABILITY
    assert first_notes(3, copied=3, other=5) == []


def test_nobody_is_alone_with_an_own_card() -> None:
    assert first_notes(1, copied=3, other=0) == []
