"""Teach how electric vehicles are charged from alternating current.

``import acpower`` brings the formulas and nothing else; panels, worksheets and marking are
imported where they are used.
"""

from acpower import battery, charger, connectors, pilot, power, rms, supply

__all__ = ["battery", "charger", "connectors", "pilot", "power", "rms", "supply"]


def __dir__() -> list[str]:
    return __all__
