"""Quick questions of the lesson "Account for losses"."""

from acpower.distorted import true_power_factor
from acpower.efficiency import ChargerLosses
from acpower.panels.questions.question import Question


def _loss_base() -> Question:
    bought, stored = 40.0, 32.0
    lost = bought - stored
    right = f"{100 * lost / bought:.1f} %"
    return Question(
        f"The meter counts {bought:g} kWh. The battery stores {stored:g} kWh of it. What share of the "
        "bought energy is lost?",
        {
            f"{100 * lost / stored:.1f} %": f"{lost:g} kWh of {stored:g} kWh: that base is the stored energy. "
            "Take the bought.",
            right: f"{lost:g} kWh of {bought:g} kWh. The efficiency is the rest.",
            f"{100 * stored / bought:.1f} %": "That is the efficiency. The loss is what is missing to 100 %.",
            f"{lost:.1f} %": f"{lost:g} kWh are lost. As a share of {bought:g} kWh that is more than {lost:g} %.",
        },
        right,
    )


def _slow_charge() -> Question:
    losses = ChargerLosses(11_000, fixed=300)
    fast, right = (f"{100 * float(losses.at(watts)):.0f} %" for watts in (11_000, 1_400))
    return Question(
        f"A charger loses 300 W at any power. At 11 kW its efficiency is {fast}. What is it at 1.4 kW?",
        {
            fast: "The 300 W stay. At 1.4 kW they are a larger share.",
            right: "1.1 kW of 1.4 kW. The fixed loss weighs more when the power is low.",
            f"{100 * 0.3 / 1.4:.0f} %": "That is the share that is lost. The efficiency is the rest.",
        },
        right,
    )


def _distorted_current() -> Question:
    right = f"{float(true_power_factor(1.0, 1.0)):.2f}"
    return Question(
        "The fundamental of the current is in phase with a clean voltage. The THD is 100 %. "
        "What is the power factor?",
        {
            "1.00": "cos φ is 1, but only for the fundamental. The harmonics add current and no power.",
            right: "1 ÷ √(1 + THD²) = 1 ÷ √2.",
            "0.50": "Fundamental and harmonics do not simply add. Square, add, take the root.",
            "0.00": "The fundamental still carries all of the power.",
        },
        right,
    )


QUESTIONS = {
    "loss base": _loss_base,
    "slow charge": _slow_charge,
    "distorted current": _distorted_current,
}
