"""Show a job card as a table, on the screen and as plain text."""

from html import escape

from acpower.worksheets.cards import JobCard


def card_html(card: JobCard, title: str) -> str:
    """Return the table of a card: what, value, unit, and the name in a formula."""
    rows = "".join(
        f'<tr><th scope="row" style="text-align:left">{escape(entry.label)}</th>'
        f'<td style="text-align:right"><strong>{escape(str(card.values[entry.name]))}</strong></td>'
        f'<td style="text-align:left">{escape(entry.unit)}</td>'
        f'<td style="text-align:left"><code>job.card.{escape(entry.name)}</code></td></tr>'
        for entry in card.entries
    )
    return (
        '<table style="font-size:1.05em;border-collapse:collapse">'
        f'<caption style="text-align:left"><strong>Job card of {escape(card.apprentice)}</strong>: '
        f"{escape(title)} (worksheet {escape(card.worksheet)}, version "
        f"{escape(card.version)}). The site is invented.</caption>"
        '<thead><tr><th scope="col" style="text-align:left">What</th><th scope="col">Value</th>'
        '<th scope="col" style="text-align:left">Unit</th>'
        '<th scope="col" style="text-align:left">Name in a formula</th></tr></thead>'
        f"<tbody>{rows}</tbody></table>"
    )


def card_text(card: JobCard, title: str) -> str:
    """Return the same in plain lines."""
    lines = [f"Job card of {card.apprentice} ({title})"]
    for entry in card.entries:
        lines.append(f"  {entry.label}: {card.values[entry.name]} {entry.unit}".rstrip())
    return "\n".join(lines)
