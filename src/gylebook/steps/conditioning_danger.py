"""Bottles that may burst: what to do at once, and how they are made harmless."""

from __future__ import annotations

from gylebook.science.bottle_limits import volumes_after_vent
from gylebook.science.interval import Span
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, Option, Urgency, Working
from gylebook.steps.asked import BAR, VOLUMES, figure
from gylebook.steps.bottle_age import VENT_C
from gylebook.steps.bottle_kinds import HEADSPACE, pressure_bar
from gylebook.units import show

FIRST = (
    "People and animals out of the room. Nobody moves warm bottles by hand.",
    "Eye protection or a face shield, thick gloves, a heavy jacket; a thick towel or blanket over the crate.",
    "Cool them where they stand: door or window open tonight, cold wet towels; a fridge once they are cold.",
    "Once cold, keep them cold, as in a fridge, and drink them soon; or open them cold and pour them away.",
    "Venting helps a little, for a slight excess: at 4 °C or less, one at a time, in a deep bowl, caps pointed away.",
    "Sour, thin or oddly smelling: do not save it. Vent cold and pour it away.",
    "Look at other brews with the same sugar, the same day or the same bucket.",
)
CAUTIONS = (
    "A bursting bottle throws glass across a room; flying caps injure eyes. In doubt, leave and wait for the cold.",
    "Broken glass and beer: thick shoes, no bare hands, children and pets kept out until it is swept.",
    "Someone cut or hit in the eye: do not rinse or rub an eye with glass in it; call for help at once.",
)
_NIGHT_C = 8.0
_MOST_VOL = 12.0  # beyond it the chart says nothing, and the bottle has burst long before


def dangerous_bottles(volumes: float | None = None, warm_c: float = 20.0, *, worst: bool = False) -> Answer:
    """What to do with bottles that burst, gush or are over-primed; no brew is needed.

    Parameters
    ----------
    volumes
        The gas in them, where it is known; else the case of 4.5 volumes is told.
    warm_c
        How warm they are now.
    worst
        Whether that is the gas of the worst of them, and not of each.
    """
    known = volumes is not None
    gas = 4.5 if volumes is None else min(max(volumes, 0.5), _MOST_VOL)
    given = Given(
        "gas in the bottle",
        f"{show(gas, 1)} vol",
        Basis.RECKONED if known else Basis.ASSUMED,
        "" if known else "a case",
    )
    working = Working(
        "gas shared between beer and headspace in a closed bottle",
        (given,),
        ("co2_mass_balance", "delange_2011"),
        (),
        ("Above 25 °C the brewing chart is led on beyond its end.",) if warm_c > 25 else (),
    )
    figures = tuple(
        _pressure(key, label, gas, temp, working)
        for key, label, temp in (
            ("warm", f"Pressure at {show(warm_c, 0)} °C", warm_c),
            ("night", f"Pressure at {show(_NIGHT_C, 0)} °C", _NIGHT_C),
            ("cold", f"Pressure at {show(VENT_C, 0)} °C", VENT_C),
        )
    )
    warm, cold = figures[0].value, figures[-1].value
    whose = ("The worst of these may" if worst else "These") if known else "At 4.5 volumes they"
    return Answer(
        "Stop. Keep away and cool them where they stand; then keep them cold, drink soon or pour away cold.",
        f"{whose} make {show(warm, 1)} bar at {show(warm_c, 0)} °C and {show(cold, 1)} at {VENT_C:g} °C: cold takes "
        f"off more than anything else, without touching them. {_venting(gas)}",
        Urgency.DANGER,
        (*figures, vent_figure(gas, working)),
        tuple(Finding(Urgency.DANGER, line, key=f"first_{number}") for number, line in enumerate(FIRST, 1)),
        vent_plan(gas),
        missing="" if known else "How many have burst or gushed, how warm are they, and what was the priming?",
        cautions=CAUTIONS,
        rule_of_thumb="Official advice for home brewers was not found; this is the trade's, with the published case.",
    )


def _venting(gas: float) -> str:
    left = vent_plan(gas)[-1].figures[0]
    assert isinstance(left, Figure)
    return (
        f"Venting takes off little: four cold vents bring {show(gas, 1)} volumes to about {show(left.value, 1)}. The "
        "remedy is cold storage, drinking soon, or pouring away cold."
    )


def _pressure(key: str, label: str, gas: float, temp: float, working: Working) -> Figure:
    span = pressure_bar(gas, temp)
    return figure(key, label, span.best, BAR, working, low=span.low, high=span.high)


def vent_figure(gas: float, working: Working) -> Figure:
    """What one vent in the cold lets out at the least, key "vent"."""
    less = gas - float(volumes_after_vent(gas, VENT_C, HEADSPACE))
    return figure("vent", "One cold vent lets out at least", less, VOLUMES, working, low=less, high=2 * less)


def vent_plan(gas: float) -> tuple[Option, ...]:
    """What is left after one, two ... cold vents, at the least effect, and the pressure that makes at 20 °C."""
    found = []
    left = min(max(gas, 0.1), _MOST_VOL)
    for number in range(1, 5):
        left = max(float(volumes_after_vent(left, VENT_C, HEADSPACE)), 0.1)
        at_20: Span = pressure_bar(left, 20.0)
        working = Working(
            "only the headspace's gas leaves; a bottle that foams loses more",
            (Given("gas before", f"{show(gas, 1)} vol", Basis.RECKONED),),
            ("co2_mass_balance",),
        )
        found.append(
            Option(
                f"After {number} vent{'' if number == 1 else 's'}, at {VENT_C:g} °C",
                (
                    figure(f"left_{number}", "Gas left at most", left, VOLUMES, working),
                    figure(
                        f"bar_{number}", "Pressure at 20 °C", at_20.best, BAR, working, low=at_20.low, high=at_20.high
                    ),
                ),
            )
        )
    return tuple(found)
