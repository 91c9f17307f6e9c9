"""Panels: turn the controls without a browser; numbers, words, picture and text alternative follow."""

import base64
from collections.abc import Callable
from html import unescape
from io import BytesIO
from typing import Any

import pytest
from bs4 import BeautifulSoup
from matplotlib.image import imread

from acpower import tables
from acpower.figures.look import blank_figure
from acpower.panels import charge_time_panel, power_panel, quick_question, waveform_panel
from acpower.panels.board import Board
from acpower.panels.charge_time import plan_charge
from acpower.panels.controls import knob
from acpower.panels.panel import PICTURE_HEIGHT, PICTURE_WIDTH, Panel
from acpower.panels.power import charging, connections
from acpower.panels.questions import QUESTIONS

PANELS: list[Callable[[], Panel[Any]]] = [waveform_panel, power_panel, charge_time_panel]
each_panel = pytest.mark.parametrize("make", PANELS, ids=lambda make: make.__name__)

TURNS: list[tuple[Callable[[], Panel[Any]], dict[str, Any]]] = [
    (waveform_panel, {"shape": "triangle"}),
    (waveform_panel, {"peak": 100}),
    (waveform_panel, {"shape": "pulse", "duty_percent": 40}),
    (power_panel, {"connection": connections()["230/400 V, line to neutral"]}),
    (power_panel, {"supply_current": 10}),
    (power_panel, {"station_current": 10}),
    (power_panel, {"cable_current": 13}),
    (power_panel, {"vehicle_current": 8}),
    (power_panel, {"vehicle_phases": 1}),
    (power_panel, {"power_factor": 0.95}),
    (power_panel, {"efficiency_percent": 85}),
    (charge_time_panel, {"first_kwh": 40}),
    (charge_time_panel, {"second_kwh": 60}),
    (charge_time_panel, {"start_percent": 50}),
    (charge_time_panel, {"target_percent": 90}),
    (charge_time_panel, {"power_kw": 7.36}),
    (charge_time_panel, {"efficiency_percent": 85}),
]
each_turn = pytest.mark.parametrize(
    ("make", "values"), TURNS, ids=[f"{make.__name__}-{'-'.join(values)}" for make, values in TURNS]
)


def words(panel: Panel[Any]) -> str:
    return unescape(panel.result.value)


def picture(panel: Panel[Any]) -> tuple[bytes, str]:
    """Return the PNG and its text alternative, as a browser reads them."""
    (image,) = BeautifulSoup(panel.picture.value, "html.parser").select("img")
    png = base64.b64decode(str(image["src"]).removeprefix("data:image/png;base64,"))
    return png, str(image["alt"])


# ---- All panels


@each_turn
def test_every_control_moves_words_picture_and_text_alternative(
    make: Callable[[], Panel[Any]], values: dict[str, Any]
) -> None:
    panel = make()
    before, (png, alt) = words(panel), picture(panel)
    panel.set(**values)
    assert words(panel) != before
    assert picture(panel)[0] != png
    assert picture(panel)[1] != alt
    assert picture(panel)[1].endswith(words(panel))


@each_turn
def test_picture_depends_on_the_values_and_not_on_the_way_to_them(
    make: Callable[[], Panel[Any]], values: dict[str, Any]
) -> None:
    """The background is kept from move to move; a stale one would show here."""
    fresh, used = make(), make()
    start = {name: control.widget.value for name, control in used.controls.items()}
    used.set(**values)
    used.set(**start)
    assert picture(used) == picture(fresh)
    fresh.set(**values)
    used.set(**values)
    assert picture(used) == picture(fresh)


@each_panel
def test_picture_has_its_fixed_size(make: Callable[[], Panel[Any]]) -> None:
    panel = make()
    height, width, _ = imread(BytesIO(picture(panel)[0])).shape
    assert (width, height) == (PICTURE_WIDTH, PICTURE_HEIGHT)
    assert panel.picture.layout.height == f"{PICTURE_HEIGHT}px"


@each_panel
def test_parts_can_be_found_in_the_page(make: Callable[[], Panel[Any]]) -> None:
    panel = make()
    assert "acpower-panel" in panel.container._dom_classes
    assert "acpower-result" in panel.result._dom_classes
    assert "acpower-picture" in panel.picture._dom_classes
    assert "application/vnd.jupyter.widget-view+json" in panel._repr_mimebundle_()


@each_panel
def test_whole_panel_fits_on_a_projector_of_1366_by_768(make: Callable[[], Panel[Any]]) -> None:
    """JupyterLab leaves some 640 × 910 pixels beside its file browser; a row takes 34 of them."""
    panel = make()
    assert 34 * len(panel.controls) <= PICTURE_HEIGHT
    assert PICTURE_WIDTH + 396 <= 910


@each_panel
def test_every_slider_has_a_number_field_with_the_same_range(make: Callable[[], Panel[Any]]) -> None:
    for control in make().controls.values():
        if "acpower-knob" in control.row._dom_classes:
            field, slider = control.row.children
            assert (field.min, field.max, field.value) == (slider.min, slider.max, slider.value)
            assert field.description


def test_number_field_and_slider_follow_each_other() -> None:
    field, slider = knob("Current (A)", value=16, low=6, high=63, step=1).row.children
    slider.value = 20
    assert field.value == 20
    field.value = 32
    assert slider.value == 32


def test_typed_value_between_the_steps_stays_when_the_browser_snaps_the_slider() -> None:
    field, slider = knob("Current (A)", value=16, low=6, high=63, step=1).row.children
    field.value = 13.5
    slider.value = 14  # what a browser answers
    assert field.value == 13.5


def test_slider_leaves_no_dust_in_the_number_field() -> None:
    field, slider = knob("Power (kW)", value=11, low=1.4, high=50, step=0.1).row.children
    slider.value = 11.200000000000001
    assert field.value == 11.2


def test_failing_calculation_surfaces() -> None:
    """An error in a callback must reach whoever turned the control, not vanish in the page."""

    def calculate(current: float) -> float:
        if current > 32:
            raise ValueError("the cable cannot carry that")
        return current

    class Drawing:
        def png(self, numbers: float) -> bytes:
            return b""

    panel = Panel(
        controls={"current": knob("Current (A)", value=16, low=6, high=63, step=1)},
        calculate=calculate,
        drawing=Drawing(),
        words=str,
        alt=str,
    )
    panel.set(current=32)
    assert words(panel) == "32.0"
    with pytest.raises(ValueError, match="the cable cannot carry that"):
        panel.set(current=33)


# ---- The drawing route


def test_board_draws_still_parts_again_when_a_scale_changes() -> None:
    def board(top: float) -> tuple[Any, Board]:
        figure = blank_figure(3, 2)
        axes = figure.subplots()
        (line,) = axes.plot([0, 1], [0, 1])
        axes.set_ylim(0, top)
        return axes, Board(figure, [line])

    axes, used = board(1.0)
    before = used.png()
    axes.set_ylim(0, 10)
    assert used.png() != before
    assert used.png() == board(10.0)[1].png()


# ---- Numbers


@pytest.mark.parametrize("row", tables.rows("waveforms"), ids=lambda row: row["waveform"])
def test_waveform_panel_says_the_published_rms_value(row: dict[str, str]) -> None:
    """Table of waveforms: Lessons In Electric Circuits, volume II chapter 1, and own calculation."""
    shape, _, percent = row["waveform"].removesuffix(" %").partition("pulse ")
    panel = waveform_panel()
    panel.set(peak=100, shape=shape or "pulse", duty_percent=float(percent or 50))
    assert f"RMS {100 * float(row['rms']):.1f} V" in words(panel)
    assert f"rectified mean {100 * float(row['rectified_mean']):.1f} V" in words(panel)


@pytest.mark.parametrize(
    ("shape", "verdict"),
    [
        ("sine", "shows 70.7 V: correct."),
        # π ÷ (2√2) = 1.1107, the factor built into the meter
        ("square", "shows 111.1 V: 11.1 % too much."),
        ("half-wave rectified sine", "shows 35.4 V: 29.3 % too little."),
    ],
)
def test_waveform_panel_judges_the_average_responding_meter(shape: str, verdict: str) -> None:
    panel = waveform_panel()
    panel.set(peak=100, shape=shape)
    assert words(panel).endswith(verdict)


@pytest.mark.parametrize(
    ("connection", "current", "printed"),
    [
        # Encyclopedia article on SAE J1772, charging levels: 80 A at 240 V are 19.2 kW
        ("120/240 V, North America, line to line", 80, "19.20 kW"),
        # common practice, no source: 32 A on one phase of 230 V, 16 A and 32 A on three
        ("230/400 V, line to neutral", 32, "7.36 kW"),
        ("230/400 V, three-phase", 16, "11.04 kW"),
        ("230/400 V, three-phase", 32, "22.08 kW"),
    ],
)
def test_power_panel_gives_the_usual_powers(connection: str, current: float, printed: str) -> None:
    panel = power_panel()
    every = dict.fromkeys(("supply_current", "station_current", "cable_current", "vehicle_current"), current)
    panel.set(connection=connections()[connection], **every)
    assert f"= {printed} from the grid" in words(panel)


@pytest.mark.parametrize(
    ("turned", "said"),
    [
        ({"supply_current": 10}, "Limiting: supply (current)."),
        ({"cable_current": 13}, "Limiting: cable (current)."),
        ({"vehicle_phases": 1}, "Limiting: supply (current), vehicle (phases)."),
        ({"vehicle_phases": 1, "vehicle_current": 8}, "Limiting: vehicle (current and phases)."),
        ({"station_current": 16}, "Limiting: supply (current), station (current)."),
        (
            {"station_current": 16, "cable_current": 16, "vehicle_current": 16},
            "All links are equal.",
        ),
    ],
)
def test_power_panel_names_the_limiting_link(turned: dict[str, float], said: str) -> None:
    panel = power_panel()
    panel.set(**turned)
    assert words(panel).startswith(said)


def test_single_phase_supply_limits_the_phases_of_a_three_phase_vehicle() -> None:
    numbers = charging(
        connection=connections()["230/400 V, line to neutral"],
        supply_current=32,
        station_current=32,
        cable_current=32,
        vehicle_current=16,
        vehicle_phases=3,
        power_factor=1.0,
        efficiency_percent=100,
    )
    assert numbers.reasons("supply") == ["phases"]
    assert numbers.reasons("vehicle") == ["current"]
    assert numbers.grid_kw == numbers.battery_kw == pytest.approx(3.68)


def test_charge_time_panel_gives_the_time_of_a_published_example() -> None:
    """Lay guide to charging times: 60 kWh from 20 % at 7 kW; 6.857 h, which are 6 h 51 min."""
    panel = charge_time_panel()
    panel.set(first_kwh=60, start_percent=20, target_percent=100, power_kw=7, efficiency_percent=100)
    assert "60 kWh battery: 48.0 kWh to add, 6.86 h = 6 h 51 min." in words(panel)


def test_charge_time_panel_explains_a_target_below_the_start() -> None:
    panel = charge_time_panel()
    panel.set(start_percent=90)
    assert words(panel) == "Nothing to charge: the target, 80 %, must be above the start, 90 %."


def test_charge_time_doubles_with_half_the_power() -> None:
    slow, fast = (plan_charge(30, 100, 20, 80, power, 90) for power in (7.4, 14.8))
    assert slow.times_h == pytest.approx(tuple(2 * time for time in fast.times_h))


@pytest.mark.parametrize("corner", [0, -1])
@each_panel
def test_every_scale_holds_the_whole_range_of_the_controls(
    make: Callable[[], Panel[Any]], corner: int
) -> None:
    """All knobs at one end, then the other: a value off the scales would raise."""
    panel = make()
    png, _ = picture(panel)
    for name, control in panel.controls.items():
        if "acpower-knob" in control.row._dom_classes:
            panel.set(**{name: (control.widget.min, control.widget.max)[corner]})
    assert picture(panel)[0] != png


def test_longest_charge_still_fits_the_scale() -> None:
    panel = charge_time_panel()
    panel.set(second_kwh=150, start_percent=0, target_percent=100, power_kw=1.4, efficiency_percent=50)
    assert "214.29 h = 214 h 17 min" in words(panel)


# ---- Quick questions


@pytest.mark.parametrize("name", QUESTIONS)
def test_quick_question_reacts_to_every_answer_and_has_one_right_one(name: str) -> None:
    question = QUESTIONS[name]()
    ticks, reaction = quick_question(name).children[1:3]
    said = {}
    for answer in question.answers:
        ticks.value = answer
        said[answer] = unescape(reaction.value)
        assert said[answer].endswith(question.answers[answer])
    assert len(said) >= 3
    assert [answer for answer, text in said.items() if "Right." in text] == [question.right]


def test_unknown_quick_question_is_refused_with_the_names_that_there_are() -> None:
    with pytest.raises(ValueError, match=r"'ohm'.*peak to RMS"):
        quick_question("ohm")
