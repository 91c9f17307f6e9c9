"""Still figures: the text alternative says the numbers, and everything drawn can be told apart."""

import io
import re
import subprocess
import sys
from itertools import pairwise

import pytest
from bs4 import BeautifulSoup
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.colors import to_rgb
from matplotlib.image import imread
from matplotlib.text import Text
from published import half_of_last_digit

from acpower import figures, tables
from acpower.figures import SourcedTable, clock_time, read_waveform
from acpower.figures.look import LINE_COLOURS, PHASE_STYLES, TEXT_COLOURS, Still, spread
from acpower.figures.waveforms import SHAPES

STILLS = [name for name in figures.__all__ if name.endswith("_figure")]
each_figure = pytest.mark.parametrize("name", STILLS)


def draw(name: str) -> Still:
    still = getattr(figures, name)()
    assert isinstance(still, Still)
    return still


def contrast_with_white(colour: object) -> float:
    """WCAG 2.2, definitions of relative luminance and contrast ratio."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    red, green, blue = linear
    return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05)


# ---- Text alternatives


@pytest.mark.parametrize(
    ("still", "numbers"),
    [
        # University Physics Volume 2, alternating current: 110 V RMS has a peak of 156 V
        (figures.sine_figure(110.0), ["110.0 V", "155.6 V"]),
        # Lessons In Electric Circuits, volume II chapter 10: 208 V between the lines of a 120 V star
        (figures.root_three_figure(120.0), ["120 V", "208 V", "1.732"]),
        # Lessons In Electric Circuits, volume II chapter 1: square wave, RMS = peak; factor 1.11 of a sine
        (figures.meters_figure(100.0), ["true-RMS 100.0 V, average-responding 111.1 V"]),
        # Own numbers: 8 kW × 0.85 = 6.8 kW
        (figures.power_chain_figure(8.0, 0.85), ["8.00 kW", "6.80 kW", "1.20 kW", "85 %"]),
        # 22 kW at 32 A and 43 kW at 63 A: common practice, no source; 30 kWh ÷ 22.08 kW = 1.359 h
        (
            figures.charge_time_figure(),
            ["30 kWh", "100 kWh", "22.1 kW", "43.5 kW", "1 h 22 min", "4 h 32 min"],
        ),
    ],
    ids=["sine", "root three", "meters", "power chain", "charge time"],
)
def test_text_alternative_gives_the_numbers(still: Still, numbers: list[str]) -> None:
    assert [number for number in numbers if number not in still.alt] == []


@each_figure
def test_html_carries_picture_text_alternative_and_caption(name: str) -> None:
    still = draw(name)
    page = BeautifulSoup(still._repr_html_(), "html.parser")
    (image,) = page.select("figure > img")
    assert image["alt"] == still.alt
    assert len(still.alt) > 100
    (caption,) = page.select("figure > figcaption")
    assert caption.text == still.caption
    assert str(image["src"]).startswith("data:image/png;base64,iVBOR")


@each_figure
def test_picture_is_wide_enough_for_a_projector_and_fits_the_page(name: str) -> None:
    still = draw(name)
    buffer = io.BytesIO()
    still.figure.savefig(buffer, format="png")
    buffer.seek(0)
    height, width, _ = imread(buffer).shape
    assert 800 <= width <= 1000
    assert height <= 560


def test_no_global_state_of_the_drawing_library_is_touched() -> None:
    script = (
        "import sys, matplotlib; before = matplotlib.rcParams.copy()\n"
        "from acpower import figures, panels\n"
        "figures.sine_figure()._repr_html_(); panels.power_panel()\n"
        "assert matplotlib.rcParams.copy() == before; assert 'matplotlib.pyplot' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", script], check=True, timeout=120)


# ---- Colours and lines


def test_palette_is_dark_enough_for_its_use() -> None:
    """WCAG 2.2, success criteria 1.4.3 (text 4.5 : 1) and 1.4.11 (graphics 3 : 1)."""
    assert min(contrast_with_white(colour) for colour in TEXT_COLOURS) >= 4.5
    assert min(contrast_with_white(colour) for colour in LINE_COLOURS) >= 3.0


@each_figure
def test_texts_are_large_and_dark(name: str) -> None:
    texts = [text for text in draw(name).figure.findobj(Text) if text.get_text() and text.get_visible()]
    assert min(contrast_with_white(text.get_color()) for text in texts) >= 4.5
    assert min(text.get_fontsize() for text in texts) >= 12


@each_figure
def test_no_line_or_fill_relies_on_hue_alone(name: str) -> None:
    figure = draw(name).figure
    curves = [line for axes in figure.axes for line in axes.lines if len(line.get_xdata()) > 1]
    for line in curves:
        assert contrast_with_white(line.get_color()) >= 3.0
    looks = {(line.get_color(), line.get_linestyle()) for line in curves if line.get_linewidth() >= 2}
    assert len({dashes for _, dashes in looks}) == len(looks)
    patches = [
        p for axes in figure.axes for p in axes.patches if contrast_with_white(p.get_facecolor()) > 1.05
    ]
    bars = [patch for patch in patches if to_rgb(patch.get_edgecolor()) == (0, 0, 0)]
    fills = {(bar.get_facecolor(), bar.get_hatch() or "") for bar in bars}
    assert len({hatch for _, hatch in fills}) == len(fills)


def test_three_phases_have_three_line_styles() -> None:
    assert [style["linestyle"] for style in PHASE_STYLES.values()] == ["-", "--", ":"]


# ---- Numbers behind the figures


@pytest.mark.parametrize("row", tables.rows("waveforms"), ids=lambda row: row["waveform"])
def test_readings_agree_with_the_table_of_waveforms(row: dict[str, str]) -> None:
    """The table carries its sources: Lessons In Electric Circuits, a tutorial on the form factor."""
    shape, _, percent = row["waveform"].removesuffix(" %").partition("pulse ")
    readings = read_waveform("pulse", 1.0, int(percent) / 100) if percent else read_waveform(shape, 1.0)
    for name in ("rms", "rectified_mean", "crest_factor", "form_factor"):
        # the samples of a crest lie up to 5e-6 beside it
        assert getattr(readings, name) == pytest.approx(
            float(row[name]), abs=half_of_last_digit(row[name]) + 1e-5
        )


@pytest.mark.parametrize("shape", SHAPES)
def test_readings_grow_with_the_peak(shape: str) -> None:
    one, ten = read_waveform(shape, 1.0, 0.3), read_waveform(shape, 10.0, 0.3)
    for name in ("rms", "rectified_mean", "true_rms_meter", "average_responding_meter"):
        assert getattr(ten, name) == pytest.approx(10 * getattr(one, name))
    assert ten.crest_factor == pytest.approx(one.crest_factor)


@given(st.floats(min_value=0, max_value=500))
def test_clock_time_is_the_same_time_to_the_minute(hours: float) -> None:
    whole, minutes = (int(part) for part in clock_time(hours).removesuffix(" min").split(" h "))
    assert 0 <= minutes < 60
    assert abs(60 * whole + minutes - 60 * hours) <= 0.5 + 1e-9


@given(st.lists(st.floats(min_value=-100, max_value=100), min_size=1, max_size=6), st.floats(0.1, 20))
def test_labels_keep_their_distance_and_their_order(positions: list[float], gap: float) -> None:
    moved = spread(positions, gap)
    assert min((b - a for a, b in pairwise(sorted(moved))), default=gap) >= gap - 1e-6
    assert sum(moved) == pytest.approx(sum(positions), abs=1e-6)
    for a, b in pairwise(sorted(range(len(positions)), key=lambda index: positions[index])):
        assert moved[a] <= moved[b] + 1e-9


# ---- Tables with sources


@pytest.mark.parametrize(
    ("table", "columns"),
    [
        ("waveforms", ("waveform", "rms")),
        ("supplies", ("region", "phase_voltage_v", "frequency_hz")),
        ("connectors", ("designation", "phases")),
        ("connector_ratings", ("connector", "quantity", "phases", "value", "unit", "status")),
    ],
)
def test_sourced_table_names_value_and_document_in_every_row(table: str, columns: tuple[str, ...]) -> None:
    page = BeautifulSoup(SourcedTable(table, columns)._repr_html_(), "html.parser")
    assert len(page.select("thead th[scope=col]")) == len(columns) + 1
    shown = [[cell.text for cell in line.select("th, td")] for line in page.select("tbody tr")]
    for row, cells in zip(tables.rows(table), shown, strict=True):
        assert cells[0] == row[columns[0]].replace(";", ", ")
        for key in row["source"].split(";"):
            assert tables.sources()[key]["title"] in cells[-1]


def test_sourced_table_says_what_an_empty_field_means_and_parts_the_places() -> None:
    ratings = SourcedTable("connector_ratings", ("connector", "note"))._repr_html_()
    assert ">none<" in ratings
    assert "not known" not in ratings
    assert "not known" in SourcedTable("connectors", ("designation", "phases"))._repr_html_()
    conductors = SourcedTable("conductors", ("area_square_mm",))._repr_html_()
    assert "(table A.2; column of class 2; column of class 2)" in conductors


def test_sourced_table_writes_a_minus_sign_before_numbers_and_keeps_designations() -> None:
    """State F lies at −12 V, within 1 V: `station-state-windows`, as the table says."""
    page = SourcedTable("pilot_windows", ("window_set", "state", "low_v", "high_v"))._repr_html_()
    assert '<td style="text-align: left">−13</td>' in page
    assert not re.search(r">-\d", page)
    assert "IEC 62196-2" in SourcedTable("connectors", ("designation",))._repr_html_()


def test_sourced_table_shows_the_rows_that_are_asked_for_and_says_how_many_there_are() -> None:
    table = SourcedTable("breaker_sizes", ("series", "rating_a"), only=lambda row: row["series"] == "iec")
    page = BeautifulSoup(table._repr_html_(), "html.parser")
    assert {line.th.text for line in page.select("tbody tr")} == {"iec"}
    assert page.caption.text == "From the table breaker_sizes, 13 of 50 rows"


def test_advice_of_north_america_holds_for_any_supply() -> None:
    """“3 % for feeder or branch circuit, 5 % together”, whose supply it is does not matter: `voltage-drop-advice`."""
    page = SourcedTable("voltage_drop_limits", ("rule", "supply", "use", "limit_percent"))._repr_html_()
    assert "not known" not in page
