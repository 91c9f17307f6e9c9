"""The class picture: counts and names first, groups to teach again, job cards compared, coefficients last."""

import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from bs4 import BeautifulSoup
from invented_class import SHED, YARD, invented_class

from acpower.marking.class_findings import error_pictures, fairness, groups, question_pictures
from acpower.marking.class_picture import class_picture_page
from acpower.marking.hand_back import templates
from acpower.marking.judge import judge_worksheet
from acpower.marking.result import ClassResult
from acpower.worksheets.answers import Answer
from acpower.worksheets.misconceptions import MISCONCEPTIONS

YARD_SLIPS = {
    "A01": {},
    "A02": {"battery_power_kw": "divided"},
    "A03": {"battery_power_kw": "divided", "word": "two"},
    "A04": {"word": "two"},
    "A05": {"word": "two"},
    "A06": {"battery_power_kw": "blank", "grid_power_kw": "by-heart"},
    "A07": None,
}
SHED_SLIPS = {
    "A01": {"heat_kw": "divided-here"},
    "A03": {"heat_kw": "divided-here"},
    "A04": {"heat_kw": "wrong"},
}


@pytest.fixture
def small() -> ClassResult:
    return invented_class((YARD, YARD_SLIPS), (SHED, SHED_SLIPS))


@pytest.fixture
def known(monkeypatch) -> None:
    """Let the course consist of the two invented worksheets."""
    monkeypatch.setattr("acpower.marking.class_findings.WORKSHEETS", {one.name: one for one in (SHED, YARD)})


def page_of(class_result: ClassResult) -> BeautifulSoup:
    page = class_picture_page(class_result, date(2026, 12, 1), "9.8.7", templates())
    return BeautifulSoup(page, "html.parser")


def text_of(soup: Any) -> str:
    return re.sub(r"\s+", " ", soup.get_text(" "))


def rows_below(soup: BeautifulSoup, heading: str) -> list[list[str]]:
    """Return the rows of the first table below a heading."""
    found = soup.find(re.compile("^h[123]$"), string=re.compile(heading))
    return [
        [text_of(cell).strip() for cell in row.find_all(["th", "td"])]
        for row in found.find_next("tbody").find_all("tr")
    ]


# ---- What is counted


def test_who_handed_nothing_in_is_left_out_and_blank_counts_nought(small):
    picture = question_pictures(YARD, small.of(YARD))[0]
    assert (picture.right, picture.facility.n) == (3, 6)
    assert picture.facility.value == pytest.approx(3 * 2 / (6 * 2))
    assert dict(picture.counts) == {"right": 3, "known error": 2, "blank": 1}


def test_carried_forward_counts_as_right():
    goes_on = replace(
        YARD.questions[1], needs=("battery_power_kw",), key=lambda card, earlier: earlier.battery_power_kw / 2
    )
    yard = replace(YARD, questions=(YARD.questions[0], goes_on))
    card = yard.card("A01")
    (result,) = invented_class((yard, {"A01": {}})).results
    own = {"battery_power_kw": Answer("number", "9.5"), "grid_power_kw": Answer("number", "4.75")}
    picture = question_pictures(yard, [replace(result, marked=judge_worksheet(yard, card, own))])[1]
    assert dict(picture.counts) == {"carried forward": 1}
    assert picture.right == 1


def test_a_mark_changed_by_hand_counts_in_the_facility(small):
    first = small.results[1]
    question = replace(first.marked.questions[0], change=type("Change", (), {"new": 1})())
    changed = replace(first, marked=replace(first.marked, questions=(question, *first.marked.questions[1:])))
    picture = question_pictures(YARD, [changed, *small.results[2:7]])[0]
    assert picture.facility.value == pytest.approx((1 + 0 + 2 + 2 + 0) / (5 * 2))


def test_known_errors_have_names_and_the_most_frequent_is_first(small):
    found = error_pictures(YARD, small.of(YARD))
    assert [(one.error.name, one.apprentices) for one in found] == [
        ("two", ("A03", "A04", "A05")),
        ("divided", ("A02", "A03")),
        ("by-heart", ("A06",)),
    ]
    assert found[1].misconception == MISCONCEPTIONS["efficiency-divided"]
    assert found[0].misconception is None


def test_a_misconception_is_counted_over_questions_and_worksheets(small, known):
    first, second, *_ = groups(small)
    assert (first.what, first.apprentices, first.answers) == (
        MISCONCEPTIONS["efficiency-divided"].what, ("A01", "A02", "A03"), 4,
    )  # fmt: skip
    assert [(error.place.name, error.apprentices) for error in first.errors] == [
        (("invented-yard", "battery_power_kw"), ("A02", "A03")),
        (("invented-shed", "heat_kw"), ("A01", "A03")),
    ]
    assert (second.what, second.apprentices) == ("there is no such supply here", ("A03", "A04", "A05"))
    assert second.suggested == ()


def test_two_errors_of_one_misconception_in_one_question_count_an_answer_once():
    first, second = YARD.questions[0].known_errors
    twin = replace(first, name="twin", formula=lambda card, earlier: card.power / card.efficiency * 1.0001)
    both = replace(YARD.questions[0], known_errors=(first, second, twin))
    yard = replace(YARD, questions=(both, *YARD.questions[1:]))
    (group,) = groups(invented_class((yard, {"A01": {"battery_power_kw": "divided"}, "A02": {}})))
    assert [one.error.name for one in group.errors] == ["divided", "twin"]
    assert [one.shared for one in group.errors] == [1, 1]
    assert (group.answers, [(place.number, count) for place, count in group.seen_in]) == (1, [(1, 1)])


def test_the_group_stands_in_the_order_of_the_register(small):
    assert groups(small)[0].apprentices == ("A01", "A02", "A03")


def test_suggested_are_other_questions_with_the_same_misconception(small, known):
    first = groups(small)[0]
    assert [place.name for place in first.suggested] == [("invented-shed", "more_kw")]
    alone = groups(invented_class((YARD, YARD_SLIPS)))[1]
    assert alone.what == first.what
    assert [place.name for place in alone.suggested] == [
        ("invented-shed", "heat_kw"),
        ("invented-shed", "more_kw"),
    ]


def test_a_group_has_three_apprentices_or_more(small, known):
    soup = page_of(small)
    heads = [
        text_of(one)
        for one in soup.find("h2", string="Before the next lesson").find_next("ul").select("li > strong")
    ]
    assert heads == [MISCONCEPTIONS["efficiency-divided"].what, "there is no such supply here"]
    assert "question 2 of “An invented shed”, Power one step further" in text_of(soup)
    clean = page_of(invented_class((YARD, {"A01": {}, "A02": {"word": "two"}, "A03": {"word": "two"}})))
    assert clean.find("h2", string="Before the next lesson") is None


# ---- The job cards


def test_a_planted_unfairness_is_found_and_a_fair_worksheet_raises_no_alarm():
    ids = [f"A{number:02}" for number in range(60)]
    three = {one for one in ids if YARD.card(one).phases == "three"}
    assert 20 < len(three) < 40
    planted = invented_class(
        (YARD, {one: {"grid_power_kw": "multiplied"} if one in three else {} for one in ids})
    )
    found = fairness(YARD, planted.results)
    (unequal,) = found.unequal
    assert (unequal.place.number, unequal.hardest.level, unequal.easiest.level) == (2, "three", "one")
    assert (unequal.hardest.facility.value, unequal.easiest.facility.value) == (0, 1)
    assert unequal.hardest.facility.n == len(three)
    assert [(one.level, one.facility.n, one.facility.value) for one in found.levels] == [
        ("one", 60 - len(three), 1), ("three", len(three), pytest.approx(3 / 4)),
    ]  # fmt: skip
    assert found.compared == 3
    text = text_of(page_of(planted))
    assert "This is a check and not a proof" in text
    assert "Question 2, Power from the grid for 5 kW: phases “three”: 0.00" in text

    every_third = {
        one: {"grid_power_kw": "multiplied"} if place % 3 == 0 else {} for place, one in enumerate(ids)
    }
    assert fairness(YARD, invented_class((YARD, every_third)).results).unequal == ()


def test_intervals_that_just_meet_are_not_named(monkeypatch):
    """Two of two against none of two: the intervals of so few people meet."""
    ids = [f"A{number:02}" for number in range(60)]
    kinds = {kind: [one for one in ids if YARD.card(one).phases == kind] for kind in ("one", "three")}
    few = {one: {} for one in kinds["one"][:2]} | {one: {"word": "two"} for one in kinds["three"][:2]}
    assert fairness(YARD, invented_class((YARD, few)).results).unequal == ()
    more = {one: {} for one in kinds["one"][:8]} | {one: {"word": "two"} for one in kinds["three"][:8]}
    assert len(fairness(YARD, invented_class((YARD, more)).results).unequal) == 1


def test_of_several_kinds_the_one_that_is_surely_hardest_is_named():
    """A kind with one apprentice who is wrong has a wide interval; one with ten who are wrong has not."""
    kinds = {"one": [], "three": [], "two": []}
    work = {f"A{number:02}": {} for number in range(21)}
    for place, one in enumerate(work):
        kind = "two" if place == 0 else "three" if place <= 10 else "one"
        kinds[kind].append(one)
        if kind != "one":
            work[one] = {"word": "two"}
    yard = replace(
        YARD, features={"kind": lambda card: next(kind for kind in kinds if card.apprentice in kinds[kind])}
    )
    (unequal,) = fairness(yard, invented_class((yard, work)).results).unequal
    assert (unequal.hardest.level, unequal.hardest.facility.n) == ("three", 10)
    assert unequal.easiest.level == "one"


def test_a_worksheet_without_features_is_not_compared(small):
    assert fairness(SHED, small.of(SHED)).levels == ()
    assert len(page_of(small).find_all("h3", string="Were the job cards equally hard?")) == 1


# ---- The page


def test_the_page_says_when_how_many_and_which_version(small):
    assert "7 apprentices in the register. Marked on 2026-12-01 with acpower 9.8.7." in text_of(
        page_of(small)
    )


def test_counts_come_first_and_coefficients_last_with_n_and_warning(small):
    soup = page_of(small)
    headings = [heading.get_text() for heading in soup.find_all(re.compile("^h[12]$"))]
    assert headings == [
        "Class picture", "Before the next lesson", "An invented yard", "An invented shed",
        "Misconceptions over all questions", "Coefficients of the questions",
    ]  # fmt: skip
    coefficients = soup.find("h2", string="Coefficients of the questions")
    after = text_of(BeautifulSoup("".join(map(str, coefficients.find_all_next())), "html.parser"))
    assert "Only 6 apprentices: below 30" in after
    assert "Only 3 apprentices: below 30" in after
    before = text_of(BeautifulSoup("".join(map(str, coefficients.find_all_previous("table"))), "html.parser"))
    assert "orrelation" not in before
    for row in rows_below(soup, "An invented yard: n = 6"):
        assert re.search(r"\(.* to .*; n = 6\)$|^not given: .* \(n = 6\)$", row[1]), row
        assert len(row) == 2  # no discrimination below 30
    assert "not given: it needs 4 apprentices or more (n = 3)" in after


def test_discrimination_is_shown_from_30_on_with_the_rule_for_ties():
    slips = [{}, {"word": "two"}, {"battery_power_kw": "divided"}]
    for n in (29, 30):
        soup = page_of(invented_class((YARD, {f"A{number:02}": slips[number % 3] for number in range(n)})))
        rows = rows_below(soup, f"An invented yard: n = {n}")
        assert {len(row) for row in rows} == {2 if n < 30 else 3}
        assert ("they share its last places evenly" in text_of(soup)) == (n == 30)
        assert ("Only 29 apprentices" in text_of(soup)) == (n == 29)
        assert "everybody has the same mark in this question" in rows[1][1]


def test_the_table_of_questions_has_interval_and_n_and_words_for_every_outcome(small):
    rows = rows_below(page_of(small), "^Questions$")
    assert rows[0][0] == "1. Power at the battery"
    assert rows[0][1] == "3 of 6"
    assert rows[0][2] == "0.50 (0.19 to 0.81; n = 6)"
    assert rows[0][3] == "known error: 2; nothing recorded: 1"
    text = text_of(page_of(small))
    assert "A question left blank counts 0." in text
    assert text.index("how far chance alone can move such a share") < text.index("0.50 (0.19 to 0.81; n = 6)")


def test_the_table_of_known_errors_names_the_misconception_and_who(small):
    rows = rows_below(page_of(small), "^Known errors$")
    assert rows[0] == [
        "3. Phases of the yard",
        "there is no such supply here",
        "none named",
        "3",
        "A03, A04, A05",
    ]
    assert rows[1][2:] == [MISCONCEPTIONS["efficiency-divided"].what, "2", "A02, A03"]


def test_misconceptions_over_all_questions(small, known):
    (row,) = rows_below(page_of(small), "Misconceptions over all questions")
    assert row == [
        MISCONCEPTIONS["efficiency-divided"].what, "3 of 6", "4",
        "question 1 of “An invented yard” (2), question 1 of “An invented shed” (2)", "A01, A02, A03",
    ]  # fmt: skip


def test_a_class_in_which_nothing_could_be_marked_has_a_page():
    soup = page_of(invented_class((YARD, {"A01": None, "A02": None})))
    assert "0 of 2 worksheets marked" in text_of(soup)
    assert soup.find_all("img") == []
    assert soup.find("h2", string="Coefficients of the questions") is None


def test_nothing_active_and_every_picture_has_its_words(small):
    soup = page_of(small)
    assert soup.select("script, link, iframe, object, form, [onclick]") == []
    images = soup.find_all("img")
    assert len(images) == 4
    assert all(image["src"].startswith("data:image/png") for image in images)
    assert (
        "Question 1, Power at the battery – right: 3; known error: 2; nothing recorded: 1."
        in images[0]["alt"]
    )


def test_what_is_to_settle_is_told_in_words_and_without_codes():
    first = invented_class((YARD, {"A01": None})).results[0]
    asked = replace(first.submission, status="query", file="a.ipynb")
    strays = (replace(asked, worksheet=None, code="unsafe-name", says="Whose is it?"),)
    results = (replace(first, submission=asked, notes=[("handed-in-twice", "Keep one."), ("late", "Late.")]),)
    soup = page_of(replace(invented_class((YARD, {"A01": None})), results=results, strays=strays))
    assert rows_below(soup, "Worksheets that need a look") == [["A01", "to settle", "Keep one. Late."]]
    assert "a.ipynb : Whose is it?" in text_of(soup)
    for code in ("query", "unsafe-name", "handed-in-twice"):
        assert code not in text_of(soup)


def test_what_people_wrote_is_escaped():
    evil = replace(YARD, title="<script>alert(1)</script>")
    assert page_of(invented_class((evil, {"A01": {}}))).find("script") is None


# ---- On screen and on paper

PAPER = {"A4": 680, "letter": 703}  # CSS pixels between margins of 15 mm
BEYOND_THE_EDGE = """(edge) => [...document.querySelectorAll("body *")].filter((part) =>
  part.getBoundingClientRect().right > edge + 1
).map((part) => part.tagName + ": " + part.textContent.slice(0, 40))"""
NEEDS_ATTENTION = ("serious", "critical")


@pytest.fixture
def crowded() -> ClassResult:
    """Return a class of 32 with every heading on its page, and one name as long as a register allows."""
    kinds = [
        {},
        {"word": "two"},
        {"battery_power_kw": "divided", "grid_power_kw": "by-heart"},
        {"word": "blank"},
    ]
    names = ["A" * 32, *(f"A{number:02}" for number in range(31))]
    unfair = {one for one in names if YARD.card(one).phases == "three"}
    slips = {
        one: kinds[place % 4] | ({"grid_power_kw": "multiplied"} if one in unfair else {})
        for place, one in enumerate(names)
    }
    return invented_class(
        (YARD, {**slips, "A99": None}), (SHED, {one: {"heat_kw": "divided-here"} for one in names})
    )


def check_page(path: Path, browser: Any, axe: Any) -> None:
    """Assert that nothing is asked for or logged, nothing leaves screen or paper, and axe finds nothing serious."""
    page = browser.new_page(viewport={"width": 1366, "height": 768})
    asked_for: list[str] = []
    errors: list[str] = []
    page.on("request", lambda request: asked_for.append(request.url))
    page.on("console", lambda message: message.type == "error" and errors.append(message.text))
    page.goto(path.as_uri())
    assert [url for url in asked_for if url != path.as_uri() and not url.startswith("data:")] == []
    assert errors == []
    assert page.evaluate("document.documentElement.scrollWidth") == 1366
    assert [found for found in axe(page) if found.impact in NEEDS_ATTENTION] == []
    page.emulate_media(media="print")
    for paper, width in PAPER.items():
        page.set_viewport_size({"width": width, "height": 960})
        assert (paper, page.evaluate(BEYOND_THE_EDGE, width)) == (paper, [])
    page.close()


def test_the_class_picture_fits_screen_and_paper_and_is_accessible(crowded, known, tmp_path, browser, axe):
    path = tmp_path / "class-picture.html"
    path.write_text(class_picture_page(crowded, date(2026, 12, 1), "9.8.7", templates()), encoding="utf-8")
    assert len(page_of(crowded).find_all(re.compile("^h[23]$"))) == 13
    check_page(path, browser, axe)
