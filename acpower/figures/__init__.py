"""Still figures, each with a text alternative that gives its message and its numbers.

Beside them, what lessons show as well: tables with their sources, and hours said as clock time.
"""

from acpower.figures.charge_time import charge_time_figure, clock_time
from acpower.figures.charging_modes import charging_modes_figure
from acpower.figures.connector import connector_figure
from acpower.figures.front_end import front_end_figure, harmonics_figure
from acpower.figures.load_sharing import load_sharing_figure
from acpower.figures.pilot import pilot_circuit_figure, pilot_law_figure
from acpower.figures.power_chain import power_chain_figure
from acpower.figures.sequence import sequence_figure
from acpower.figures.sources import SourcedTable
from acpower.figures.supplies import star_delta_figure, supplies_figure, three_phase_supply
from acpower.figures.three_phase import root_three_figure, root_three_triangle_figure
from acpower.figures.waveforms import meters_figure, read_waveform, sine_figure
from acpower.figures.weakest_link import weakest_link_figure

__all__ = [
    "SourcedTable",
    "charge_time_figure",
    "charging_modes_figure",
    "clock_time",
    "connector_figure",
    "front_end_figure",
    "harmonics_figure",
    "load_sharing_figure",
    "meters_figure",
    "pilot_circuit_figure",
    "pilot_law_figure",
    "power_chain_figure",
    "read_waveform",
    "root_three_figure",
    "root_three_triangle_figure",
    "sequence_figure",
    "sine_figure",
    "star_delta_figure",
    "supplies_figure",
    "three_phase_supply",
    "weakest_link_figure",
]
