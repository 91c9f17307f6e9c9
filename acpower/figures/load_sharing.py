"""Three ways to share a spare current among stations."""

from collections.abc import Sequence
from typing import Any

from matplotlib.patches import Rectangle

from acpower.figures.look import BLACK, SKY_BLUE, TEXT_SIZE, Still, blank_figure, plain_axes
from acpower.load_sharing import share_current

_WAYS = {"equal": "equal parts", "priority": "first come, first served", "filling": "all rise together"}


def load_sharing_figure(available: float = 40.0, requests: Sequence[float] = (32, 8, 20, 32)) -> Still:
    """Show side by side what each station may offer by the three rules of `share_current`.

    Parameters
    ----------
    available
        Spare current of the phase [A].
    requests
        What each station could use [A], in the order of their coming.
    """
    figure = blank_figure(9.5, 4.4)
    sayings = []
    for axes, (rule, words) in zip(figure.subplots(1, len(_WAYS), sharey=True), _WAYS.items(), strict=True):
        offers = share_current(available, list(requests), rule).tolist()
        plain_axes(axes, x_label="station, in order of coming", grid=False)
        for place, (request, offer) in enumerate(zip(requests, offers, strict=True), start=1):
            outline: dict[str, Any] = {"edgecolor": BLACK, "linewidth": 1.5}
            axes.add_patch(
                Rectangle((place - 0.35, 0), 0.7, request, facecolor="white", linestyle="--", **outline)
            )
            axes.add_patch(Rectangle((place - 0.35, 0), 0.7, offer, facecolor=SKY_BLUE, **outline))
            label, turned = (f"{offer:g} A", 0) if offer else ("paused", 90)
            axes.text(
                place, offer + 0.6, label, rotation=turned, ha="center", va="bottom", fontsize=TEXT_SIZE - 1
            )
        used = sum(offers)
        axes.set_title(f"{words}\n{used:g} of {available:g} A in use", fontsize=TEXT_SIZE + 1)
        axes.set_xlim(0.4, len(requests) + 0.6)
        axes.set_ylim(0, 1.1 * max(requests))
        axes.set_xticks(range(1, len(requests) + 1))
        listed = ", ".join(f"{offer:g} A" if offer else "paused" for offer in offers)
        sayings.append(f"{words.capitalize()}: {listed}; together {used:g} A.")
    figure.axes[0].set_ylabel("current (A)", fontsize=TEXT_SIZE)
    figure.tight_layout()
    asked = ", ".join(f"{request:g} A" for request in requests)
    return Still(
        figure,
        alt=(
            f"Three bar charts share a spare current of {available:g} A among {len(requests)} stations that "
            f"could use {asked}, in the order of their coming. {' '.join(sayings)} No offer lies below 6 A."
        ),
        caption=(
            "Invented numbers. Dashed: what a station could use; filled: what it may offer. The sum stays "
            f"within {available:g} A, and each station gets 6 A or more, or pauses."
        ),
    )
