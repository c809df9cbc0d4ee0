"""What is to come of a wort without yeast: all of its fall."""

from __future__ import annotations

from gylebook.phrases import say
from gylebook.science.carbonation import co2_from_gravity_drop_g_per_l, volumes_from_g_per_l
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.outlook_facts import Facts
from gylebook.steps.outlook_figures import gas_range_words
from gylebook.units import show

_HIGHEST_SG, _LOWEST_SG = 1.15, 0.98


def before_pitching(facts: Facts) -> tuple[Figure, Figure]:
    """Points that the wort will fall, and the gas of that fall [vol]."""
    og, fg = facts.og, facts.fg
    ends = ((og.value, fg.value), (og.low, fg.high), (og.high, fg.low))
    value, low, high = (max(1000 * (begin - end), 0.0) for begin, end in ends)
    given = (
        Given(say("original gravity"), og.text(), Basis.RECKONED),
        Given(say("expected end"), fg.text(), Basis.RECKONED),
    )
    working = Working(say("original gravity − expected end"), given, ("attenuation_make_up", "error_propagation"))
    left = Figure("points_left", say("Points left"), value, low, max(high, value), say("points"), "", 1, working)
    made = [_volumes(begin, end) for begin, end in ends]
    working = Working(
        say("about half a volume of carbon dioxide for each point"),
        (Given(say("points left"), left.text(), Basis.RECKONED),),
        ("balling_nielsen_2007", "co2_stoichiometry"),
        (say("{value} points make {made} vol", value=show(value, 1), made=show(made[0], 1)),),
    )
    words = gas_range_words(made[0], max(made))
    gas = Figure(
        "co2_to_come", say("Gas still to come"), made[0], min(made), max(made), "vol", "co2", 1, working, words=words
    )
    return left, gas


def _volumes(begin: float, end: float) -> float:
    top = min(max(begin, _LOWEST_SG), _HIGHEST_SG)
    bottom = min(max(end, _LOWEST_SG), top)
    return float(volumes_from_g_per_l(co2_from_gravity_drop_g_per_l(top, bottom).best))
