"""A scene becomes SVG text: where things land, what they look like, what is cut off."""

import re
import xml.etree.ElementTree as ElementTree
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower.figures.charge_time import BATTERY_STYLES
from acpower.figures.look import BLACK, PHASE_STYLES, SKY_BLUE
from acpower.figures.scene import (
    FIRST,
    GUIDE,
    L1,
    L2,
    L3,
    LIMIT,
    NEUTRAL,
    PICTURE_HEIGHT,
    PICTURE_WIDTH,
    SECOND,
    THIN,
    Area,
    Arrow,
    Axis,
    Box,
    Chart,
    Fill,
    Line,
    Mark,
    Pen,
    Scene,
    Text,
    Thing,
    arc,
    circle,
    level,
    upright,
)
from acpower.figures.svg import draw

X, Y = Axis(0, 10, "Time (s)"), Axis(-5, 5, "Voltage (V)")


def parse(*things: Thing, **chart: Any) -> ElementTree.Element:
    root = ElementTree.fromstring(draw(Scene([Chart(X, Y, things, **chart)]), "Title", "Words"))
    for part in root.iter():
        part.tag = part.tag.removeprefix("{http://www.w3.org/2000/svg}")
    return root


def points(shape: ElementTree.Element) -> np.ndarray:
    return np.array(str(shape.get("points")).split(), float).reshape(-1, 2)


def inner(root: ElementTree.Element) -> ElementTree.Element:
    """Return the axes: the element that cuts off at their edge."""
    return next(part for part in root.iter("svg") if part.get("role") is None)


def test_a_curve_lands_on_its_scales() -> None:
    axes = inner(parse(Line([0, 5, 10], [-5, 0, 5], L1)))
    width, height = float(str(axes.get("width"))), float(str(axes.get("height")))
    expected = [[0, height], [width / 2, height / 2], [width, 0]]
    assert points(axes.find("polyline")) == pytest.approx(np.array(expected), abs=0.11)


def test_curves_are_cut_off_at_the_axes_and_labels_and_marks_are_not() -> None:
    root = parse(Line([0, 10], [0, 50], L1), Mark(10, 5, "circle", BLACK), Text(10, 5, "here"))
    axes = inner(root)
    assert axes.find("polyline") is not None
    assert axes.find("circle") is None
    assert axes.find("text") is None
    assert root.find("g/circle") is not None


def test_area_goes_along_one_curve_and_back_along_the_other() -> None:
    axes = inner(parse(Area([0, 10], [-5, 0], [0, 5], Fill(SKY_BLUE, hatch=True))))
    plain, hatched = axes.findall("polygon")
    around = points(plain)
    width, height = float(str(axes.get("width"))), float(str(axes.get("height")))
    half = height / 2
    assert around == pytest.approx(np.array([[0, half], [width, 0], [width, half], [0, height]]), abs=0.11)
    assert hatched.get("fill") == "url(#picture-hatch)"
    assert plain.get("stroke") == BLACK


def test_box_without_an_edge_fills_the_axes() -> None:
    axes = inner(parse(Box(Fill(SKY_BLUE)), Box(Fill(SKY_BLUE, outline=False), 2, 4, 1, -1)))
    whole, bar = axes.findall("rect")
    assert (whole.get("width"), whole.get("height")) == (axes.get("width"), axes.get("height"))
    assert float(str(bar.get("width"))) == pytest.approx(0.2 * float(str(axes.get("width"))), abs=0.11)
    assert float(str(bar.get("height"))) == pytest.approx(0.2 * float(str(axes.get("height"))), abs=0.11)
    assert bar.get("stroke") is None


@given(st.floats(0, 360), st.floats(-360, 360), st.floats(0.1, 100))
def test_arc_keeps_its_radius_and_its_ends(start: float, turn: float, radius: float) -> None:
    bow = arc((2, 3), radius, start, start + turn, THIN)
    x, y = np.asarray(bow.x) - 2, np.asarray(bow.y) - 3
    assert np.hypot(x, y) == pytest.approx(radius)
    for at, angle in ((0, start), (-1, start + turn)):
        assert (x[at], y[at]) == pytest.approx(
            (radius * np.cos(np.radians(angle)), radius * np.sin(np.radians(angle))), abs=1e-9 * radius
        )


def test_circle_is_round_on_equal_scales() -> None:
    around = points(inner(parse(circle((5, 0), 4, GUIDE), equal=True)).find("polyline"))
    assert around[0] == pytest.approx(around[-1], abs=0.11)
    assert np.ptp(around[:, 0]) == pytest.approx(np.ptp(around[:, 1]), abs=0.3)


def test_equal_scales_hold_for_axes_of_unequal_length() -> None:
    chart = Chart(Axis(0, 20), Axis(0, 5), [], equal=True)
    root = ElementTree.fromstring(draw(Scene([chart]), "Title", "Words"))
    axes = next(part for part in root.iter() if part.tag.endswith("}svg") and part.get("role") is None)
    assert float(str(axes.get("width"))) == pytest.approx(4 * float(str(axes.get("height"))), abs=0.3)


def test_arrow_ends_at_its_head_and_a_tiny_one_is_a_dot() -> None:
    axes = inner(parse(Arrow((0, 0), (10, 5), L1)))
    width = float(str(axes.get("width")))
    tip = re.match(r"M([\d.]+) ([\d.]+)L", str(axes.findall("path")[1].get("d")))
    assert tip is not None
    assert [float(part) for part in tip.groups()] == pytest.approx([width, 0], abs=0.11)
    assert inner(parse(Arrow((5, 0), (5, 0.001), L1))).find("circle") is not None


def test_level_and_upright_cross_the_axes() -> None:
    assert (level(X, 2, THIN).x, level(X, 2, THIN).y) == ([0, 10], [2, 2])
    assert (upright(Y, 2, THIN).x, upright(Y, 2, THIN).y) == ([2, 2], [-5, 5])


@pytest.mark.parametrize("shape", ["circle", "square", "diamond"])
def test_marks_can_be_told_apart(shape: Any) -> None:
    root = parse(Mark(5, 0, shape, SKY_BLUE))
    found = root.find("g/circle") if shape == "circle" else root.find("g/rect")
    assert found is not None
    assert (found.get("transform") is not None) == (shape == "diamond")


def test_label_of_two_lines_has_two_lines_a_halo_and_a_leader() -> None:
    root = parse(Text(5, 0, "upper\nlower", leader=(2, 2), bold=True, anchor="end"))
    (text,) = [text for text in root.iter("text") if text.find("tspan") is not None]
    assert [line.text for line in text] == ["upper", "lower"]
    assert (text.get("paint-order"), text.get("font-weight"), text.get("text-anchor")) == (
        "stroke",
        "bold",
        "end",
    )
    assert root.find("g/path[@stroke='#000000']") is not None
    plain = parse(Text(5, 0, "on a box", halo=0))
    assert not [text for text in plain.iter("text") if text.get("stroke")]


def place(label: Text) -> tuple[float, float]:
    (text,) = [text for text in parse(label).iter("text") if text.find("tspan") is not None]
    return float(str(text[0].get("x"))), float(str(text.get("y")))


def test_label_is_shifted_in_letters_and_two_lines_stand_around_its_place() -> None:
    x, y = place(Text(5, 0, "here"))
    assert place(Text(5, 0, "here", shift=(-2, 1))) == pytest.approx((x - 2 * 0.6 * 13, y - 13), abs=0.11)
    assert place(Text(5, 0, "here\nand here")) == pytest.approx((x, y - 0.6 * 13), abs=0.11)
    assert place(Text(5, 0, "here", size=2))[1] == pytest.approx(y + 0.35 * 13, abs=0.11)


def test_negative_tick_has_a_minus_sign_and_ticks_stay_within_the_scale() -> None:
    words = [text.text for text in parse().iter("text")]
    assert words[:5] == ["−4", "−2", "0", "2", "4"]
    assert words[-2:] == ["Time (s)", "Voltage (V)"]


def test_axis_without_label_and_ticks_is_not_drawn() -> None:
    bare = draw(Scene([Chart(Axis(0, 1), Axis(0, 1), [])]), "Title", "Words")
    assert "<text" not in bare
    half = Chart(Axis(0, 1, ticks=[(0.5, "half")]), Axis(0, 1), [], grid=False)
    drawn = draw(Scene([half]), "Title", "Words")
    assert ">half</text>" in drawn
    assert "#ddd" not in drawn


def test_text_alternative_is_title_description_and_words_with_signs_escaped() -> None:
    scene = Scene([], description="One bar.")
    root = ElementTree.fromstring(draw(scene, "A < B", "5 A & more.", name="one"))
    title, description = list(root)[:2]
    assert (title.text, description.text) == ("A < B", "One bar. 5 A & more.")
    assert (
        root.get("aria-labelledby")
        == f"{title.get('id')} {description.get('id')}"
        == "one-title one-description"
    )
    assert root.get("viewBox") == f"0 0 {PICTURE_WIDTH} {PICTURE_HEIGHT}"


def test_large_text_leaves_less_room_for_the_axes_and_fewer_ticks() -> None:
    chart = Chart(Axis(0, 50, "Power (kW)"), Y, [], place=(0, 0, 0.35, 0.35))
    normal, large = (draw(Scene([chart]), "Title", "Words", large=large) for large in (False, True))
    assert 'font-size="13"' in normal
    assert 'font-size="18"' in large
    assert large.count("<text") < normal.count("<text")


# ---- Looks


def test_looks_of_the_panels_are_those_of_the_still_figures() -> None:
    assert [pen.colour for pen in (L1, L2, L3)] == [style["color"] for style in PHASE_STYLES.values()]
    assert [pen.colour for pen in (FIRST, SECOND)] == [style["color"] for style in BATTERY_STYLES]


@pytest.mark.parametrize("looks", [(L1, L2, L3, NEUTRAL), (FIRST, SECOND), (THIN, GUIDE, LIMIT)])
def test_no_line_relies_on_hue_alone(looks: tuple[Pen, ...]) -> None:
    assert len({pen.dashes for pen in looks}) == len(looks)


def test_light_colours_are_no_lines() -> None:
    with pytest.raises(ValueError, match="#F0E442 is too light on white"):
        Pen("#F0E442")


def test_colours_of_lines_are_too_light_for_text() -> None:
    """WCAG 2.2 asks 4.5 : 1 of a text and 3 : 1 of a line; test_figures.py measures both lists of colours."""
    with pytest.raises(ValueError, match="#D55E00 is too light on white; use one of TEXT_COLOURS"):
        Text(0, 0, "danger", colour="#D55E00")
