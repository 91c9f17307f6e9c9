"""The mark schemes, one readable file each."""

from acpower.worksheets.scheme import Worksheet
from acpower.worksheets.schemes import (
    charge_time,
    charging_point,
    charging_power,
    connectors,
    follow_the_power,
    losses,
    pilots,
    read_ac,
    supplies,
    weakest_link,
)

WORKSHEETS: dict[str, Worksheet] = {
    scheme.WORKSHEET.name: scheme.WORKSHEET
    for scheme in (
        follow_the_power,
        read_ac,
        supplies,
        connectors,
        pilots,
        charging_power,
        weakest_link,
        losses,
        charge_time,
        charging_point,
    )
}


def find_worksheet(name: str) -> Worksheet:
    """Return the worksheet of that name.

    >>> find_worksheet("charging-power").version
    '2'
    """
    if name not in WORKSHEETS:
        raise ValueError(f"there is no worksheet {name!r}. The worksheets are: {', '.join(WORKSHEETS)}")
    return WORKSHEETS[name]
