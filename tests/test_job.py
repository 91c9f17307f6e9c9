"""Practising: the reaction that an apprentice sees at once."""

import pytest

from acpower.worksheets import NotYet, answering, job_card
from acpower.worksheets.scheme import HINTS


@pytest.fixture
def shown(monkeypatch):
    """Behave as in JupyterLab, and collect what would be shown."""
    blocks = []
    monkeypatch.delenv("PYTEST_VERSION")
    monkeypatch.setattr(answering, "display", lambda block, **_: blocks.append(block.data))
    return blocks


@pytest.fixture
def job():
    return job_card("charging-power", version="2", apprentice="A07")


def three_phase_kw(card):
    return 3**0.5 * card.line_voltage * card.vehicle_current * card.power_factor / 1000


def test_a_right_answer_is_greeted(job, shown):
    job.record("three_phase_power_kw", three_phase_kw(job.card))
    assert "Right." in shown[0]
    assert "Right so far: 1 of 12 questions" in shown[0]


def test_a_known_error_is_named_with_a_hint_and_never_the_answer(job, shown):
    job.record("three_phase_power_kw", three_phase_kw(job.card) / 3**0.5)
    assert "√3 is missing" in shown[0]
    assert "With the line voltage, three phases need √3" in shown[0]
    assert f"{three_phase_kw(job.card):.3g}" not in shown[0]


def test_any_other_value_is_not_yet_right(job, shown):
    job.record("three_phase_power_kw", 1.234567)
    assert "Not yet. This fits no known error." in shown[0]


def test_hints_say_which_of_the_three_they_are_and_the_last_one_stays(job, shown):
    for _ in range(4):
        job.hint("three_phase_power_kw")
    title = "Hint to “Power of a three-phase vehicle”"
    for block, step in zip(shown, (*HINTS, HINTS[-1]), strict=True):
        assert f"{title}: {step}" in block
    assert "Run the cell again for the next one." in shown[1]
    assert "This is the last one." in shown[2]


def test_three_dots_are_met_with_patience(job, shown):
    job.record("three_phase_power_kw", ...)
    job.record("charging_power_kw", lambda line_voltage, current, power_factor: ...)
    assert "Nothing is recorded here yet" in shown[0]
    assert "returns nothing yet" in shown[1]


def test_a_function_that_stops_is_told_with_the_inputs_and_without_a_traceback(job, shown):
    job.record("charging_power_kw", lambda line_voltage, current, power_factor: 1 / 0)
    assert "ZeroDivisionError" in shown[0]
    assert "For the inputs (" in shown[0]
    assert "Traceback" not in shown[0]


def test_a_function_is_judged_on_inputs_that_are_not_on_the_card(job, shown):
    card = job.card
    fixed = three_phase_kw(card)
    job.record("charging_power_kw", lambda line_voltage, current, power_factor: fixed)
    assert "Not yet" in shown[0]
    job.record("charging_power_kw", lambda u, i, pf: 3**0.5 * u * i * pf / 1000)
    assert "Right on 6 inputs that you had not seen" in shown[1]


def test_a_later_step_counts_from_the_own_earlier_value(job, shown):
    card = job.card
    job.record("phase_voltage_v", card.line_voltage / 2)
    job.record(
        "single_phase_power_kw", card.line_voltage / 2 * card.vehicle_current * card.power_factor / 1000
    )
    assert "the line voltage was halved" in shown[0]
    assert "Right from your own earlier value" in shown[1]


def test_what_was_typed_is_shown_as_text(job, shown):
    job.record("limiting_link", "<b>cable</b>")
    assert "<b>cable</b>" not in shown[0]
    assert "&lt;b&gt;cable&lt;/b&gt;" in shown[0]


def test_under_pytest_a_wrong_answer_fails_its_cell_with_one_line(job):
    with pytest.raises(NotYet) as failed:
        job.record("three_phase_power_kw", three_phase_kw(job.card) / 3**0.5)
    assert failed.value._render_traceback_() == [str(failed.value)]
    assert str(failed.value).startswith(
        "three_phase_power_kw: Not yet. Your answer fits a known error: √3 is missing"
    )
    job.record("three_phase_power_kw", three_phase_kw(job.card))  # and a right one passes in silence


def test_while_marking_the_answer_goes_out_as_text_and_no_verdict_is_given(job, monkeypatch):
    sent = []
    monkeypatch.setenv(answering.MARKING_VARIABLE, '{"charging_power_kw": [[400, 16, 0.9]]}')
    monkeypatch.setattr(answering, "display", lambda data, **_: sent.append(data[answering.ANSWER_FORMAT]))
    job.record("three_phase_power_kw", 1.5)
    job.record("charging_power_kw", lambda u, i, pf: u * i * pf)
    assert sent[0] == {
        "question": "three_phase_power_kw",
        "answer": {"kind": "number", "text": "1.5", "code": "", "trials": ()},
    }
    assert sent[1]["answer"]["trials"][0]["text"] == "5760.0"


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: job_card("no-such", version="1"), "The worksheets are|the worksheets are"),
        (lambda: job_card("charging-power", version="0"), "has version 2"),
        (lambda: job_card("charging-power", version="2", apprentice=" "), "Write your id"),
        (
            lambda: job_card("charging-power", version="2").record("no_such", 1),
            "Its questions are: phase_voltage_v",
        ),
    ],
)
def test_a_wrong_call_says_what_to_write(call, says):
    with pytest.raises(NotYet, match=says):
        call()


def test_the_card_shows_every_number_with_unit_and_name(job):
    html, text = job._repr_html_(), repr(job)
    for entry in job.card.entries:
        assert entry.label.replace("'", "&#x27;") in html
        assert f"<code>job.card.{entry.name}</code>" in html
        assert f"{entry.label}: {job.card.values[entry.name]}" in text
    with pytest.raises(AttributeError, match="it has: site, line_voltage"):
        _ = job.card.voltage


def test_a_question_without_quotation_marks_is_told_from_one_that_is_not_there(job, shown):
    with pytest.raises(NotYet, match="between quotation marks, as in"):
        job.hint(222.3)
    with pytest.raises(NotYet, match="This worksheet has no question 'voltage'"):
        job.hint("voltage")
