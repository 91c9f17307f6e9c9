"""From the supply to the battery: where power is lost."""

from typing import Any

from matplotlib.patches import Polygon

from acpower.charger import battery_power
from acpower.figures.look import BLACK, SKY_BLUE, TEXT_SIZE, YELLOW, Still, blank_figure


def power_chain_figure(grid_kw: float = 11.04, efficiency: float = 0.9) -> Still:
    """Show the power from the grid as a band that loses a part as heat before it reaches the battery.

    Parameters
    ----------
    grid_kw
        Power from the grid [kW].
    efficiency
        Efficiency from the grid to the battery, a fraction.
    """
    battery_kw = float(battery_power(1000 * grid_kw, efficiency)) / 1000
    lost_kw = grid_kw - battery_kw
    figure = blank_figure(9, 3.8)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, 9)
    axes.set_ylim(-1.5, 2.3)
    axes.axis("off")
    bottom, top = 0.0, 1.6
    loss = (top - bottom) * lost_kw / grid_kw
    split = bottom + loss
    band: dict[str, Any] = {"edgecolor": BLACK, "linewidth": 1.5}
    axes.add_patch(
        Polygon([(0.3, bottom), (0.3, top), (4.5, top), (4.5, bottom)], facecolor=SKY_BLUE, **band)
    )
    axes.add_patch(
        Polygon(
            [(4.5, split), (4.5, top), (8.2, top), (8.7, (top + split) / 2), (8.2, split)],
            facecolor=SKY_BLUE,
            **band,
        )
    )
    axes.add_patch(
        Polygon(
            [
                (4.5, bottom),
                (4.5, split),
                (4.5 + loss, split),
                (4.5 + loss, -0.9),
                (4.5 + loss / 2, -1.2),
                (4.5, -0.9),
            ],
            facecolor=YELLOW,
            hatch="///",
            **band,
        )
    )
    axes.text(0.5, 0.8, f"from the grid (AC)\n{grid_kw:.2f} kW", va="center", fontsize=TEXT_SIZE + 5)
    axes.text(
        5.1,
        (top + split) / 2,
        f"into the battery (DC)\n{battery_kw:.2f} kW",
        va="center",
        fontsize=TEXT_SIZE + 5,
    )
    axes.text(4.7 + loss, -0.75, f"lost as heat: {lost_kw:.2f} kW", va="center", fontsize=TEXT_SIZE + 3)
    axes.text(
        4.5,
        2.0,
        f"on-board charger: efficiency {100 * efficiency:.0f} %",
        ha="center",
        va="center",
        fontsize=TEXT_SIZE + 2,
    )
    axes.plot([4.5, 4.5], [top, 1.85], color=BLACK, linewidth=1.5)
    return Still(
        figure,
        alt=(
            f"A band of power runs from left to right. {grid_kw:.2f} kW come from the grid as AC. At the "
            f"on-board charger, efficiency {100 * efficiency:.0f} %, a part branches off: "
            f"{lost_kw:.2f} kW are lost as heat. The rest, {battery_kw:.2f} kW, goes into the battery as DC. "
            f"To the battery: multiply by {efficiency:g}. Back to the grid: divide by {efficiency:g}."
        ),
        caption=(
            f"Grid to battery: {grid_kw:.2f} kW × {efficiency:g} = {battery_kw:.2f} kW. "
            f"Battery to grid: {battery_kw:.2f} kW ÷ {efficiency:g} = {grid_kw:.2f} kW. "
            "The grid side is always the larger one."
        ),
    )
