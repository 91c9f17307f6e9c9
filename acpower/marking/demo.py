"""An invented class in an invented place: hand out, fill in, mark, look.

Everything here is made up: the school, its class and its mistakes. The worksheets
are real notebooks, and they take the same road as those of a real class.
"""

import csv
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from acpower import notebooks
from acpower.marking.hand_out import file_name, hand_out_class
from acpower.marking.machines import ThisMachine
from acpower.marking.mark import mark_class
from acpower.marking.register import read_register
from acpower.marking.result import ClassResult, Result
from acpower.marking.run import Limits
from acpower.worksheets.schemes import find_worksheet

WORKSHEET = "charging-power"
# A demonstration need not wait long for the loop that never ends.
DEMO_LIMITS = Limits(cell_seconds=10.0, worksheet_seconds=60.0)

RIGHT: Mapping[str, str] = {
    "phase_voltage_v": "job.card.line_voltage / sqrt(3)",
    "single_phase_power_kw": "phase_voltage_v * job.card.vehicle_current * job.card.power_factor / 1000",
    "three_phase_power_kw": (
        "sqrt(3) * job.card.line_voltage * job.card.vehicle_current * job.card.power_factor / 1000"
    ),
    "line_current_a": (
        "1000 * job.card.busbar_power / (sqrt(3) * job.card.line_voltage * job.card.power_factor)"
    ),
    "charging_current_a": (
        "min(job.card.supply_current, job.card.station_current, job.card.cable_current, "
        "job.card.vehicle_current)"
    ),
    "limiting_link": (
        'min(["supply", "station", "cable", "vehicle"], key=lambda link: getattr(job.card, link + "_current"))'
    ),
    "grid_power_kw": "2 * phase_voltage_v * charging_current_a * job.card.power_factor / 1000",
    "battery_power_kw": "grid_power_kw * job.card.efficiency_percent / 100",
    "loss_power_kw": "grid_power_kw - battery_power_kw",
    "neutral_current_a": "charging_current_a",
    "far_end_voltage": (
        '"falls by one wire" if job.card.chargers.startswith("three") else "falls by two wires" '
        'if job.card.chargers.endswith(job.card.phase_in_question) else "rises"'
    ),
    "charging_power_kw": "sqrt(3) * line_voltage * current * power_factor / 1000",
}

ROOT_3_MISSING = {
    "three_phase_power_kw": "job.card.line_voltage * job.card.vehicle_current * job.card.power_factor / 1000",
    "charging_power_kw": "line_voltage * current * power_factor / 1000",
}
EFFICIENCY_DIVIDED = {"battery_power_kw": "grid_power_kw / (job.card.efficiency_percent / 100)"}
PHASE_VOLTAGE_HALVED = {"phase_voltage_v": "job.card.line_voltage / 2"}
LINE_VOLTAGE_ON_ONE_PHASE = {
    "single_phase_power_kw": "job.card.line_voltage * job.card.vehicle_current * job.card.power_factor / 1000"
}
POWER_FACTOR_FORGOTTEN = {
    "three_phase_power_kw": "sqrt(3) * job.card.line_voltage * job.card.vehicle_current / 1000",
    "line_current_a": "1000 * job.card.busbar_power / (sqrt(3) * job.card.line_voltage)",
    "charging_power_kw": "sqrt(3) * line_voltage * current / 1000",
}
LARGEST_LINK = {
    "charging_current_a": (
        "max(job.card.supply_current, job.card.station_current, job.card.cable_current, "
        "job.card.vehicle_current)"
    ),
    "limiting_link": (
        'max(["supply", "station", "cable", "vehicle"], key=lambda link: getattr(job.card, link + "_current"))'
    ),
}
NEUTRAL_TAKEN_AS_EMPTY = {"neutral_current_a": "0"}
WATTS = {"three_phase_power_kw": f"1000 * {RIGHT['three_phase_power_kw']}"}
ROUNDED = {
    "three_phase_power_kw": f"round({RIGHT['three_phase_power_kw']}, 2)",
    "grid_power_kw": f"round({RIGHT['grid_power_kw']}, 2)",
    "battery_power_kw": "round(grid_power_kw * job.card.efficiency_percent / 100, 2)",
}
DECIMAL_COMMA = {"line_current_a": f'f"{{{RIGHT["line_current_a"]}:.1f}} A".replace(".", ",")'}
BY_NO_RULE = {"line_current_a": "job.card.busbar_power * 3.3", "loss_power_kw": "0.07"}
SECOND_HALF_BLANK = dict.fromkeys(list(RIGHT)[6:], "...")


@dataclass(frozen=True)
class Filled:
    """How one invented apprentice filled the worksheet in: slips in place of right answers."""

    slips: Mapping[str, str] = field(default_factory=dict)
    extra_code: str = ""
    broken: bool = False
    handed_in: bool = True


CLASS: Mapping[str, Filled] = {
    "F01": Filled(),
    "F02": Filled(ROOT_3_MISSING),
    "F03": Filled(EFFICIENCY_DIVIDED),
    "F04": Filled(),
    "F05": Filled(PHASE_VOLTAGE_HALVED),
    "F06": Filled(ROOT_3_MISSING | EFFICIENCY_DIVIDED),
    "F07": Filled(LARGEST_LINK),
    "F08": Filled(ROUNDED),
    "F09": Filled(POWER_FACTOR_FORGOTTEN),
    "F10": Filled(SECOND_HALF_BLANK),
    "F11": Filled(ROOT_3_MISSING),
    "F12": Filled(extra_code="while True:\n    pass  # a loop that never ends"),
    "F13": Filled(WATTS),
    "F14": Filled(broken=True),
    "F15": Filled(LINE_VOLTAGE_ON_ONE_PHASE | EFFICIENCY_DIVIDED),
    "F16": Filled(DECIMAL_COMMA),
    "F17": Filled(ROOT_3_MISSING | LARGEST_LINK),
    "F18": Filled(BY_NO_RULE),
    "F19": Filled(NEUTRAL_TAKEN_AS_EMPTY),
    "F20": Filled(dict.fromkeys(RIGHT, "...")),
    "F21": Filled(EFFICIENCY_DIVIDED | POWER_FACTOR_FORGOTTEN),
    "F22": Filled(handed_in=False),
    "F23": Filled(LINE_VOLTAGE_ON_ONE_PHASE),
    "F24": Filled(ROUNDED | LARGEST_LINK),
}


def fill_in(notebook: dict[str, Any], answers: Mapping[str, str]) -> dict[str, Any]:
    """Return a worksheet with expressions written in place of the three dots of its answer cells."""
    cells = []
    for cell in notebook["cells"]:
        question = cell["id"].removesuffix("-answer").replace("-", "_")
        if cell["id"].endswith("-answer") and question in answers:
            source = "".join(cell["source"]).replace("...", answers[question], 1)
            cells.append({**cell, "source": source})
        else:
            cells.append(cell)
    return {**notebook, "cells": cells}


def prepare(place: Path) -> tuple[Path, Path]:
    """Write the register, hand the worksheet out and fill it in; return the register and the folder."""
    place.mkdir(parents=True)
    register_file = place / "register.csv"
    with register_file.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("id", "name"))
        writer.writerows((apprentice, f"Invented apprentice {apprentice}") for apprentice in CLASS)
    hand_out_class(find_worksheet(WORKSHEET), read_register(register_file), place / "handed-out")
    taken_in = place / "taken-in"
    taken_in.mkdir()
    for apprentice, filled in CLASS.items():
        name = file_name(WORKSHEET, apprentice)
        notebook = json.loads((place / "handed-out" / name).read_text(encoding="utf-8"))
        notebook = fill_in(notebook, {**RIGHT, **filled.slips})
        if filled.extra_code:
            cell = {"cell_type": "code", "id": "own-cell", "metadata": {}, "source": filled.extra_code}
            notebook["cells"].append(cell)
        text = notebooks.canonical(notebook)
        if filled.handed_in:
            content = text[: len(text) // 2] if filled.broken else text
            (taken_in / name).write_text(content, encoding="utf-8", newline="\n")
    return register_file, taken_in


def mark_demo(place: Path, progress: Callable[[int, int, Result], None]) -> ClassResult:
    """Hand out, fill in and mark the invented class in a new folder."""
    register_file, taken_in = prepare(place)
    machines = ThisMachine(accept_limits_only=True)  # nobody else's worksheets are in it
    return mark_class(taken_in, register_file, limits=DEMO_LIMITS, machines=machines, progress=progress)
