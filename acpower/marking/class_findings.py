"""What a marked class has got right and misunderstood: counts, names, groups to teach again, fairness."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from acpower.marking.item_statistics import Estimate, Statistic, facility
from acpower.marking.result import ClassResult, Result
from acpower.worksheets.misconceptions import MISCONCEPTIONS, Misconception
from acpower.worksheets.scheme import KnownError, Question, Worksheet
from acpower.worksheets.schemes import WORKSHEETS

RETEACH_FROM = 3
"""Apprentices with the same known error or misconception that make a group."""
_MOST_SUGGESTED = 3


@dataclass(frozen=True)
class Place:
    """A question and where it stands."""

    worksheet: Worksheet
    number: int

    @property
    def question(self) -> Question:
        """The question itself."""
        return self.worksheet.questions[self.number - 1]

    @property
    def name(self) -> tuple[str, str]:
        """The names of worksheet and question: two places with the same name are the same."""
        return self.worksheet.name, self.question.name


@dataclass(frozen=True)
class QuestionPicture:
    """One question over the class: how many of each outcome, and which share of the marks."""

    place: Place
    counts: Counter[str]
    facility: Statistic

    @property
    def right(self) -> int:
        """How many have it right, their own earlier values carried forward."""
        return self.counts["right"] + self.counts["carried forward"]


@dataclass(frozen=True)
class ErrorPicture:
    """One known error over the class: who made it. ``shared`` counts those where another fits as well."""

    place: Place
    error: KnownError
    apprentices: tuple[str, ...]
    shared: int

    @property
    def misconception(self) -> Misconception | None:
        """What was misunderstood, where the mark scheme says so."""
        return MISCONCEPTIONS.get(self.error.misconception)


@dataclass(frozen=True)
class Group:
    """Known errors that go back to one misconception, or a known error by itself, and who made them.

    ``apprentices`` stand in the order of the register, each once. ``suggested`` are questions to
    practise on: other ones in which the same misconception shows.
    """

    misconception: Misconception | None
    errors: tuple[ErrorPicture, ...]
    apprentices: tuple[str, ...]
    suggested: tuple[Place, ...]

    @property
    def what(self) -> str:
        """The misconception, or else the known error, in words."""
        return self.misconception.what if self.misconception else self.errors[0].error.says

    @property
    def seen_in(self) -> list[tuple[Place, int]]:
        """The questions in which it shows, each once, and how many apprentices show it there."""
        who: dict[tuple[str, str], set[str]] = defaultdict(set)
        for error in self.errors:
            who[error.place.name].update(error.apprentices)
        places = {error.place.name: error.place for error in self.errors}
        return [(place, len(who[name])) for name, place in places.items()]

    @property
    def answers(self) -> int:
        """How many answers fit: one apprentice may have given several."""
        return sum(number for _, number in self.seen_in)

    @property
    def hints(self) -> tuple[str, ...]:
        """What helps, each hint once; one that is part of a longer one is left out."""
        hints = dict.fromkeys(error.error.hint for error in self.errors)
        return tuple(hint for hint in hints if not any(hint in other for other in hints if other != hint))


@dataclass(frozen=True)
class Level:
    """The apprentices whose job card shows a feature in one way, and their share of the marks."""

    feature: str
    level: str
    facility: Statistic


@dataclass(frozen=True)
class Unequal:
    """A question that was harder with one kind of job card than with another, so far that chance is unlikely."""

    place: Place
    hardest: Level
    easiest: Level


@dataclass(frozen=True)
class Fairness:
    """How the kinds of job cards compare: over the whole worksheet, and question by question."""

    levels: tuple[Level, ...]
    unequal: tuple[Unequal, ...]
    compared: int
    """How many pairs of question and feature were looked at."""


def places(worksheet: Worksheet) -> list[Place]:
    """Return the places of all questions of a worksheet."""
    return [Place(worksheet, number) for number in range(1, len(worksheet.questions) + 1)]


def marks_table(results: Sequence[Result]) -> list[list[int]]:
    """Return the marks that count: one row for each marked worksheet, one column for each question."""
    return [[one.marks for one in result.marked.questions] for result in results if result.marked]


def question_pictures(worksheet: Worksheet, results: Sequence[Result]) -> list[QuestionPicture]:
    """Count the outcomes of each question over the marked worksheets."""
    marked = [result.marked for result in results if result.marked]
    return [
        QuestionPicture(
            place,
            Counter(one.questions[place.number - 1].verdict.outcome for one in marked),
            _facility(place, results),
        )
        for place in places(worksheet)
    ]


def error_pictures(worksheet: Worksheet, results: Sequence[Result]) -> list[ErrorPicture]:
    """Collect the known errors of a class, the most frequent first."""
    pictures = []
    for place in places(worksheet):
        who: dict[str, list[str]] = defaultdict(list)
        shared: Counter[str] = Counter()
        errors: dict[str, KnownError] = {}
        for result in results:
            if result.marked:
                found = result.marked.questions[place.number - 1].verdict.known_errors
                for error in found:
                    errors[error.name] = error
                    who[error.name].append(result.submission.apprentice)
                    shared[error.name] += len(found) > 1
        pictures += [
            ErrorPicture(place, errors[name], tuple(apprentices), shared[name])
            for name, apprentices in who.items()
        ]
    return sorted(pictures, key=lambda picture: (-len(picture.apprentices), picture.place.number))


def groups(class_result: ClassResult) -> list[Group]:
    """Gather the known errors of all worksheets of a class by misconception, the biggest group first.

    An error that belongs to no misconception is a group by itself.
    """
    together: dict[tuple[str, ...], list[ErrorPicture]] = defaultdict(list)
    for worksheet in class_result.worksheets:
        for picture in error_pictures(worksheet, class_result.of(worksheet)):
            alone = (*picture.place.name, picture.error.name)
            together[(picture.error.misconception,) if picture.misconception else alone].append(picture)
    found = []
    for errors in together.values():
        who = {one for error in errors for one in error.apprentices}
        in_order = tuple(one for one in class_result.register.ids if one in who)
        found.append(Group(errors[0].misconception, tuple(errors), in_order, tuple(_suggested(errors))))
    return sorted(found, key=lambda group: (-len(group.apprentices), -group.answers))


def _suggested(errors: Sequence[ErrorPicture]) -> list[Place]:
    """Return questions in which the misconception shows as well, those of the same worksheets first."""
    if errors[0].misconception is None:
        return []
    done = {error.place.name for error in errors}
    here = {error.place.worksheet.name: error.place.worksheet for error in errors}
    worksheets = [*here.values(), *(one for name, one in WORKSHEETS.items() if name not in here)]
    return [
        place
        for worksheet in worksheets
        for place in places(worksheet)
        if place.name not in done
        and any(error.misconception == errors[0].error.misconception for error in place.question.known_errors)
    ][:_MOST_SUGGESTED]


def fairness(worksheet: Worksheet, results: Sequence[Result]) -> Fairness:
    """Compare the job cards that differ in kind: a check, not a proof.

    A question is named when the interval of one kind of card ends below that of another. Few
    apprentices have wide intervals, so that nothing is named; many comparisons name one by chance
    now and then.
    """
    levels: list[Level] = []
    unequal: list[Unequal] = []
    for feature, level_of in worksheet.features.items():
        by_level: dict[str, list[Result]] = defaultdict(list)
        for result in results:
            if result.marked:
                by_level[level_of(result.marked.card)].append(result)
        levels += [Level(feature, level, _total(by_level[level])) for level in sorted(by_level)]
        for place in places(worksheet):
            each = [Level(feature, level, _facility(place, with_it)) for level, with_it in by_level.items()]
            unequal += _apart(place, each)
    return Fairness(tuple(levels), tuple(unequal), len(worksheet.features) * len(worksheet.questions))


def _apart(place: Place, levels: Sequence[Level]) -> list[Unequal]:
    """Return the two levels that lie furthest apart, if their intervals do not meet."""
    estimates = [(one, one.facility) for one in levels if isinstance(one.facility, Estimate)]
    if not estimates:
        return []
    hardest, upper = min(estimates, key=lambda pair: pair[1].high)
    easiest, lower = max(estimates, key=lambda pair: pair[1].low)
    return [Unequal(place, hardest, easiest)] if upper.high < lower.low else []


def _facility(place: Place, results: Sequence[Result]) -> Statistic:
    earned = [row[place.number - 1] for row in marks_table(results)]
    return facility([marks / place.question.marks for marks in earned])


def _total(results: Sequence[Result]) -> Statistic:
    return facility([sum(row) / results[0].worksheet.marks for row in marks_table(results)])
