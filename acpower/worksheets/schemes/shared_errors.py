"""Known errors that more than one mark scheme looks for."""

from typing import Any

from acpower.worksheets.scheme import Formula, KnownError


def efficiency_errors(grid_power_kw: Formula) -> tuple[KnownError, ...]:
    """Return the known errors of battery power = grid power · efficiency.

    ``grid_power_kw`` picks the power from the grid out of the card or of earlier answers; the card
    has the entry ``efficiency_percent``.
    """

    def efficiency(card: Any) -> float:
        return float(card.efficiency_percent / 100)

    return (
        KnownError(
            name="efficiency-divided",
            says="it was divided by the efficiency",
            hint="Less power comes out of a charger than goes in. Which way must the efficiency go?",
            formula=lambda card, earlier: grid_power_kw(card, earlier) / efficiency(card),
            misconception="efficiency-divided",
        ),
        KnownError(
            name="efficiency-forgotten",
            says="the efficiency is missing",
            hint="Part of the power becomes heat on the way. Take that into account.",
            formula=grid_power_kw,
            misconception="efficiency-forgotten",
        ),
        KnownError(
            name="percent-as-factor",
            says="the percentage was used as a factor",
            hint="85 % means 85 of every 100. Turn the percentage into a fraction first.",
            formula=lambda card, earlier: grid_power_kw(card, earlier) * card.efficiency_percent,
            keeps=1,
            misconception="percent-as-factor",
        ),
        KnownError(
            name="loss-for-output",
            says="this is the loss, not what reaches the battery",
            hint="The efficiency is the share that gets through. The rest is heat.",
            formula=lambda card, earlier: grid_power_kw(card, earlier) * (1 - efficiency(card)),
            misconception="loss-for-output",
        ),
        KnownError(
            name="loss-added",
            says="the lost share was added on top",
            hint="Less power comes out of a charger than goes in.",
            formula=lambda card, earlier: grid_power_kw(card, earlier) * (2 - efficiency(card)),
            misconception="loss-added",
        ),
    )
