"""Still figures of the control pilot: the curve against printed pairs, the circuit against the table of parts."""

import numpy as np
import pytest

from acpower import tables
from acpower.figures import pilot_circuit_figure, pilot_law_figure

DUTY_TABLE = [(float(row["duty_percent"]), float(row["current_a"])) for row in tables.rows("pilot_duty")]


@pytest.mark.parametrize(("duty", "current"), DUTY_TABLE, ids=[f"{duty:g} %" for duty, _ in DUTY_TABLE])
def test_solid_line_goes_through_the_printed_pairs(duty: float, current: float) -> None:
    """Manual of a charging-station test adapter, Table 4; 8 % is where the curve begins."""
    (solid,) = (line for line in pilot_law_figure().figure.axes[0].lines if line.get_linestyle() == "-")
    x, y = (np.asarray(data, float) for data in solid.get_data())
    (shown,) = y[np.isclose(x, duty + 0.05 if duty == 8 else duty)]
    assert shown == pytest.approx(current, abs=0.05)


def test_no_line_where_no_current_is_allowed_and_none_across_the_jump() -> None:
    solid, dashed = (
        np.asarray(line.get_ydata(), float) for line in pilot_law_figure().figure.axes[0].lines[:2]
    )
    x = np.asarray(pilot_law_figure().figure.axes[0].lines[0].get_xdata(), float)
    drawn = {name: x[np.isfinite(y)] for name, y in (("iec", solid), ("sae", dashed))}
    assert (drawn["iec"].min(), drawn["iec"].max()) == pytest.approx((8, 97), abs=0.051)
    assert (drawn["sae"].min(), drawn["sae"].max()) == pytest.approx((10, 96), abs=0.051)
    assert np.isnan(solid[np.isclose(x, 85.05)]).all()
    assert np.nanmax(np.abs(np.diff(solid))) < 0.2


def test_text_alternatives_give_the_numbers() -> None:
    """Pairs of Table 4 of the manual; resistors of the table circuit_parts."""
    told = pilot_law_figure().alt
    printed = dict(DUTY_TABLE)
    for duty in (16, 50, 85, 96):
        assert f"{printed[duty]:g} A" in told
    parts = {row["part"]: row["nominal"] for row in tables.rows("circuit_parts")}
    told = pilot_circuit_figure().alt
    for part in ("station resistor", "vehicle resistor B", "vehicle resistor C", "vehicle resistor D"):
        assert f"{parts[part]} Ω" in told
    assert "state A 12 V, state B 9 V, state C 6 V, state D 3 V" in told
