"""Attacks A01 to A55 and others like them, from inside a worksheet, against the real command.

Every attack comes from an apprentice of one class, which is marked as root (where the tests are run by root), as
an ordinary user, and with limits only. The same class without the attacks, the honest twins, is marked beside it.
No published source: the attacks and what must hold are the project's own. ``python tests/attack_table.py`` writes
``attack_results.csv``.
"""

import pytest
from attack_table import TABLE, read_table, rows_of
from attacks_inside import ATTACKS, CANARY
from hostile_class import HONEST, attacks_on, marked_class
from hostile_runs import LIMITS_ONLY, ROUTES, SECONDS

from acpower.commands import DONE, NEEDS_ATTENTION, WRONG_CALL
from acpower.marking.ordinary_kernel import LARGEST_WRITTEN_FILE
from acpower.marking.warm_kernel import LARGEST_TREE
from acpower.marking.workers import cores

MEMORY_OF_THE_MARKER = 1024**3
# A look every 0.1 s lets a worksheet grow further until it is ended.
OVERSHOOT = 1024**3
PROCESSES_OF_THE_MARKER, PROCESSES_OF_A_WORKSHEET = 20, 40
DISK_OF_THE_MARKER = 16 * 1024**2

pairs = [(route, attack) for route in ROUTES for attack in attacks_on(route)]
each_attack = pytest.mark.parametrize(
    ("route", "attack"), pairs, ids=[f"{route}-{attack.number}-{attack.name}" for route, attack in pairs]
)
each_route = pytest.mark.parametrize("route", ROUTES)


@each_route
def test_the_command_ends_by_itself_with_its_status_and_without_a_traceback(route):
    """Invariant I1."""
    marked = marked_class(route)
    assert marked.hostile.status == NEEDS_ATTENTION, marked.hostile.said
    assert marked.twins.status in (DONE, NEEDS_ATTENTION), marked.twins.said
    for outcome in (marked.hostile, marked.twins):
        assert "Traceback" not in outcome.said


@each_route
@pytest.mark.parametrize("name", HONEST)
def test_an_honest_worksheet_beside_them_gets_what_it_gets_without_them(route, name):
    """Invariant I2."""
    marked = marked_class(route)
    assert marked.record("hostile", name)["notes"] == []
    assert marked.marks("hostile", name) == marked.marks("twins", name)
    assert marked.report("hostile", name) == marked.report("twins", name)
    assert marked.line("hostile", name) == marked.line("twins", name)


@each_attack
def test_an_attack_brings_no_mark_and_costs_its_own_worksheet_at_most(route, attack):
    """Invariant I3, and that what was finished before keeps its marks."""
    marked = marked_class(route)
    twin = marked.marks("twins", attack.name)
    rest = attack.limits_only_rest if route == LIMITS_ONLY else attack.rest
    marks = marked.marks("hostile", attack.name)
    nothing = [0] * len(twin)
    most, least = nothing if rest is False else twin, twin if rest else nothing
    assert marks[:4] == twin[:4]
    assert all(low <= mark <= high for low, mark, high in zip(least[4:], marks[4:], most[4:], strict=True))


@each_attack
def test_what_happened_is_on_record_with_its_reason_and_in_words(route, attack):
    """Invariant I6."""
    notes = marked_class(route).record("hostile", attack.name)["notes"]
    code = attack.limits_only if route == LIMITS_ONLY else attack.code
    assert [note["reason"] for note in notes] == ([code] if code else []), notes
    assert all(note["says"] for note in notes)
    if code == attack.code and code:
        assert attack.says in notes[0]["says"]


@each_route
def test_nothing_outside_the_scratch_folder_is_created_changed_or_deleted(route):
    """Invariant I4."""
    marked = marked_class(route)
    assert marked.after == marked.before
    assert marked.left_in_temporary_folder == []


@each_route
def test_what_a_worksheet_brings_appears_as_harmless_text(route):
    """Invariant I5."""
    marked = marked_class(route)
    pages = [*marked.pages("hostile")]
    assert any(CANARY in page.get_text() for page in pages)
    for page in pages:
        for element in page.find_all(True):
            assert element.name not in ("script", "iframe", "object"), element
            assert element.name != "img" or element["src"].startswith("data:image/png;"), element
            assert not any(CANARY in str(value) for value in element.attrs.values()), element
            assert not any(name.startswith("on") for name in element.attrs), element


@each_route
def test_no_process_is_left_and_none_outlives_its_worksheet(route):
    """Invariant I7."""
    marked = marked_class(route)
    assert marked.hostile.left == []
    assert marked.hostile.peak.ages, "no process with a tag was seen: the watch saw nothing"
    for tag, age in marked.hostile.peak.ages.items():
        assert age < SECONDS[route][1] + 2, tag


@each_route
def test_time_memory_processes_and_disk_stay_within_limits(route):
    """Invariant I8."""
    peak = marked_class(route).hostile.peak
    at_once = cores()
    count = len(attacks_on(route)) + len(HONEST)
    assert peak.seconds < 60 + count * (SECONDS[route][0] + 6) / at_once
    assert peak.processes <= PROCESSES_OF_THE_MARKER + at_once * PROCESSES_OF_A_WORKSHEET
    assert peak.memory <= MEMORY_OF_THE_MARKER + at_once * (LARGEST_TREE + OVERSHOOT)
    assert peak.disk <= DISK_OF_THE_MARKER + at_once * LARGEST_WRITTEN_FILE


def test_where_there_are_limits_only_nothing_is_marked_unless_somebody_says_so():
    refused = marked_class(LIMITS_ONLY).refused
    assert refused.status == WRONG_CALL
    assert "nothing was marked" in refused.said
    assert "--limits-only" in refused.said
    assert "Traceback" not in refused.said


def test_the_stored_table_says_what_was_found():
    found = {(row["number"], row["name"]): row for row in rows_of(ROUTES)}
    stored = {(row["number"], row["name"]): row for row in read_table()}
    assert list(found) == list(stored), f"write {TABLE.name} anew"
    for key, row in found.items():
        for route in ROUTES:
            assert row[route] == stored[key][route], key


def test_every_attack_of_the_list_has_a_number_and_a_name_of_its_own():
    assert len({attack.name for attack in ATTACKS}) == len(ATTACKS)
