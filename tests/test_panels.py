"""Panels: turn the controls without a browser; numbers, words, picture and text alternative follow."""

import json
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from html import unescape
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower import panels, tables
from acpower.figures.scene import Axis, Chart, Scene
from acpower.notebooks import folder
from acpower.panels import (
    cable_code_panel,
    chain_panel,
    charge_time_panel,
    connector_panel,
    efficiency_panel,
    front_end_panel,
    load_sharing_panel,
    meters_panel,
    phasor_panel,
    pilot_panel,
    power_panel,
    quick_question,
    sequence_panel,
    unbalance_panel,
    voltage_drop_panel,
    waveform_panel,
)
from acpower.panels.charge_time import ACCEPTANCES, plan_charge
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel
from acpower.panels.power import charging, connections
from acpower.panels.questions import QUESTIONS
from acpower.region import REGIONS

SVG = "{http://www.w3.org/2000/svg}"
WIDGET = "application/vnd.jupyter.widget-view+json"


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


PANELS: list[Callable[[], Panel[Any]]] = [
    getattr(panels, name) for name in panels.__all__ if name.endswith("_panel")
]
each_panel = pytest.mark.parametrize("make", PANELS, ids=lambda make: make.__name__)

TURNS: list[tuple[Callable[[], Panel[Any]], dict[str, Any]]] = [
    (waveform_panel, {"shape": "triangle"}),
    (waveform_panel, {"peak": 100}),
    (waveform_panel, {"shape": "pulse", "duty_percent": 40}),
    (power_panel, {"connection": "230/400 V, line to neutral"}),
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
    (charge_time_panel, {"acceptance": "cold (3 °C), less from 80 %"}),
    (charge_time_panel, {"plugged_in_h": 21.5}),
    (voltage_drop_panel, {"connection": "one phase, 230 V"}),
    (voltage_drop_panel, {"area_mm2": 10.0}),
    (voltage_drop_panel, {"length_m": 60}),
    (voltage_drop_panel, {"current": 16}),
    (voltage_drop_panel, {"temperature_c": 30}),
    (load_sharing_panel, {"available": 60}),
    (load_sharing_panel, {"request_1": 16}),
    (load_sharing_panel, {"request_2": 20}),
    (load_sharing_panel, {"request_3": 8}),
    (load_sharing_panel, {"request_4": 0}),
    (load_sharing_panel, {"rule": "first come, first served"}),
    (phasor_panel, {"connection": "delta"}),
    (phasor_panel, {"first": 20}),
    (phasor_panel, {"second": 10}),
    (phasor_panel, {"third": 16}),
    (phasor_panel, {"lag": -30}),
    (unbalance_panel, {"l1_kw": 3.7}),
    (unbalance_panel, {"l2_kw": 3.7}),
    (unbalance_panel, {"l3_kw": 3.7}),
    (unbalance_panel, {"length_m": 80}),
    (unbalance_panel, {"area_mm2": 10.0}),
    (cable_code_panel, {"coding_ohm": 680}),
    (cable_code_panel, {"contact_ohm": 200}),
    (cable_code_panel, {"coding_ohm": 320, "bands": "touching"}),
    (cable_code_panel, {"station_a": 16}),
    (efficiency_panel, {"grid_kw": 3.7}),
    (efficiency_panel, {"fixed_w": 120}),
    (efficiency_panel, {"linear_w": 300}),
    (efficiency_panel, {"quadratic_w": 600}),
    (efficiency_panel, {"auxiliaries_w": 250}),
    (front_end_panel, {"name": "With power factor stage"}),
    (front_end_panel, {"load_power": 2000}),
    (front_end_panel, {"capacitor_uf": 2000}),
    (chain_panel, {"happens": "power cut"}),
    (chain_panel, {"happens": "smooth DC goes astray", "device": "type A"}),
    (connector_panel, {"coupler": "SAE J1772 / IEC 62196-2 Type 1"}),
    (connector_panel, {"supply": "120/240 V, split-phase"}),
    (connector_panel, {"phases": "one only"}),
    (meters_panel, {"name": "current of a simple charger"}),
    (meters_panel, {"duty_percent": 40}),
    (pilot_panel, {"duty_percent": 40}),
    (pilot_panel, {"vehicle": "C: ready"}),
    (pilot_panel, {"vehicle": "resistance by hand", "ohms": 1000}),
    (pilot_panel, {"fault": "diode shorted"}),
    (pilot_panel, {"windows": "test"}),
    (sequence_panel, {"event": "pilot wire breaks"}),
    (sequence_panel, {"event_s": 12}),
    (sequence_panel, {"event": "current limit changed", "new_limit": 12}),
    (sequence_panel, {"offered_current": 12}),
    (sequence_panel, {"vehicle_current": 8}),
    (sequence_panel, {"ventilation": "needed, station ventilates"}),
]
each_turn = pytest.mark.parametrize(
    ("make", "values"), TURNS, ids=[f"{make.__name__}-{'-'.join(values)}" for make, values in TURNS]
)


each_size = pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])


def text_alternative(svg: str) -> str:
    """Return title and description of a picture, as a screen reader reads them out."""
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    parts = {part.get("id"): part.text or "" for part in root}
    return ". ".join(parts[name] for name in str(root.get("aria-labelledby")).split())


# ---- All panels


@each_size
@each_turn
def test_every_control_moves_words_picture_and_text_alternative(
    make: Callable[[], Panel[Any]], values: dict[str, Any], large: bool
) -> None:
    panel = make()
    panel.face.large = large
    before = panel.face.shown
    panel.set(**values)
    now = panel.face.shown
    assert now["words"] == panel.words != before["words"]
    drawn, drawn_before = now["picture"].split("</desc>")[1], before["picture"].split("</desc>")[1]
    assert drawn != drawn_before
    assert text_alternative(now["picture"]).startswith(f"{panel.title}. ")
    assert text_alternative(now["picture"]).endswith(panel.words)


def test_every_control_of_every_panel_is_among_the_turns() -> None:
    turned = {(make, name) for make, values in TURNS for name in values}
    assert [
        (make.__name__, name) for make in PANELS for name in make().controls if (make, name) not in turned
    ] == []


@each_turn
def test_picture_depends_on_the_values_and_not_on_the_way_to_them(
    make: Callable[[], Panel[Any]], values: dict[str, Any]
) -> None:
    fresh, used = make(), make()
    start = used.face.shown["values"]
    used.set(**values)
    used.set(**start)
    assert used.svg() == fresh.svg()
    fresh.set(**values)
    used.set(**values)
    assert used.svg() == fresh.svg()


@each_panel
def test_large_text_is_larger_and_says_the_same(make: Callable[[], Panel[Any]]) -> None:
    panel = make()
    normal, large = (ElementTree.fromstring(panel.svg(large=large)) for large in (False, True))
    assert float(str(large.get("font-size"))) >= 1.3 * float(str(normal.get("font-size")))
    assert large.get("viewBox") == normal.get("viewBox") == "0 0 512 400"
    assert text_alternative(panel.svg(large=True)) == text_alternative(panel.svg())
    for size, drawn in ((True, large), (False, normal)):
        panel.face.large = size  # the switch of the page
        assert f'font-size="{drawn.get("font-size")}">\n<title' in panel.face.shown["picture"]


@each_panel
def test_labels_differ_and_name_the_unit(make: Callable[[], Panel[Any]]) -> None:
    controls = make().controls.values()
    labels = [control.plan()["label"] for control in controls]
    assert len({control.label for control in controls}) == len(labels)
    assert [label for label in labels if "(" not in label and label != "Power factor"] == [
        control.label for control in controls if isinstance(control, Choice)
    ]


@each_size
@each_panel
def test_every_scale_holds_the_whole_range_of_the_controls(
    make: Callable[[], Panel[Any]], large: bool
) -> None:
    """All knobs at one end, then the other: a value off the scales would raise."""
    panel = make()
    for end in ("low", "high"):
        panel.set(**{n: getattr(knob, end) for n, knob in panel.controls.items() if isinstance(knob, Knob)})
        assert "nan" not in panel.svg(large=large)
        assert "inf" not in panel.svg(large=large).split("</desc>")[1]


@each_panel
def test_page_without_a_kernel_shows_a_still_picture_with_the_words(make: Callable[[], Panel[Any]]) -> None:
    panel = make()
    bundle, _ = panel._repr_mimebundle_()
    assert WIDGET in bundle
    still = ElementTree.fromstring(bundle["text/html"])
    assert still.find(f"{SVG}svg") is not None
    assert still.findtext("figcaption") == panel.words
    live = ElementTree.fromstring(panel.face.shown["picture"])
    assert still.find(f"{SVG}svg").get("aria-labelledby") != live.get("aria-labelledby")  # type: ignore[union-attr]


def test_two_panels_of_a_page_keep_their_text_alternatives_apart() -> None:
    names = [ElementTree.fromstring(power_panel().face.shown["picture"]).get("aria-labelledby") for _ in "ab"]
    assert names[0] != names[1]


# ---- What the panel refuses


CURRENT = Knob("Current", "A", value=16, low=6, high=63, step=1)


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("16", 16), (" 13.5 ", 13.5), ("13,5", 13.5), ("+20", 20), ("20 A", 20), ("20A", 20), ("7.", 7),
        ("12.345", 12.345), ("6", 6), ("63", 63), ("2e1", 20), ("2,5e1", 25), ("7,0000", 7),
    ],
)  # fmt: skip
def test_knob_reads_what_an_electrician_types(typed: str, number: float) -> None:
    assert CURRENT.read(typed) == number


@pytest.mark.parametrize(
    ("typed", "given"),
    [
        ("900", "900 A was given"), ("5.999", "5.999 A was given"), ("63.01", "63.01 A was given"),
        ("-16", "-16 A was given"), ("−16", "-16 A was given"), ("", "nothing was given"),
        ("A", "nothing was given"), ("abc", "“abc” was given"), ("nan", "“nan” was given"),
        ("inf", "“inf” was given"), ("1_0", "“1_0” was given"), ("1.2.3", "“1.2.3” was given"),
        ("16 kA", "“16 k” was given"), ("1 6", "“1 6” was given"), ("1e999", "1e999 A was given"),
        ("12,345", "12,345 was given"),
    ],
)  # fmt: skip
def test_knob_refuses_with_a_sentence(typed: str, given: str) -> None:
    with pytest.raises(ValueError, match="Current: ") as refused:
        CURRENT.read(typed)
    assert given in str(refused.value)
    assert "allowed is 6 to 63 A. Check " in str(refused.value)


def test_comma_that_may_part_thousands_is_asked_about_and_one_after_nought_is_not() -> None:
    with pytest.raises(ValueError, match=r"write 12345 or 12\.345"):
        CURRENT.read("12,345")
    assert Knob("Power factor", "", value=1, low=0.5, high=1, step=0.01).read("0,925") == 0.925


@given(st.text(alphabet="0123456789.,-+eE A", max_size=8) | st.text(max_size=8))
def test_knob_never_reads_a_number_from_outside_its_range(typed: str) -> None:
    try:
        number = CURRENT.read(typed)
    except ValueError:
        return
    assert CURRENT.low <= number <= CURRENT.high


@given(st.floats(min_value=6, max_value=63))
def test_knob_reads_back_what_it_writes(number: float) -> None:
    assert CURRENT.read(CURRENT.write(number)) == pytest.approx(number, rel=1e-9)


def test_choice_refuses_what_is_not_on_its_list() -> None:
    panel = power_panel()
    for wrong in (4, "four phases"):
        with pytest.raises(
            ValueError, match=f"Vehicle uses: {wrong} was given; allowed is one of three phases, two"
        ):
            panel.set(vehicle_phases=wrong)
    with pytest.raises(ValueError, match="control: 'phases' was given; allowed is one of 'connection'"):
        panel.set(phases=1)


def test_refused_entry_is_said_at_its_control_and_the_rest_goes_on() -> None:
    panel = charge_time_panel()
    before = panel.svg()
    with pytest.raises(ValueError, match="Battery 1: 900 kWh was given; allowed is 5 to 150 kWh"):
        panel.set(first_kwh="900")
    assert panel.svg() == before
    assert list(panel.face.shown["refused"]) == ["first_kwh"]
    assert panel.face.shown["refused"]["first_kwh"].endswith("The picture still shows 30 kWh.")
    with pytest.raises(ValueError, match="Battery 1"):
        panel.set(second_kwh=50)
    assert "50 kWh battery" in panel.words
    panel.set(first_kwh="37,5")
    assert panel.face.shown["refused"] == {}
    assert panel.face.shown["values"]["first_kwh"] == "37.5"


def test_answer_says_which_entry_it_belongs_to() -> None:
    """The page leaves a control alone that has been turned further in the meantime."""
    panel = charge_time_panel()
    panel.set(first_kwh="37,5")
    assert panel.face.shown["answered"]["first_kwh"] == panel.face.typed["first_kwh"] == "37,5"


def fuse_panel(calculate: Callable[..., float]) -> Panel[float]:
    return Panel(
        "A cable and its breaker",
        {
            "breaker": Knob("Breaker", "A", value=16, low=6, high=63, step=1),
            "cable": Knob("Cable", "A", value=20, low=6, high=63, step=1),
        },
        calculate=calculate,
        scene=lambda spare: Scene([Chart(Axis(0, 63, "Spare (A)"), Axis(0, 1), [])]),
        words=lambda spare: f"{spare:g} A to spare",
    )


def test_combination_that_the_formula_refuses_is_said_and_the_picture_stays() -> None:
    def spare(breaker: float, cable: float) -> float:
        if breaker > cable:
            raise ValueError("breaker: 25 A was given; allowed is up to 20 A. Check the cable.")
        return cable - breaker

    panel = fuse_panel(spare)
    before = panel.svg()
    with pytest.raises(ValueError, match="breaker: 25 A was given"):
        panel.set(breaker=25)
    assert (panel.svg(), panel.words) == (before, "4 A to spare")
    assert panel.face.shown["problem"].startswith("breaker: 25 A was given")
    assert panel.face.shown["problem"].endswith("The picture still shows the values before.")
    assert panel.face.shown["values"] == {"breaker": "25", "cable": "20"}
    with pytest.raises(ValueError, match="Cable: 900"):
        panel.set(cable="900")
    assert panel.face.shown["refused"]["cable"].endswith("The picture still shows 20 A.")
    panel.set(cable=32)
    assert panel.face.shown["problem"] == ""
    assert panel.words == "7 A to spare"
    with pytest.raises(ValueError, match="Cable: 900"):
        panel.set(cable="900")
    assert panel.face.shown["refused"]["cable"].endswith("The picture still shows 32 A.")


def test_defect_of_a_panel_surfaces() -> None:
    """Only a ``ValueError`` is a refusal; any other error must reach whoever turned the control."""

    def spare(breaker: float, cable: float) -> float:
        return {16: 4.0}[int(breaker)]

    panel = fuse_panel(spare)
    with pytest.raises(KeyError):
        panel.set(breaker=25)

    def refuses(breaker: float, cable: float) -> float:
        raise ValueError("nothing fits")

    with pytest.raises(ValueError, match="nothing fits"):
        fuse_panel(refuses)


def test_duty_of_a_pulse_can_only_be_turned_for_a_pulse() -> None:
    panel = waveform_panel()
    assert panel.face.shown["idle"] == ["duty_percent"]
    panel.set(shape="pulse")
    assert panel.face.shown["idle"] == []
    before = panel.svg()
    panel.set(duty_percent=60)
    assert panel.svg() != before
    assert power_panel().face.shown["idle"] == charge_time_panel().face.shown["idle"] == []


# ---- Regions


@pytest.mark.parametrize("key", REGIONS)
@each_panel
def test_panels_of_every_region_can_be_built(
    make: Callable[[], Panel[Any]], key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", key)
    assert ElementTree.fromstring(make().svg()).get("role") == "img"


@pytest.mark.parametrize(
    ("key", "frequency", "peak", "connection", "phases", "grid_kw", "ends"),
    [
        # 230/400 V: peak 230 √2 = 325 V; 22 kW at 32 A and 43 kW at 63 A, common practice, no source
        ("europe", "50 Hz", "325", "230/400 V, three-phase", 3, "11", "AC 22 kW, 3 × 32 A and AC 43 kW, 3 × 63 A"),
        # Encyclopedia article on SAE J1772, charging levels: 80 A at 240 V are 19.2 kW; 120 √2 = 170 V
        (
            "north-america", "60 Hz", "170", "120/240 V, North America, line to line", 1, "7.7",
            "AC 8 kW, 1 × 32 A and AC 19 kW, 1 × 80 A",
        ),
    ],
)  # fmt: skip
def test_panels_speak_of_the_region_in_use(
    key: str, frequency: str, peak: str, connection: str, phases: int, grid_kw: str, ends: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setenv("ACPOWER_REGION", key)
    wave, power, time = waveform_panel(), power_panel(), charge_time_panel()
    monkeypatch.setenv("ACPOWER_REGION", "japan")  # a panel stays what it was built for
    power.set(power_factor=0.9)
    assert f"Time (ms), {frequency}" in wave.svg()
    assert frequency in wave.title
    assert wave.face.shown["values"]["peak"] == peak
    assert power.face.shown["values"]["connection"] == connection
    assert power.numbers.phases["vehicle"] == power.numbers.phases["supply"] == phases
    assert time.face.shown["values"]["power_kw"] == grid_kw
    assert ends in text_alternative(time.svg())


def test_time_axis_holds_two_periods(monkeypatch: pytest.MonkeyPatch) -> None:
    for key, milliseconds in (("europe", 40), ("north-america", 1000 / 30)):
        monkeypatch.setenv("ACPOWER_REGION", key)
        panel = waveform_panel()
        (curve, *_) = panel._scene(panel.numbers).charts
        assert curve.x.high == pytest.approx(milliseconds)


# ---- Numbers


@pytest.mark.parametrize("row", tables.rows("waveforms"), ids=lambda row: row["waveform"])
def test_waveform_panel_says_the_published_rms_value(row: dict[str, str]) -> None:
    """Table of waveforms: Lessons In Electric Circuits, volume II chapter 1, and own calculation."""
    shape, _, percent = row["waveform"].removesuffix(" %").partition("pulse ")
    panel = waveform_panel()
    panel.set(peak=100, shape=shape or "pulse", duty_percent=float(percent or 50))
    assert f"RMS {100 * float(row['rms']):.1f} V" in panel.words
    assert f"rectified mean {100 * float(row['rectified_mean']):.1f} V" in panel.words


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
    assert panel.words.endswith(verdict)


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
    panel.set(connection=connection, **every)
    assert f"= {printed} from the grid" in panel.words


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
    assert panel.words.startswith(said)


def test_picture_of_the_chain_says_every_rating_and_what_limits() -> None:
    panel = power_panel()
    panel.set(vehicle_phases=1, vehicle_current=8)
    said = (
        "Ratings: supply 16 A, 3 phases; station 32 A, 3 phases; cable 32 A, 3 phases; vehicle 8 A, 1 phase."
    )
    assert said in text_alternative(panel.svg())
    assert "LIMITS both" in panel.svg()
    panel.set(vehicle_phases=3)
    assert "LIMITS current" in panel.svg()


def test_single_phase_supply_limits_the_phases_of_a_three_phase_vehicle() -> None:
    numbers = charging(
        connection=connections(REGIONS["europe"])["230/400 V, line to neutral"],
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
    assert "60 kWh battery: 48.0 kWh to add, 6 h 51 min (6.9 h), until" in panel.words


def test_charge_time_panel_explains_a_target_below_the_start() -> None:
    panel = charge_time_panel()
    panel.set(start_percent=90)
    assert panel.words == "Nothing to charge: the target, 80 %, must be above the start, 90 %."


def test_charge_time_doubles_with_half_the_power() -> None:
    full_power = ACCEPTANCES["full power to the end"]
    slow, fast = (plan_charge(30, 100, 20, 80, power, 90, full_power, 18) for power in (7.4, 14.8))
    assert slow.times_h == pytest.approx(tuple(2 * time for time in fast.times_h))


def test_longest_charge_still_fits_the_scale() -> None:
    panel = charge_time_panel()
    panel.set(second_kwh=150, start_percent=0, target_percent=100, power_kw=1.4, efficiency_percent=50)
    assert "214 h 17 min (214.3 h)" in panel.words


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


def test_every_quick_question_is_asked_in_a_lesson() -> None:
    lessons = "".join(path.read_text(encoding="utf-8") for path in folder("course").glob("[0-9]*.ipynb"))
    assert [name for name in QUESTIONS if f'quick_question(\\"{name}\\")' not in lessons] == []


def test_every_lesson_but_the_first_warms_up_with_a_question_of_an_earlier_one() -> None:
    asked: set[str] = set()
    for number, path in enumerate(sorted(folder("course").glob("[0-9]*.ipynb"))):
        cells = {cell["id"]: "".join(cell["source"]) for cell in json.loads(path.read_text("utf-8"))["cells"]}
        warm_up = re.findall(r'quick_question\("([^"]+)"\)', cells.pop("warm-up-question", ""))
        assert len(warm_up) == (number > 0), path.name
        assert set(warm_up) <= asked, path.name
        asked |= set(re.findall(r'quick_question\("([^"]+)"\)', "".join(cells.values())))


def test_release_button_question_gives_each_condition_the_voltage_that_is_published_for_it() -> None:
    """Nominal voltages 4.46, 2.77 and 1.53 V: firmware of a solar car (`solar-car-firmware`)."""
    question = QUESTIONS["release button"]()
    texts = {
        "not plugged": question.answers["The plug is out"],
        "button pressed": question.asked,
        "latched": question.answers["The plug is in and latched"],
    }
    published = {"not plugged": 4.46, "button pressed": 2.77, "latched": 1.53}
    for condition, text in texts.items():
        (volts,) = (float(found) for found in re.findall(r"([\d.]+) V", text))
        assert volts == pytest.approx(published[condition], abs=0.03), condition
    assert question.right == "The release button is pressed"


def test_unknown_quick_question_is_refused_with_the_names_that_there_are() -> None:
    with pytest.raises(ValueError, match=r"'ohm'.*peak to RMS"):
        quick_question("ohm")
