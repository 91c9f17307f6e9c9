"""A worksheet as a page for the pen: one apprentice's numbers, the questions, an empty box for each."""

import json
from functools import cache
from typing import Any

from bs4 import BeautifulSoup
from nbconvert.filters import markdown2html

from acpower.printing.page import Look, templates, whole_page
from acpower.worksheets.cards import PRACTICE_TERM_KEY
from acpower.worksheets.own import notebook_of
from acpower.worksheets.scheme import Choice, Function, Question, Worksheet

_ON_THE_SCREEN = "three dots"
"""A paragraph of a question with these words tells how to fill in a cell."""

_ROOM = {1: 6.0, 2: 8.5}
"""Height of an answer box by the marks of its question [heights of a letter]; more marks, `_MOST_ROOM`."""
_MOST_ROOM = 11.0


def worksheet_page(
    worksheet: Worksheet, apprentice: str, look: Look, term_key: str = PRACTICE_TERM_KEY
) -> str:
    """Return one apprentice's worksheet as a page without answers and without code.

    >>> from acpower.worksheets.schemes import find_worksheet
    >>> page = worksheet_page(find_worksheet("charging-power"), "A07", Look())
    >>> "Job card of A07" in page, page.count('class="answer"')
    (True, 12)
    """
    body = (
        templates()
        .get_template("worksheet.html")
        .render(
            worksheet=worksheet,
            card=worksheet.card(apprentice, term_key),
            questions=[
                {
                    "asked": _asked(worksheet, question),
                    "room": _ROOM.get(question.marks, _MOST_ROOM),
                    "unit": "" if isinstance(question, Function) else getattr(question, "unit", ""),
                    "options": question.options if isinstance(question, Choice) else (),
                }
                for question in worksheet.questions
            ],
        )
    )
    foot = f"{worksheet.name} {apprentice}"
    return whole_page(f"{worksheet.title}: worksheet of {apprentice}", foot, body, look)


def _asked(worksheet: Worksheet, question: Question) -> str:
    """Return the question as it stands in the notebook, without what only a notebook needs."""
    soup = BeautifulSoup(
        markdown2html(_cells(worksheet.name)[f"{question.name.replace('_', '-')}-question"]), "html.parser"
    )
    for link in soup.select(".anchor-link"):
        link.decompose()
    for heading in soup.select("[id]"):
        del heading["id"]
    for paragraph in soup.find_all("p"):
        if _ON_THE_SCREEN in paragraph.get_text():
            paragraph.decompose()
    for word in soup.find_all("code"):
        word.replace_with(word.get_text().strip('"'))
    return str(soup)


@cache
def _cells(name: str) -> dict[str, str]:
    """Return the text of each cell of a worksheet's notebook by its id."""
    content: dict[str, Any] = json.loads(notebook_of(name).read_text(encoding="utf-8"))
    return {cell["id"]: "".join(cell["source"]) for cell in content["cells"]}
