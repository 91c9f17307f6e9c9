"""Every lesson in plain words, with all its parts, and every term of it in the glossary."""

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import mistune
import pytest
import textstat
from bs4 import BeautifulSoup

from acpower.notebooks import folder

LESSONS = sorted(folder("course").glob("[0-9]*.ipynb"))
GLOSSARY = folder("course") / "glossary.ipynb"
GLOSSARIES = sorted(folder("course").glob("glossary*.ipynb"))  # translations stand beside it
HIGHEST_GRADE = 9
FORMULA = re.compile(r"[=×÷√²]")
each_lesson = pytest.mark.parametrize("path", LESSONS, ids=[path.stem for path in LESSONS])
each_glossary = pytest.mark.parametrize("path", GLOSSARIES, ids=[path.stem for path in GLOSSARIES])


def cells(path: Path, kind: str) -> list[dict[str, Any]]:
    content = json.loads(path.read_text(encoding="utf-8"))
    return [
        {**cell, "source": "".join(cell["source"])} for cell in content["cells"] if cell["cell_type"] == kind
    ]


def page(source: str) -> BeautifulSoup:
    return BeautifulSoup(str(mistune.html(source)), "html.parser")


def sentences(source: str) -> list[str]:
    """Return the paragraphs, headings and list items of a cell without tables, code and formulas."""
    soup = page(source)
    for left_out in soup.find_all(["table", "pre", "code"]):
        left_out.decompose()
    for item in soup.find_all("li"):  # a list inside a list is read item by item
        if item.find(["ul", "ol"]) is None:
            item.name = "p"
    blocks = [
        re.sub(r"\s+", " ", block.get_text()).strip() for block in soup.find_all(["p", "h1", "h2", "h3"])
    ]
    spoken = [
        sentence
        for block in blocks
        for sentence in re.split(r"(?<=[.!?])\s+", block)
        if not FORMULA.search(sentence)
    ]
    return [re.sub(r"[.,;:!?]*$", ".", sentence) for sentence in spoken if re.search(r"[a-z]", sentence)]


def grade(texts: list[str]) -> float:
    """Return the Flesch-Kincaid grade (Kincaid and others, 1975, Research Branch Report 8-75)."""
    return float(textstat.flesch_kincaid_grade(" ".join(texts)))


@each_lesson
def test_prose_is_plain(path: Path) -> None:
    texts = [text for cell in cells(path, "markdown") for text in sentences(cell["source"])]
    assert len(texts) > 60
    assert grade(texts) <= HIGHEST_GRADE


@each_lesson
def test_no_section_is_far_from_plain(path: Path) -> None:
    hard = {
        cell["id"]: found
        for cell in cells(path, "markdown")
        if len(" ".join(texts := sentences(cell["source"])).split()) >= 60
        and (found := grade(texts)) > HIGHEST_GRADE + 2
    }
    assert hard == {}


def test_the_measure_tells_hard_words_from_plain_ones() -> None:
    plain = sentences("The peak is the highest value of the curve. Heat and power follow the RMS value.")
    hard = sentences(
        "Notwithstanding considerable instrumentation uncertainties, practitioners characteristically "
        "underestimate the fundamental displacement-related contributions of electromagnetic interference."
    )
    assert grade(plain) < 6 < HIGHEST_GRADE + 2 < grade(hard)
    # 6 words of one syllable in one sentence: 0.39 × 6 + 11.8 × 1 − 15.59
    assert grade(["The cat sat on the mat."]) == pytest.approx(-1.45)
    assert sentences("power = √3 × line voltage\n\n| a | b |\n|---|---|\n| c | d |\n\n`code` is short") == [
        "is short."
    ]


@each_lesson
def test_lesson_has_all_its_parts(path: Path) -> None:
    words, code = cells(path, "markdown"), cells(path, "code")
    text = "\n\n".join(cell["source"] for cell in words)
    headings = [heading.get_text() for heading in page(text).find_all(re.compile("^h[1-6]$"))]
    first = words[0]["source"]
    assert first.startswith("# ")
    assert "About 45 minutes" in first
    assert re.search(r"you can\n\n(- .+\n?){3,}", first), "outcomes: a list after “After this lesson you can”"
    assert any(cell["source"].startswith("**Caution.**") for cell in words[1:3]), "a caution comes first"
    calls = [line for cell in code for line in cell["source"].splitlines()]
    panels = [line for line in calls if re.match(r"\w+_panel\(", line)]
    questions = [line for line in calls if line.startswith("quick_question(")]
    assert len(panels) >= 2, panels
    assert len(set(questions)) >= 3, questions
    for part in ("Measure it yourself", "Where the numbers come from"):
        assert [heading for heading in headings if heading.endswith(part)], f"a section “{part}”"
    assert headings[-1] == "Summary"
    assert any("SourcedTable(" in line for line in calls)
    assert "**Next:**" in words[-1]["source"]
    for rhythm in ("**Do.**", "**See.**", "**Explain.**"):
        assert text.count(rhythm) >= 2, rhythm


@each_lesson
def test_measuring_yourself_comes_with_its_own_caution(path: Path) -> None:
    text = "\n\n".join(cell["source"] for cell in cells(path, "markdown"))
    section = re.search(r"^## [\d. ]*Measure it yourself$(.*?)(?=^## )", text, re.M | re.S)
    assert section is not None
    assert "**Caution.**" in section[1]
    assert re.search(r"mains|battery|low voltage|bench", section[1])


@each_lesson
def test_summary_fits_one_screen(path: Path) -> None:
    summary = cells(path, "markdown")[-1]["source"]
    assert summary.startswith("## Summary")
    assert len(page(summary).find_all("li")) <= 8
    assert len(summary.split()) <= 170


def terms(source: str) -> list[str]:
    """Return the names in bold: ``RCD`` and ``residual-current device`` of “residual-current device (RCD)”.

    Bold words that end like a sentence or a label, such as “Do.” and “Next:”, are no terms.
    """
    bold = [strong.get_text().strip().casefold() for strong in page(source).find_all("strong")]
    found = []
    for name in bold:
        if not name.endswith((".", ":", "?", "!")):
            both = re.fullmatch(r"(.+) \((.+)\)", name)
            found += list(both.groups()) if both else name.split(", ")
    return found


@cache
def glossary(path: Path) -> dict[str, tuple[str, str]]:
    """Return meaning and lesson of each term of a glossary; a term that stands twice is an error."""
    found: dict[str, tuple[str, str]] = {}
    for cell in cells(path, "markdown"):
        for row in page(cell["source"]).select("tbody tr"):
            term, meaning, lesson = row.find_all("td")
            for name in term.find_all("strong"):
                key = name.get_text().casefold()
                assert key not in found, f"{key} stands twice in the glossary"
                link = lesson.find("a")
                assert link is not None
                found[key] = (meaning.get_text(), str(link["href"]))
    return found


def in_glossary(term: str, path: Path = GLOSSARY) -> str | None:
    """Return the entry of a term, which may stand there in the singular."""
    return next((name for name in (term, term.removesuffix("s")) if name in glossary(path)), None)


@each_lesson
def test_every_bold_term_is_in_the_glossary(path: Path) -> None:
    used = [term for cell in cells(path, "markdown") for term in terms(cell["source"])]
    assert used
    assert sorted({term for term in used if in_glossary(term) is None}) == []


@each_glossary
def test_every_term_of_the_glossary_is_explained_and_comes_from_the_lesson_it_names(path: Path) -> None:
    used = {
        lesson.name: {
            in_glossary(term, path) for cell in cells(lesson, "markdown") for term in terms(cell["source"])
        }
        for lesson in LESSONS
    }
    assert len(glossary(path)) > 50
    for term, (meaning, lesson) in glossary(path).items():
        assert len(meaning.split()) >= 3, term
        assert term not in meaning.casefold().split(";")[0].split()[:2], f"{term} is explained by itself"
        # several names of one entry share the lesson in which the first of them comes
        names = [name for name, (other, _) in glossary(path).items() if other == meaning]
        first = next((name for name in used if used[name] & set(names)), None)
        assert (term, lesson) == (term, first)
        assert any(term in found for found in used.values()), f"no lesson has {term} in bold"


@each_glossary
def test_a_translated_glossary_has_the_terms_of_the_first_one(path: Path) -> None:
    assert glossary(path).keys() == glossary(GLOSSARY).keys()


@each_glossary
def test_the_glossary_is_in_alphabetical_order(path: Path) -> None:
    entries = [
        row.find("strong").get_text()  # type: ignore[union-attr]
        for cell in cells(path, "markdown")
        for row in page(cell["source"]).select("tbody tr")
    ]
    assert entries == sorted(entries, key=lambda entry: (entry[0].isdigit(), entry.casefold()))
