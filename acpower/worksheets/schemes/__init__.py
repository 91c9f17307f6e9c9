"""The mark schemes, one readable file each."""

from acpower.worksheets.scheme import Worksheet
from acpower.worksheets.schemes import charge_time, charging_power, read_ac

WORKSHEETS: dict[str, Worksheet] = {
    scheme.WORKSHEET.name: scheme.WORKSHEET for scheme in (read_ac, charging_power, charge_time)
}


def find_worksheet(name: str) -> Worksheet:
    """Return the worksheet of that name.

    >>> find_worksheet("charging-power").version
    '1'
    """
    if name not in WORKSHEETS:
        raise ValueError(f"there is no worksheet {name!r}. The worksheets are: {', '.join(WORKSHEETS)}")
    return WORKSHEETS[name]
