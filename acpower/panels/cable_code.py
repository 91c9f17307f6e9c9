"""Panel: the resistor in the plug of a detachable cable, and what the station offers because of it."""

from dataclasses import dataclass

import numpy as np

from acpower import tables
from acpower.figures.look import ORANGE, SKY_BLUE, YELLOW
from acpower.figures.scene import SECOND, Axis, Box, Chart, Fill, Scene, Text, Thing, upright
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel
from acpower.pilot import CABLE_BANDS, cable_rating, duty_from_current

_LOWEST_OHM, _HIGHEST_OHM = 40.0, 8000.0
_TICKS_OHM = (50, 100, 200, 500, 1000, 2000, 5000)
_HIGHEST_A = 70
_NAMES = {"accept": "must accept", "touching": "touching"}


@dataclass(frozen=True)
class CableCode:
    """What the station reads in the plug, and what it offers: the smaller of its own and the cable's rating."""

    coding_ohm: float
    contact_ohm: float
    bands: str
    station_a: float
    cable_a: float
    offer_a: float
    duty_percent: float | None

    @property
    def read_ohm(self) -> float:
        """Resistance that the station measures [ohm]."""
        return self.coding_ohm + self.contact_ohm

    @property
    def limits(self) -> str:
        """What holds the offer down: "station" or "cable", or nothing if they agree."""
        if self.cable_a == self.station_a:
            return ""
        return "cable" if self.cable_a < self.station_a else "station"


def cable_code_panel() -> Panel[CableCode]:
    """Return the panel: resistor, contact resistance, bands, station in; cable rating and pilot offer out.

    It is the coding of detachable cables with Type 2 plugs. A cable that is attached to its station,
    as with Type 1, has none.
    """
    return Panel(
        "Coding resistor of a detachable cable, and the current that the station offers",
        {
            "coding_ohm": Knob("Coding resistor", "Ω", value=220, low=50, high=5000, step=10),
            "contact_ohm": Knob("Dirty contact adds", "Ω", value=0, low=0, high=1000, step=10),
            "bands": Choice("Bands", {name: key for key, name in _NAMES.items()}),
            "station_a": Knob("Station setting", "A", value=32, low=6, high=63, step=1),
        },
        calculate=read_code,
        scene=_scene,
        words=code_words,
    )


def read_code(coding_ohm: float, contact_ohm: float, bands: str, station_a: float) -> CableCode:
    """Return rating and offer [A]; a cable that is not recognised gets no offer.

    >>> read_code(680, 0, "accept", 32).offer_a
    20.0
    """
    cable_a = float(cable_rating(coding_ohm + contact_ohm, bands))
    offer_a = min(station_a, cable_a)
    duty = float(duty_from_current(offer_a)) if offer_a else None
    return CableCode(coding_ohm, contact_ohm, bands, station_a, cable_a, offer_a, duty)


def code_words(numbers: CableCode) -> str:
    """Say what is read, what the cable may carry and what is offered."""
    read = f"The station reads {numbers.read_ohm:g} Ω"
    if numbers.duty_percent is None:
        return f"{read}. No cable has this code: the station offers nothing and no charge starts."
    limit = f"The {numbers.limits} limits" if numbers.limits else "Station and cable agree"
    return (
        f"{read}: a cable for {numbers.cable_a:g} A. The station is set to {numbers.station_a:g} A. "
        f"{limit}: the pilot offers {numbers.offer_a:g} A, a duty of {numbers.duty_percent:.1f} %."
    )


def _scene(numbers: CableCode) -> Scene:
    """Draw both sets of bands with the resistance that is read; below, station, cable and offer."""
    rows = "; ".join(
        f"{_NAMES[name]} "
        + ", ".join(f"{low:g} to {high:g} ohm {rating:g} A" for low, high, rating in _bands(name))
        for name in CABLE_BANDS
    )
    return Scene(
        [_bands_chart(numbers), _currents_chart(numbers)], description=f"Bands of resistance: {rows}."
    )


def _bands(name: str) -> list[tuple[float, float, float]]:
    """Return the ends [ohm] and the rating [A] of each band of a set, smallest cable first."""
    return [
        (float(row["low_ohm"]), float(row["high_ohm"]), float(row["three_phase_a"]))
        for row in tables.rows("cable_bands")
        if row["band_set"] == name
    ]


def _bands_chart(numbers: CableCode) -> Chart:
    ticks = [(float(np.log10(ohm)), str(ohm)) for ohm in _TICKS_OHM]
    x = Axis(
        np.log10(_LOWEST_OHM), np.log10(_HIGHEST_OHM), "Resistance read (Ω); each step multiplies", ticks
    )
    y = Axis(1.6, -0.6, ticks=[(row, _NAMES[name]) for row, name in enumerate(CABLE_BANDS)])
    things: list[Thing] = []
    for row, name in enumerate(CABLE_BANDS):
        for low, high, rating in _bands(name):
            chosen = name == numbers.bands and rating == numbers.cable_a
            left, right = np.log10([low, high])
            things += [
                Box(Fill(SKY_BLUE) if chosen else Fill(YELLOW), left, right, row, row + 0.4),
                Text((left + right) / 2, row - 0.2, f"{rating:g} A", "middle", bold=chosen),
            ]
    place = float(np.log10(numbers.read_ohm))
    rightward = place < np.log10(1000)
    things += [
        upright(y, place, SECOND),
        Text(place, -0.6, f"read: {numbers.read_ohm:g} Ω", "start" if rightward else "end", shift=(0, 0.8)),
    ]
    return Chart(x, y, things, (0, 0, 1, 0.53), above=1.3)


def _currents_chart(numbers: CableCode) -> Chart:
    currents = {"station": numbers.station_a, "cable": numbers.cable_a, "offer": numbers.offer_a}
    rows = Axis(2.55, -0.55, ticks=tuple(enumerate(currents)))
    things: list[Thing] = []
    for row, (name, amperes) in enumerate(currents.items()):
        limits = name == numbers.limits
        note = f"{amperes:g} A" + (" LIMITS" if limits else "")
        if name == "offer" and numbers.duty_percent is not None:
            note += f", duty {numbers.duty_percent:.1f} %"
        fill = Fill(ORANGE, hatch=True) if limits else Fill(SKY_BLUE)
        things += [
            Box(fill, 0, amperes, row - 0.35, row + 0.35),
            Text(amperes, row, note, shift=(1, 0), bold=limits),
        ]
    return Chart(Axis(0, 1.6 * _HIGHEST_A, "Current (A)"), rows, things, (0, 0.55, 1, 0.45))
