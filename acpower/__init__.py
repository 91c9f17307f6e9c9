"""Teach how electric vehicles are charged from alternating current.

The formula rooms are attributes of the package: ``acpower.power``, ``acpower.pilot`` and so on. Each
is loaded when it is first used, so that ``import acpower`` costs next to nothing. Panels, worksheets
and marking are imported where they are used.
"""

from importlib import import_module
from types import ModuleType

__all__ = [
    "ac_ceiling",
    "battery",
    "charger",
    "circuit",
    "conductors",
    "connectors",
    "distorted",
    "efficiency",
    "feeder",
    "front_end",
    "harmonic_limits",
    "harmonics",
    "load_sharing",
    "meters",
    "pilot",
    "pilot_circuit",
    "power",
    "protection",
    "proximity",
    "recording",
    "region",
    "rms",
    "sequence",
    "supply",
    "tariff",
    "unbalanced",
    "waveforms",
]


def __getattr__(name: str) -> ModuleType:
    if name in __all__:
        return import_module(f"acpower.{name}")
    raise AttributeError(f"module 'acpower' has no attribute {name!r}")


def __dir__() -> list[str]:
    return __all__
