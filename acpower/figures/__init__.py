"""Still figures, each with a text alternative that gives its message and its numbers.

Beside them, what lessons show as well: tables with their sources, and hours said as clock time.
"""

from acpower.figures.charge_time import charge_time_figure, clock_time
from acpower.figures.power_chain import power_chain_figure
from acpower.figures.sources import SourcedTable
from acpower.figures.three_phase import root_three_figure
from acpower.figures.waveforms import meters_figure, read_waveform, sine_figure

__all__ = [
    "SourcedTable",
    "charge_time_figure",
    "clock_time",
    "meters_figure",
    "power_chain_figure",
    "read_waveform",
    "root_three_figure",
    "sine_figure",
]
