"""The mark schemes, one readable file each."""

from acpower.worksheets.scheme import Worksheet
from acpower.worksheets.schemes import charging_power

WORKSHEETS: dict[str, Worksheet] = {scheme.WORKSHEET.name: scheme.WORKSHEET for scheme in (charging_power,)}


def find_worksheet(name: str) -> Worksheet:
    """Return the worksheet of that name.

    >>> find_worksheet("charging-power").version
    '1'
    """
    if name not in WORKSHEETS:
        raise ValueError(f"there is no worksheet {name!r}. The worksheets are: {', '.join(WORKSHEETS)}")
    return WORKSHEETS[name]
