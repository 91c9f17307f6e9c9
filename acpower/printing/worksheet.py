"""A worksheet as a page for the pen: one apprentice's numbers, the questions, an empty box for each."""

from acpower.printing.page import Look, templates, whole_page
from acpower.worksheets.cards import PRACTICE_TERM_KEY
from acpower.worksheets.question_text import question_html
from acpower.worksheets.scheme import Choice, Function, Worksheet

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
                    "question": question,
                    "asked": question_html(worksheet, question),
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
