"""Panel: four stations share a spare current; what does not reach 6 A is paused."""

from dataclasses import dataclass

from acpower.figures.look import BLACK, BLUE, SKY_BLUE
from acpower.figures.scene import LIMIT, Axis, Box, Chart, Fill, Line, Pen, Scene, Text, Thing, level, upright
from acpower.load_sharing import FLOOR, share_current
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel

_HIGHEST_SPARE_A, _HIGHEST_REQUEST_A = 160.0, 80.0
_SCALES_A = (20.0, 40.0, 80.0)
_RULES = {
    "all rise together": "filling",
    "equal parts": "equal",
    "first come, first served": "priority",
}
_ASKED = Pen(BLUE, (4, 3), 2)


@dataclass(frozen=True)
class Sharing:
    """The shares in numbers: currents per phase [A], stations in the order of their coming."""

    available: float
    requests: tuple[float, ...]
    rule: str
    offers: tuple[float, ...]

    @property
    def used(self) -> float:
        """What all stations together may take [A]."""
        return sum(self.offers)

    def state(self, station: int) -> str:
        """Say what a station may offer: its current, a pause, or that nobody is there."""
        if self.offers[station]:
            return f"{self.offers[station]:g} A"
        return "paused" if self.requests[station] else "free"


def load_sharing_panel() -> Panel[Sharing]:
    """Return the panel: spare current, four requests and a rule in; four offers out."""
    spare = Knob("Spare current per phase", "A", value=40, low=0, high=_HIGHEST_SPARE_A, step=1)
    requests = {
        f"request_{number}": Knob(
            f"Station {number} could use", "A", value=value, low=0, high=_HIGHEST_REQUEST_A, step=1
        )
        for number, value in enumerate((32, 8, 20, 32), start=1)
    }
    return Panel(
        "What four stations could use and what they may offer, and their sum against the spare current",
        {"available": spare, **requests, "rule": Choice("Rule", _RULES)},
        calculate=sharing,
        scene=_scene,
        words=sharing_words,
    )


def sharing(
    available: float, request_1: float, request_2: float, request_3: float, request_4: float, rule: str
) -> Sharing:
    """Return what each station may offer.

    >>> sharing(40, 32, 8, 20, 32, "filling").offers
    (11.0, 8.0, 11.0, 10.0)
    """
    requests = (request_1, request_2, request_3, request_4)
    offers = share_current(available, requests, rule)
    return Sharing(available, requests, rule, tuple(offers.tolist()))


def sharing_words(numbers: Sharing) -> str:
    """Say each offer, and why a station has to wait."""
    each = ", ".join(
        f"station {at + 1}: {numbers.state(at)}" + (f" of {request:g} A" if numbers.offers[at] else "")
        for at, request in enumerate(numbers.requests)
    )
    paused = [at for at in range(len(numbers.requests)) if numbers.state(at) == "paused"]
    why = f" A station pauses where less than {FLOOR:g} A would be left for it." if paused else ""
    return (
        f"{each[0].upper()}{each[1:]}. Together {numbers.used:g} A of {numbers.available:g} A per phase; "
        f"{numbers.available - numbers.used:g} A unused.{why}"
    )


def _scene(numbers: Sharing) -> Scene:
    """Draw request and offer of each station; below, their sum against the spare current."""
    return Scene(
        [_stations_chart(numbers), _sum_chart(numbers)],
        description=(
            "Dashed outlines show what the stations could use, filled bars what they may offer. A line "
            f"marks {FLOOR:g} A, the least that a station can offer."
        ),
    )


def _stations_chart(numbers: Sharing) -> Chart:
    scale = next(scale for scale in _SCALES_A if scale >= max(numbers.requests))
    count = len(numbers.requests)
    x = Axis(0.4, count + 0.6, ticks=[(at + 1, f"station {at + 1}") for at in range(count)])
    y = Axis(0, 1.2 * scale, "Current (A)")
    things: list[Thing] = [level(x, FLOOR, LIMIT), Text(x.high, FLOOR, f"{FLOOR:g} A", shift=(0.5, 0))]
    for at, (request, offer) in enumerate(zip(numbers.requests, numbers.offers, strict=True)):
        left, right = at + 0.68, at + 1.32
        if offer:
            things.append(Box(Fill(SKY_BLUE), left, right, 0, offer))
        things += [
            Line([left, left, right, right], [0, request, request, 0], _ASKED),
            Text(at + 1, max(request, FLOOR), numbers.state(at), "middle", shift=(0, 0.8), bold=True),
        ]
    return Chart(x, y, things, (0, 0, 1, 0.7), grid=False, beside=4)


def _sum_chart(numbers: Sharing) -> Chart:
    widest = max(numbers.available, numbers.used, 20.0)
    x = Axis(0, 1.02 * widest, "Offers together (A); line: spare current")
    y = Axis(0, 1, ticks=[(0.5, "total")])
    things: list[Thing] = [upright(y, numbers.available, Pen(BLACK, (9, 4), 2.5))]
    start = 0.0
    for at, offer in enumerate(numbers.offers):
        if offer:
            things += [
                Box(Fill(SKY_BLUE), start, start + offer, 0.15, 0.85),
                Text(start + offer / 2, 0.5, f"{at + 1}", "middle", halo=0),
            ]
            start += offer
    return Chart(x, y, things, (0, 0.72, 1, 0.28), grid=False)
