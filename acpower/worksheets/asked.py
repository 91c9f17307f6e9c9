"""A question as its worksheet asks it, for paper and for a panel: there is no cell to fill in there."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from bs4 import BeautifulSoup
from nbconvert.filters import markdown2html

from acpower.worksheets.own import notebook_of
from acpower.worksheets.scheme import Question, Worksheet

_FOR_A_CELL = "three dots"
"""A paragraph of a question with these words tells how to fill in a cell."""


def question_html(worksheet: Worksheet, question: Question) -> str:
    """Return the question as it stands in the worksheet's notebook, without what only a notebook needs.

    Links become plain words: from paper or from a panel they lead nowhere.

    >>> from acpower.worksheets.schemes import find_worksheet
    >>> worksheet = find_worksheet("charging-power")
    >>> question_html(worksheet, worksheet.question("limiting_link"))[:48]
    '<h2>6. Link that limits the charge (1 mark)</h2>'
    """
    text = _cells(notebook_of(worksheet.name))[f"{question.name.replace('_', '-')}-question"]
    soup = BeautifulSoup(markdown2html(text), "html.parser")
    for mark in soup.select(".anchor-link"):
        mark.decompose()
    for link in soup.find_all("a"):
        link.unwrap()
    for heading in soup.select("[id]"):
        del heading["id"]
    for paragraph in soup.find_all("p"):
        if _FOR_A_CELL in paragraph.get_text():
            paragraph.decompose()
    for word in soup.find_all("code"):
        word.replace_with(word.get_text().strip('"'))
    return str(soup)


@cache
def _cells(notebook: Path) -> dict[str, str]:
    """Return the text of each cell of a notebook by its id."""
    content: dict[str, Any] = json.loads(notebook.read_text(encoding="utf-8"))
    return {cell["id"]: "".join(cell["source"]) for cell in content["cells"]}
