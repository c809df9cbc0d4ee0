"""What vessels are cleaned and sanitised with: dose, time, rinse, and what must never meet what."""

from __future__ import annotations

from dataclasses import dataclass

from gylebook.phrases import capital, say
from gylebook.science.sanitising import never_mix
from gylebook.steps.answers import Finding, Urgency


@dataclass(frozen=True, slots=True)
class Agent:
    """One cleaner or sanitiser.

    Parameters
    ----------
    kills
        Whether it lowers the count of microbes by itself; a cleaner only takes the dirt away.
    minutes
        Contact time, from and to.
    chlorine, acid, ammonia, sulphite
        What it is when it meets another: chlorine and any of the others give a poisonous gas.
    """

    key: str
    name: str
    kills: bool
    dose: str
    minutes: tuple[float, float]
    rinse: str
    sources: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    chlorine: bool = False
    acid: bool = False
    ammonia: bool = False
    sulphite: bool = False


_LABEL = say("as its label says")
_EYES = say("Wear eye protection and gloves; it burns eyes and skin.")
_NEVER_WITH_ACID = say("Never together with an acid, vinegar, sulphite or ammonia: poisonous gas.")
_NEVER_WITH_CHLORINE = say("Never together with bleach or any chlorine cleaner: poisonous gas.")

AGENTS: dict[str, Agent] = {
    agent.key: agent
    for agent in (
        Agent(
            "bleach",
            say("thin household bleach, unscented"),
            kills=True,
            dose=say("50 to 100 ppm of chlorine: about 1 to 2 mL of 5 % bleach in a litre of cold water"),
            minutes=(10, 30),
            rinse=say("drain well, then rinse with water fit to drink: what stays behind tastes of sticking plaster"),
            sources=("food_code_r392_102", "bleach_food_surface", "common_practice"),
            cautions=(_NEVER_WITH_ACID, say("Not on stainless steel, and never hot.")),
            chlorine=True,
        ),
        Agent(
            "chlorine_cleaner",
            say("chlorinated brewery cleaner (powder)"),
            kills=True,
            dose=_LABEL,
            minutes=(10, 20),
            rinse=say("rinse until nothing smells of it"),
            sources=("common_practice",),
            cautions=(_NEVER_WITH_ACID, _EYES),
            chlorine=True,
        ),
        Agent(
            "iodophor",
            say("iodophor (iodine sanitiser)"),
            kills=True,
            dose=say("12.5 to 25 ppm of iodine, ") + _LABEL,
            minutes=(0.5, 2),
            rinse=say("drain and let it drip dry at 12.5 ppm; stronger than 25 ppm, rinse"),
            sources=("food_code_r392_102", "cfr_21_178_1010", "common_practice"),
            cautions=(say("It is acid itself: never together with bleach."), say("It stains plastic and clothes.")),
            acid=True,
        ),
        Agent(
            "acid_sanitiser",
            say("acid sanitiser that needs no rinse"),
            kills=True,
            dose=_LABEL,
            minutes=(1, 2),
            rinse=say("drain; the wet film may stay where the label says so"),
            sources=("epa_dis_tss_17", "common_practice"),
            cautions=(_NEVER_WITH_CHLORINE, _EYES),
            acid=True,
        ),
        Agent(
            "peracetic",
            say("peracetic acid"),
            kills=True,
            dose=_LABEL,
            minutes=(1, 10),
            rinse=say("drain; rinse where the label says so"),
            sources=("epa_dis_tss_17", "common_practice"),
            cautions=(_NEVER_WITH_CHLORINE, _EYES + say(" Do not breathe it in.")),
            acid=True,
        ),
        Agent(
            "hot_water",
            say("hot water, 77 °C or more"),
            kills=True,
            dose=say("everything under water at 77 °C or more"),
            minutes=(0.5, 2),
            rinse=say("no rinse"),
            sources=("food_code_r392_102",),
            cautions=(say("Scalding. Never into cold glass, which cracks; many plastics soften."),),
        ),
        Agent(
            "sulphite",
            say("metabisulphite"),
            kills=False,
            dose=say("by itself it is no sanitiser to rely on; it holds things back, and only in acid"),
            minutes=(10, 20),
            rinse=say("rinse: what stays behind makes a slow start"),
            sources=("rankine_so2", "common_practice"),
            cautions=(say("Its fumes can bring on asthma."), _NEVER_WITH_CHLORINE),
            sulphite=True,
        ),
        Agent(
            "percarbonate",
            say("percarbonate (oxygen cleaner)"),
            kills=False,
            dose=_LABEL + say(", in warm water"),
            minutes=(15, 60),
            rinse=say("rinse well; a slippery feel means that some is left"),
            sources=("common_practice",),
            cautions=(_EYES,),
        ),
        Agent(
            "caustic",
            say("caustic cleaner"),
            kills=False,
            dose=_LABEL,
            minutes=(10, 30),
            rinse=say("rinse very well"),
            sources=("common_practice",),
            cautions=(_EYES, say("Always add it to water, never water to it; not on aluminium.")),
        ),
        Agent(
            "descaler",
            say("acid descaler, vinegar or citric acid"),
            kills=False,
            dose=_LABEL,
            minutes=(10, 30),
            rinse=say("rinse well, and long before any chlorine comes near"),
            sources=("common_practice",),
            cautions=(_NEVER_WITH_CHLORINE,),
            acid=True,
        ),
        Agent(
            "ammonia",
            say("cleaner with ammonia"),
            kills=False,
            dose=_LABEL,
            minutes=(1, 10),
            rinse=say("rinse very well; it has no place on anything that touches beer"),
            sources=("common_practice",),
            cautions=(_NEVER_WITH_CHLORINE,),
            ammonia=True,
        ),
        Agent(
            "washing_up_liquid",
            say("washing-up liquid, unscented"),
            kills=False,
            dose=say("a few drops in warm water, with a soft cloth"),
            minutes=(1, 5),
            rinse=say("rinse well: it kills the foam on the beer"),
            sources=("common_practice",),
        ),
    )
}

# Parts of words by which an agent written in the brewer's own words is recognised.
_SIGNS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("chlorine", ("bleach", "chlorin", "hypochlor")),
    ("acid", ("acid", "vinegar", "citric", "lactic", "phosphoric", "descal", "iodophor")),
    ("sulphite", ("sulphite", "sulfite")),
    ("ammonia", ("ammonia", "ammonium")),
)


def nature_of(agent: str) -> frozenset[str]:
    """What an agent is when it meets another: chlorine, acid, ammonia or sulphite; by its key or by its words."""
    known = AGENTS.get(agent)
    if known is not None:
        flags = {
            "chlorine": known.chlorine,
            "acid": known.acid,
            "ammonia": known.ammonia,
            "sulphite": known.sulphite,
        }
        return frozenset(name for name, holds in flags.items() if holds)
    plain = agent.lower()
    return frozenset(name for name, signs in _SIGNS if any(sign in plain for sign in signs))


def name_of(agent: str) -> str:
    """The agent in words."""
    if agent == "something else":  # as it is kept where nothing was written of it
        return say("something else")
    return AGENTS[agent].name if agent in AGENTS else agent


def poisonous_pair(agents: tuple[str, ...]) -> tuple[str, str] | None:
    """The first two of these that give a poisonous gas together, the chlorine first; None where none do."""
    for one in agents:
        for other in agents:
            meet = [(a, b) for a in nature_of(one) for b in nature_of(other)]
            if one != other and "chlorine" in nature_of(one) and any(never_mix(a, b) for a, b in meet):
                return one, other
    return None


def gas_finding(pair: tuple[str, str], seq: int | None = None) -> Finding:
    """What to do when chlorine and an acid or ammonia were in use on one day."""
    chlorine, other = (name_of(agent) for agent in pair)
    return Finding(
        Urgency.DANGER,
        say(
            "{chlorine} and {other} were both in use: together they give off a poisonous gas. If they "
            "have met, or anything smells sharp: out into the open air, doors and windows open, and call for "
            "help when breathing hurts.",
            chlorine=capital(chlorine),
            other=other,
        ),
        check=say("Was everything rinsed with plenty of water, and emptied down the drain, between the two?"),
        seq=seq,
        key="bleach_and_acid",
    )
