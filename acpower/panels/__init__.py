"""Live panels and quick questions for the lessons; the only place that imports widgets."""

from acpower.panels.charge_time import charge_time_panel
from acpower.panels.power import power_panel
from acpower.panels.quick_question import quick_question
from acpower.panels.waveform import waveform_panel

__all__ = ["charge_time_panel", "power_panel", "quick_question", "waveform_panel"]
