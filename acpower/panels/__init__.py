"""Live panels and quick questions for the lessons; the only place that imports widgets."""

from acpower.panels.cable_code import cable_code_panel
from acpower.panels.chain import chain_panel
from acpower.panels.charge_time import charge_time_panel
from acpower.panels.connector import connector_panel
from acpower.panels.efficiency import efficiency_panel
from acpower.panels.front_end import front_end_panel
from acpower.panels.load_sharing import load_sharing_panel
from acpower.panels.meters import meters_panel
from acpower.panels.phasors import phasor_panel
from acpower.panels.pilot import pilot_panel
from acpower.panels.power import power_panel
from acpower.panels.quick_question import quick_question
from acpower.panels.sequence import sequence_panel
from acpower.panels.unbalance import unbalance_panel
from acpower.panels.voltage_drop import voltage_drop_panel
from acpower.panels.waveform import waveform_panel

__all__ = [
    "cable_code_panel",
    "chain_panel",
    "charge_time_panel",
    "connector_panel",
    "efficiency_panel",
    "front_end_panel",
    "load_sharing_panel",
    "meters_panel",
    "phasor_panel",
    "pilot_panel",
    "power_panel",
    "quick_question",
    "sequence_panel",
    "unbalance_panel",
    "voltage_drop_panel",
    "waveform_panel",
]
