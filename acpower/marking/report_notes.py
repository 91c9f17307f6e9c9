"""What a report tells the apprentice of the notes on a worksheet: nothing about others, nothing to settle.

The notes are written for the instructor. Some name another apprentice, or say what to do with a
command; a report that goes back to one apprentice says the same in words for that person.
"""

from acpower.marking.result import NOTHING_RECORDED, Note, Result
from acpower.marking.run import WITHOUT_THIS_CELL

# What keeps a file from being marked; the notes on it say what the instructor can do.
_NOT_MARKED = {
    "bad-file": "Your file could not be read. Open it in JupyterLab, save it, and hand it in again.",
    "too-large": "Your file is too large. Clear its outputs in JupyterLab, save it, and hand it in again.",
    "unsafe-name": "What you handed in is not a file of its own. Hand in the worksheet itself.",
    "handed-in-twice": "There is more than one file of yours. Tell your instructor which one counts.",
    "structure-changed": "Your file is another worksheet or another version. Ask your instructor about it.",
    "other-hand-out": "Your file is from another hand-out. Ask your instructor which one counts.",
    "not-judged": "Your worksheet could not be marked by itself. Your instructor marks it by hand.",
}
# What only the instructor can judge, and may want to talk about first.
_NOT_FOR_A_REPORT = ("other-card", "scheme-opened")
_MARKED = {
    "structure-changed": "Something in your file is not as it was handed out to you: a cell is missing or changed, or "
    "the job card is another one. It was marked with the numbers that are yours.",
    NOTHING_RECORDED: "Nothing is recorded in your file, so nothing was marked yet. Open your worksheet and look "
    "whether your answers are there. Save it, and hand it in again.",
    "answer-ambiguous": "An answer of yours can be read in two ways; it is named below. Tell your instructor what "
    "you meant.",
    "answer-not-read": "An answer of yours could not be read; it is named below. Tell your instructor if you think "
    "that it is right.",
    "by-hand": "Where a question asks for a function, your instructor marks it by hand.",
}

# What the instructor is told to do, and what the apprentice can do.
_ADVICE = (WITHOUT_THIS_CELL, "Take this cell out or mend it, save the worksheet, and hand it in again.")


def notes_for_report(result: Result) -> list[Note]:
    """Return the notes on a worksheet as its report tells them, each once.

    >>> from acpower.marking.submission import Submission
    >>> result = Result(Submission("", "query"), notes=[("other-card", "A07"), ("late", "It was late.")])
    >>> notes_for_report(result)
    [('late', 'It was late.')]
    """
    words = _MARKED if result.marked else _NOT_MARKED
    told = [
        (code, words.get(code, says.replace(*_ADVICE)))
        for code, says in result.notes
        if code not in _NOT_FOR_A_REPORT
    ]
    return list(dict.fromkeys(told))
