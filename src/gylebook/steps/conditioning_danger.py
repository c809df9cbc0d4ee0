"""Bottles that may burst: what to do at once, and how they are made harmless."""

from __future__ import annotations

from gylebook.phrases import say, say_amount, say_count
from gylebook.science.bottle_limits import volumes_after_vent
from gylebook.science.interval import Span
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, Option, Urgency, Working
from gylebook.steps.asked import BAR, VOLUMES, figure
from gylebook.steps.bottle_age import VENT_C
from gylebook.steps.bottle_kinds import HEADSPACE, pressure_bar
from gylebook.steps.fizz import Fizz
from gylebook.units import show

FIRST = (
    say("People and animals out of the room. Nobody moves warm bottles by hand."),
    say("Eye protection or a face shield, thick gloves, a heavy jacket; a thick towel or blanket over the crate."),
    say("Cool them where they stand: door or window open tonight, cold wet towels; a fridge once they are cold."),
    say("Once cold, keep them cold, as in a fridge, and drink them soon; or open them cold and pour them away."),
    say(
        "Venting helps a little, for a slight excess: at 4 °C or less, one at a time, in a deep bowl, caps "
        "pointed away."
    ),
    say("Sour, thin or oddly smelling: do not save it. Vent cold and pour it away."),
    say("Look at other brews with the same sugar, the same day or the same bucket."),
)
CAUTIONS = (
    say(
        "A bursting bottle throws glass across a room; flying caps injure eyes. In doubt, leave and wait for the cold."
    ),
    say("Broken glass and beer: thick shoes, no bare hands, children and pets kept out until it is swept."),
    say("Someone cut or hit in the eye: do not rinse or rub an eye with glass in it; call for help at once."),
)
_NIGHT_C = 8.0
_CASE_VOL = 4.5  # the case that is told where nothing is known of the bottles
_MOST_VOL = 12.0  # beyond it the chart says nothing, and the bottle has burst long before


def dangerous_bottles(gas: Fizz | None = None, warm_c: float = 20.0) -> Answer:
    """What to do with bottles that burst, gush or are over-primed; no brew is needed.

    Parameters
    ----------
    gas
        What is in them, from the average to the worst bottle, where it is known; else the case of 4.5 volumes is told.
    warm_c
        How warm they are now, or may get.
    """
    known = gas is not None
    span = gas_left(gas) if gas is not None else Span(_CASE_VOL, _CASE_VOL, _CASE_VOL)
    text = (
        say("{best} vol, the worst up to {high}", best=show(span.best, 1), high=show(span.high, 1))
        if known
        else say("{volumes} vol", volumes=show(_CASE_VOL, 1))
    )
    given = Given(say("gas in the bottle"), text, *((Basis.RECKONED,) if known else (Basis.ASSUMED, say("a case"))))
    working = Working(
        say("gas shared between beer and headspace in a closed bottle"),
        (given,),
        ("co2_mass_balance", "delange_2011"),
        (),
        (say("Above 25 °C the brewing chart is led on beyond its end."),) if warm_c > 25 else (),
    )
    figures = tuple(
        _pressure(key, label, span, temp, working)
        for key, label, temp in (
            ("warm", say("Pressure at {temp}", temp=say_amount(warm_c, 0, "°C")), warm_c),
            ("night", say("Pressure at {temp}", temp=say_amount(_NIGHT_C, 0, "°C")), _NIGHT_C),
            ("cold", say("Pressure at {temp}", temp=say_amount(VENT_C, 0, "°C")), VENT_C),
        )
    )
    return Answer(
        say("Stop. Keep away and cool them where they stand; then keep them cold, drink soon or pour away cold."),
        say(
            "{holding}: cold takes off more than anything else, without touching them. {venting}",
            holding=_holding(figures, warm_c, known=known),
            venting=_venting(span),
        ),
        Urgency.DANGER,
        (*figures, vent_figure(span.best, working)),
        tuple(Finding(Urgency.DANGER, line, key=f"first_{number}") for number, line in enumerate(FIRST, 1)),
        vent_plan(span),
        missing="" if known else say("How many have burst or gushed, how warm are they, and what was the priming?"),
        cautions=CAUTIONS,
        rule_of_thumb=say(
            "Official advice for home brewers was not found; this is the trade's, with the published case."
        ),
    )


def gas_left(gas: Fizz) -> Span:
    """The gas of the bottles from the average up to the worst [vol], as far as the chart goes."""
    low, best, high = (min(max(each, 0.5), _MOST_VOL) for each in (gas.total.low, gas.total.best, gas.total.high))
    return Span(low, best, min(max(high, gas.worst), _MOST_VOL))


def _holding(figures: tuple[Figure, ...], warm_c: float, *, known: bool) -> str:
    warm, cold = figures[0], figures[-1]
    degrees = say_amount(warm_c, 0, "°C")
    if not known:
        return say(
            "At {volumes} volumes they make {warm} at {degrees} and {cold} at {cold_degrees}",
            volumes=show(_CASE_VOL, 1),
            warm=say_amount(warm.value, 1, "bar"),
            degrees=degrees,
            cold=say_amount(cold.value, 1, "bar"),
            cold_degrees=say_amount(VENT_C, None, "°C"),
        )
    return say(
        "They make {warm} at {degrees}, and the worst may make {warm_high}; at {cold_degrees} {cold}, and the "
        "worst {cold_high}",
        warm=say_amount(warm.value, 1, "bar"),
        degrees=degrees,
        warm_high=say_amount(warm.high, 1, "bar"),
        cold_degrees=say_amount(VENT_C, None, "°C"),
        cold=say_amount(cold.value, 1, "bar"),
        cold_high=say_amount(cold.high, 1, "bar"),
    )


def _venting(gas: Span) -> str:
    left = vent_plan(gas)[-1].figures[0]
    assert isinstance(left, Figure)
    best, after = show(gas.best, 1), show(left.value, 1)
    if gas.high > gas.best:
        return say(
            "Venting takes off little: four cold vents bring {best} volumes to about {left}, the worst may have "
            "{worst}, and {worst_left} after. The remedy is cold storage, drinking soon, or pouring away cold.",
            best=best,
            left=after,
            worst=show(gas.high, 1),
            worst_left=show(left.high, 1),
        )
    return say(
        "Venting takes off little: four cold vents bring {best} volumes to about {left}. The remedy is cold storage, "
        "drinking soon, or pouring away cold.",
        best=best,
        left=after,
    )


def _pressure(key: str, label: str, gas: Span, temp: float, working: Working) -> Figure:
    low, middle, high = (pressure_bar(each, temp) for each in gas)
    ends = (low.low, high.high) if gas.high == gas.best else (low.low, max(middle.high, high.best))
    return figure(key, label, middle.best, BAR, working, low=ends[0], high=ends[1])


def vent_figure(gas: float, working: Working) -> Figure:
    """What one vent in the cold lets out at the least, key "vent"."""
    less = gas - float(volumes_after_vent(gas, VENT_C, HEADSPACE))
    return figure("vent", say("One cold vent lets out at least"), less, VOLUMES, working, low=less, high=2 * less)


def vent_plan(gas: Span) -> tuple[Option, ...]:
    """What is left after one, two ... cold vents, at the least effect, and the pressure that makes at 20 °C."""
    found = []
    left = Span(*(min(max(each, 0.1), _MOST_VOL) for each in gas))
    before = Given(
        say("gas before"),
        say("{best} vol, up to {high}", best=show(gas.best, 1), high=show(gas.high, 1)),
        Basis.RECKONED,
    )
    for number in range(1, 5):
        left = Span(*(max(float(volumes_after_vent(each, VENT_C, HEADSPACE)), 0.1) for each in left))
        working = Working(
            say("only the headspace's gas leaves; a bottle that foams loses more"), (before,), ("co2_mass_balance",)
        )
        found.append(
            Option(
                say_count(
                    number,
                    "After {n} vent, at {temp}",
                    "After {n} vents, at {temp}",
                    temp=say_amount(VENT_C, None, "°C"),
                ),
                (
                    figure(
                        f"left_{number}", say("Gas left"), left.best, VOLUMES, working, low=left.low, high=left.high
                    ),
                    _pressure(f"bar_{number}", say("Pressure at 20 °C"), left, 20.0, working),
                ),
            )
        )
    return tuple(found)
