"""Still figures, each with a text alternative that gives its message and its numbers.

Beside them, what lessons show as well: tables with their sources, and hours said as clock time.
"""

from acpower.figures.charge_time import charge_time_figure, clock_time
from acpower.figures.connector import connector_figure
from acpower.figures.front_end import front_end_figure, harmonics_figure
from acpower.figures.load_sharing import load_sharing_figure
from acpower.figures.power_chain import power_chain_figure
from acpower.figures.sequence import sequence_figure
from acpower.figures.sources import SourcedTable
from acpower.figures.three_phase import root_three_figure
from acpower.figures.waveforms import meters_figure, read_waveform, sine_figure

__all__ = [
    "SourcedTable",
    "charge_time_figure",
    "clock_time",
    "connector_figure",
    "front_end_figure",
    "harmonics_figure",
    "load_sharing_figure",
    "meters_figure",
    "power_chain_figure",
    "read_waveform",
    "root_three_figure",
    "sequence_figure",
    "sine_figure",
]
