"""One current through four links in a row: the narrowest one sets it."""

from acpower.charger import Cable, Station, Supply, Vehicle, charging_limit
from acpower.figures.look import BLACK, BLUE, ORANGE, SKY_BLUE, TEXT_SIZE, YELLOW, Still, blank_figure

_LINKS = ("supply", "station", "cable", "vehicle")


def weakest_link_figure(
    supply: float = 25.0, station: float = 32.0, cable: float = 13.0, vehicle: float = 20.0
) -> Still:
    """Show four links as pipes with an opening as high as their rating, and the current that fits through all of them.

    Parameters
    ----------
    supply, station, cable, vehicle
        Rated current of each link per phase [A], 6 A or more.
    """
    ratings = dict(zip(_LINKS, (supply, station, cable, vehicle), strict=True))
    limit = charging_limit(
        Supply(230, 1, supply), Station(1, station), Cable(1, cable), Vehicle(1, vehicle)
    )  # the voltage plays no part in the current
    mean, largest = sum(ratings.values()) / len(ratings), max(ratings.values())
    verdict = "does not fit through" if mean > limit.current else "fits through"
    figure = blank_figure(9, 4)
    axes = figure.add_axes((0.01, 0.02, 0.98, 0.96))
    axes.set_xlim(-0.3, 5.1)
    axes.set_ylim(-0.95 * largest, 1.02 * largest)
    axes.axis("off")
    axes.bar(2.05, limit.current, 4.5, -limit.current / 2, color=SKY_BLUE, edgecolor=BLACK, linewidth=1.5)
    axes.text(4.4, 0, f"{limit.current:g} A\nfits through", va="center", fontsize=TEXT_SIZE)
    outside = 0.62 * largest
    for place, (link, rating) in enumerate(ratings.items()):
        weak = link in limit.limited_by
        colour, hatch = (ORANGE, "///") if weak else (YELLOW, "..")
        for foot in (rating / 2, -outside):  # the walls leave an opening as high as the rating
            axes.bar(
                place + 0.5, outside - rating / 2, 0.94, foot, color=colour, hatch=hatch, edgecolor=BLACK,
                linewidth=1.5,
            )  # fmt: skip
        axes.text(
            place + 0.5, 0.67 * largest, f"{link}\n{rating:g} A" + (" weakest" if weak else ""),
            ha="center", va="bottom", fontsize=TEXT_SIZE + 2, fontweight="bold" if weak else "normal",
        )  # fmt: skip
    for sign in (-0.5, 0.5):
        axes.plot([-0.2, 4.3], [sign * mean] * 2, color=BLUE, linewidth=2.5, linestyle=(0, (6, 3)))
    axes.text(
        2, -0.68 * largest, f"dashed: the mean of the ratings, {mean:g} A. It {verdict}.",
        ha="center", va="top", fontsize=TEXT_SIZE, color=BLUE,
    )  # fmt: skip
    weakest = " and ".join(limit.limited_by)
    each = ", ".join(f"{link} {rating:g} A" for link, rating in ratings.items())
    return Still(
        figure,
        alt=(
            f"Four pipes in a row, each with an opening as high as its rated current: {each}. One current "
            f"runs through all four. The weakest is the {weakest}: {limit.current:g} A fit through. A dashed "
            f"line marks the mean of the ratings, {mean:g} A. It {verdict}."
        ),
        caption=(
            f"One current runs through all four links: {limit.current:g} A. Weakest: {weakest}. The mean of the "
            f"ratings, {mean:g} A, {verdict}. The ratings are invented."
        ),
    )
