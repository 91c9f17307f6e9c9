"""The charging sequence over time: pilot, offer, current and contactor."""

from collections.abc import Callable, Sequence
from typing import Any

from matplotlib.axes import Axes

from acpower.figures.look import (
    BLACK,
    BLUE,
    GREY,
    LINE_WIDTH,
    SKY_BLUE,
    TEXT_SIZE,
    VERMILLION,
    Still,
    blank_figure,
    plain_axes,
)
from acpower.sequence import ChargingStep, charging_sequence

EXAMPLE = (
    (4, "plug in"),
    (10, "vehicle ready"),
    (20, "current limit", 10),
    (32, "station pauses"),
    (44, "current limit", 16),
    (56, "vehicle not ready"),
    (62, "unplug"),
)
"""An invented sequence of events, at a station that offers 16 A."""

_STYLES: dict[str, dict[str, Any]] = {
    "high": {"color": BLACK, "linestyle": "-"},
    "low": {"color": VERMILLION, "linestyle": "--"},
    "offered": {"color": BLUE, "linestyle": ":"},
}


def sequence_figure(steps: Sequence[ChargingStep] | None = None) -> Still:
    """Show what pilot, offer, drawn current and contactor do in a charging sequence.

    Parameters
    ----------
    steps
        Result of `acpower.sequence.charging_sequence`; an invented example if there is none.
    """
    steps = charging_sequence(EXAMPLE) if steps is None else tuple(steps)
    first, last = steps[0].time_s, steps[-1].time_s
    end = last + max(0.1 * (last - first), 1.0)
    figure = blank_figure(9.5, 5.5)
    pilot, duty, current, contactor = figure.subplots(4, 1, sharex=True, height_ratios=(3, 2, 3, 1))
    figure.subplots_adjust(left=0.115, right=0.86, bottom=0.11, top=0.93, hspace=0.22)
    for axes, label in ((pilot, "Pilot (V)"), (duty, "Duty (%)"), (current, "Current (A)"), (contactor, "")):
        plain_axes(axes, y_label=label)
    contactor.set_xlabel("Time (s)", fontsize=TEXT_SIZE)
    pilot.set_xlim(first, end)

    def draw(axes: Axes, value: Callable[[ChargingStep], float | None], style: str) -> None:
        values = [float("nan") if (told := value(step)) is None else told for step in steps]
        times = [step.time_s for step in steps]
        axes.step([*times, end], [*values, values[-1]], where="post", linewidth=LINE_WIDTH, **_STYLES[style])

    draw(pilot, lambda step: step.positive_level, "high")
    draw(pilot, lambda step: step.negative_level, "low")
    pilot.set_ylim(-15, 15)
    pilot.set_yticks([-12, 0, 6, 12])
    draw(duty, lambda step: step.duty_percent, "high")
    duty.set_ylim(-5, 110)
    duty.set_yticks([0, 50, 100])
    draw(current, lambda step: step.offered_current, "offered")
    draw(current, lambda step: step.drawn_current, "high")
    highest = max(max(step.offered_current, step.drawn_current) for step in steps)
    current.set_ylim(-0.05 * highest - 0.5, 1.2 * highest + 1)
    _draw_contactor(contactor, steps, end)
    _mark_states(pilot, steps, end)
    for axes, words in (
        (pilot, ("high level:\nsolid", "low level:\ndashed")),
        (current, ("offered:\ndotted", "drawn:\nsolid")),
    ):
        for height, word in zip((0.75, 0.25), words, strict=True):
            axes.text(1.01, height, word, transform=axes.transAxes, va="center", fontsize=TEXT_SIZE)
    return Still(
        figure,
        alt="The charging sequence step by step. " + " ".join(map(_told, steps)),
        caption=(
            "Nominal levels at the station. Where a reaction may take up to a limit, the picture lets it "
            "take all of it; some limits are from memory and unconfirmed, the steps say which."
        ),
    )


def _draw_contactor(axes: Axes, steps: Sequence[ChargingStep], end: float) -> None:
    ends = [step.time_s for step in steps[1:]] + [end]
    for step, until in zip(steps, ends, strict=True):
        if step.contactor_closed:
            axes.axvspan(step.time_s, until, facecolor=SKY_BLUE, linewidth=0)
    axes.set_ylim(0, 1)
    axes.set_yticks([0.5], ["Contactor"])
    axes.tick_params(axis="y", length=0)
    axes.text(1.01, 0.5, "filled:\nclosed", transform=axes.transAxes, va="center", fontsize=TEXT_SIZE)


def _mark_states(axes: Axes, steps: Sequence[ChargingStep], end: float) -> None:
    """Write each state above the middle of its stretch, where the stretch is wide enough."""
    changes = [
        step
        for step, before in zip(steps, (None, *steps), strict=False)
        if not before or before.state != step.state
    ]
    ends = [step.time_s for step in changes[1:]] + [end]
    for step, until in zip(changes, ends, strict=True):
        axes.axvline(step.time_s, color=GREY, linewidth=1, linestyle="-")
        if until - step.time_s > 0.03 * (end - steps[0].time_s):
            axes.text((step.time_s + until) / 2, 16, step.state, ha="center", va="bottom", fontsize=TEXT_SIZE)


def _told(step: ChargingStep) -> str:
    levels = [f"{level:+g} V" for level in (step.positive_level, step.negative_level) if level is not None]
    return (
        f"{step.time_s:g} s, state {step.state}: {step.sentence} Pilot {' and '.join(levels)}, "
        f"duty {step.duty_percent:.1f} %, offered {step.offered_current:g} A, drawn {step.drawn_current:g} A, "
        f"contactor {'closed' if step.contactor_closed else 'open'}."
    )
