"""Figures of couplers and of the charging sequence: what they draw is what the records say."""

import re
from itertools import combinations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.patches import Circle, FancyBboxPatch
from matplotlib.text import Text

from acpower.connectors import CONNECTORS, connector
from acpower.figures import connector_figure, sequence_figure
from acpower.figures.look import Still
from acpower.panels import connector_panel
from acpower.sequence import charging_sequence

each_connector = pytest.mark.parametrize("key", CONNECTORS)
CAUTION = "schematic, not to scale, arrangement from memory: not for identification"


def texts(still: Still) -> list[str]:
    return [text.get_text() for text in still.figure.findobj(Text) if text.get_text()]


def circles(still: Still) -> dict[tuple[float, float], Circle]:
    return {patch.center: patch for patch in still.figure.axes[0].patches if isinstance(patch, Circle)}


@each_connector
def test_every_contact_is_drawn_once_with_its_letters_and_explained(key: str) -> None:
    still = connector_figure(key)
    contacts = connector(key).contacts
    assert len(circles(still)) == len(contacts)
    inside = [
        text.get_text()
        for text in still.figure.axes[0].texts
        if any(np.allclose(text.get_position(), centre) for centre in circles(still))
    ]
    assert inside == [contact.name for contact in contacts]
    for contact in contacts:
        assert contact.function in texts(still)
        assert f"row {contact.row}, place {contact.column}: {contact.name}, {contact.function}" in still.alt


@pytest.mark.parametrize("key", ["type-2", "gb-t-20234.2"])
def test_the_list_beside_the_picture_names_the_lines_in_their_order(key: str) -> None:
    listed = [said for said in texts(connector_figure(key)) if said.startswith("line conductor")]
    assert listed == ["line conductor 1", "line conductor 2", "line conductor 3"]


def test_the_list_of_the_panel_has_the_same_order() -> None:
    shown = re.findall(r"line conductor \d", connector_panel().svg().split("</desc>")[1])
    assert shown == ["line conductor 1", "line conductor 2", "line conductor 3"]


@each_connector
def test_rows_stand_below_one_another_and_places_side_by_side(key: str) -> None:
    centres = list(circles(connector_figure(key)))
    for (one, (x, y)), (other, (u, v)) in combinations(zip(connector(key).contacts, centres, strict=True), 2):
        assert (one.row < other.row) == (y > v + 0.1)
        if one.row == other.row:
            assert (one.column < other.column) == (x < u)


@each_connector
def test_power_contacts_are_bigger_than_signal_contacts_and_none_overlap(key: str) -> None:
    drawn = circles(connector_figure(key))
    for contact, circle in zip(connector(key).contacts, drawn.values(), strict=True):
        assert circle.radius == (0.3 if contact.kind in ("pilot", "proximity") else 0.44)
    for one, other in combinations(drawn.values(), 2):
        assert np.hypot(*np.subtract(one.center, other.center)) > one.radius + other.radius
    (outline,) = (p for p in connector_figure(key).figure.axes[0].patches if isinstance(p, FancyBboxPatch))
    box = outline.get_bbox()
    for circle in drawn.values():
        (x, y), r = circle.center, circle.radius
        assert box.x0 < x - r < x + r < box.x1
        assert box.y0 < y - r < y + r < box.y1


@each_connector
def test_picture_and_text_alternative_say_that_the_arrangement_is_from_memory(key: str) -> None:
    still = connector_figure(key)
    assert CAUTION in texts(still)
    assert CAUTION in still.alt
    assert connector(key).designation in texts(still)
    for said in (still.alt, still.caption):
        assert said.endswith("Contacts: read.") if key == "type-1" else "from memory" in said


@pytest.mark.parametrize("key", ["type-3a", "type-3c"])
def test_coupler_whose_contacts_are_unconfirmed_is_an_empty_outline(key: str) -> None:
    still = connector_figure(key)
    assert "not known" in texts(still)
    assert connector(key).note in " ".join("\n".join(texts(still)).split())
    assert f"Not known: {connector(key).note}" in still.alt
    assert "contacts not known. Single-phase not known, three-phase not known." in still.caption
    assert still.caption.endswith("Contacts: from memory, unconfirmed.")


def test_caption_tells_contacts_and_ratings() -> None:
    assert connector_figure().caption == connector_figure("type-2").caption
    assert connector_figure("type-2").caption.startswith(
        "IEC 62196-2 Type 2: 7 contacts. Single-phase 63 or 70 A, three-phase 63 A."
    )
    assert "Single-phase 80 A, three-phase not applicable." in connector_figure("type-1").caption


@pytest.mark.parametrize("still", [*map(connector_figure, CONNECTORS), sequence_figure()])
def test_no_text_runs_out_of_the_picture_or_over_another(still: Still) -> None:
    canvas = FigureCanvasAgg(still.figure)
    canvas.draw()
    width, height = canvas.get_width_height()
    shown = [text for axes in still.figure.axes for text in (*axes.texts, axes.xaxis.label, axes.yaxis.label)]
    shown = [text for text in shown if text.get_text()]
    boxes = [text.get_window_extent(canvas.get_renderer()) for text in shown]
    for text, box in zip(shown, boxes, strict=True):
        assert box.x0 >= 0, text
        assert box.y0 >= 0, text
        assert box.x1 <= width, text
        assert box.y1 <= height, text
    for one, other in combinations(boxes, 2):
        assert not one.overlaps(other)


# ---- The sequence

EVENTS = [
    (1, "plug in"),
    (4, "vehicle ready"),
    (20, "current limit", 10),
    (30, "pilot lost"),
    (40, "station fault"),
]


def test_lines_of_the_sequence_are_its_steps() -> None:
    steps = charging_sequence(EVENTS)
    pilot, duty, current, contactor = sequence_figure(steps).figure.axes
    times = [step.time_s for step in steps]
    expected = {
        (pilot, "-"): [step.positive_level for step in steps],
        (pilot, "--"): [step.negative_level for step in steps],
        (duty, "-"): [step.duty_percent for step in steps],
        (current, ":"): [step.offered_current for step in steps],
        (current, "-"): [step.drawn_current for step in steps],
    }
    for (axes, dashes), values in expected.items():
        (line,) = (line for line in axes.lines if line.get_linestyle() == dashes and line.get_linewidth() > 2)
        assert line.get_drawstyle() == "steps-post"
        assert list(line.get_xdata())[:-1] == times
        assert line.get_ydata()[:-1] == pytest.approx(
            [np.nan if v is None else v for v in values], nan_ok=True
        )
        # a tenth of the whole is added, to see the last step
        assert line.get_xdata()[-1] == pytest.approx(times[-1] + 4.0)
    closed = [
        end for patch in contactor.patches for end in (patch.get_x(), patch.get_x() + patch.get_width())
    ]
    assert closed == pytest.approx([7, 20, 20, 25, 25, 30, 30, 30.1])


def test_states_are_written_above_their_stretches() -> None:
    still = sequence_figure(charging_sequence(EVENTS))
    written = {text.get_text(): text.get_position()[0] for text in still.figure.axes[0].texts}
    assert {state: written.get(state) for state in ("B2", "C2", "A", "F")} == {
        "B2": 2.5,
        "C2": 17.0,
        "A": 35.0,  # the first second is too narrow for its letter
        "F": 42.0,
    }


def test_text_alternative_of_the_sequence_tells_every_step() -> None:
    steps = charging_sequence(EVENTS)
    alt = sequence_figure(steps).alt
    for step in steps:
        assert f"{step.time_s:g} s, state {step.state}: {step.sentence}" in alt
    assert "Pilot +6 V and -12 V, duty 16.7 %, offered 10 A, drawn 16 A, contactor closed." in alt
    assert "Pilot -12 V, duty 0.0 %, offered 0 A, drawn 0 A, contactor open." in alt


def test_sequence_of_a_single_step_can_be_drawn() -> None:
    still = sequence_figure(charging_sequence([]))
    assert still.figure.axes[0].get_xlim() == (0.0, 1.0)
    assert "0 s, state A" in still.alt
