"""How a reaction below a cell looks: sign and colour only help, the words carry the meaning."""

from html import escape

# Those of the pictures (figures/look.py), which brings matplotlib: a worksheet does without it.
BLUE, VERMILLION, GREY = "#0072B2", "#D55E00", "#666666"


def block(title: str, inside: str, *, sign: str, colour: str) -> str:
    """Return a block as HTML: the title is text, what stands inside it is HTML.

    >>> "<strong>" in block("Power", "<div>Right.</div>", sign="✔", colour=BLUE)
    True
    """
    return (
        f'<div role="status" style="border-left:6px solid {colour};padding:0.5em 1em;margin:0.3em 0;'
        'background:rgba(127,127,127,0.08);font-size:1.05em;max-width:50em">'
        f'<strong><span aria-hidden="true">{sign}</span> {escape(title)}</strong>{inside}</div>'
    )
