"""Warm or frosty days to come, over the whole cellar: which bottles are too full for them, and what to do by when.

Made from cards alone, at the moment they are read; a spell that is over says nothing. The same list answers what would
be if it got so warm somewhere, with nothing written.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time, timedelta, tzinfo

from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.phrases import joined, say, say_amount, say_number, say_range
from gylebook.science.interval import Span
from gylebook.steps.answers import Basis, Figure, Finding, Given, Urgency, Working
from gylebook.steps.asked import BAR, CELSIUS, figure
from gylebook.steps.bottle_kinds import PLASTIC_WARMEST_C
from gylebook.steps.card_bottles import FIT_CHANCE, WARMEST_C, CardBottles
from gylebook.steps.cards import Card, CardTask, says
from gylebook.steps.chances import chance_figure
from gylebook.steps.moments import DAYS, MONTHS, day_words
from gylebook.steps.place_words import at_place, out_of_place, place_key
from gylebook.steps.warmth import FREEZES_C, celsius

ACT_NAME, STEP_NAME = "warm_spell", "cellar"
DANGER_CHANCE = 0.05
TOO_WARM_C = 27.0  # beer that ferments warmer tastes of it, whatever the yeast: common_practice
_SLEEPS_C = 5.0
_LIVELY_DAYS, _LIVELY_RISE_C, _QUIET_RISE_C = 4, 4.0, 1.0
_AHEAD = timedelta(days=3)
_MORNING, _EVENING = time(9), time(20)
_COUNTED = (say("no brews"), say("one brew"), say("two brews"),
            say("three brews"), say("four brews"), say("five brews"),
            say("six brews"), say("seven brews"), say("eight brews"), say("nine brews"))  # fmt: skip
_YEASTS = {"ale": say("ale yeast"), "lager": say("lager yeast"), "wheat": say("wheat yeast")}
_SOURCES = ("co2_mass_balance", "delange_2011", "co2_reference_gas", "british_glass_tec7", "error_propagation",
            "common_practice")  # fmt: skip
COOL_FIRST = say(
    "Cool them where they stand, boxed or covered, and carry none while they are warm; eye protection and thick "
    "gloves. Keep people and animals away."
)
CARRY = say("Carry them boxed, upright, caps away from faces, in the cool of the morning.")


@dataclass(frozen=True, slots=True)
class Warmed:
    """A bottled brew in a spell.

    Parameters
    ----------
    card, bottles
        The brew.
    chance
        That one of the bottles left passes its ceiling then, all gas made, 0 to 1.
    fit_below_c
        The warmest that they are fit for; None where they are for no temperature.
    worst_bar
        Pressure of the worst bottle then [bar, gauge].
    does, urgency
        What to do, by when, and how pressing it is.
    in_danger
        It is a danger already, whatever the weather: its own task says so.
    """

    card: Card
    bottles: CardBottles
    chance: float
    fit_below_c: float | None
    worst_bar: Span
    does: str
    urgency: Urgency
    figures: tuple[Figure, ...]
    in_danger: bool = False

    @property
    def at_risk(self) -> bool:
        """Whether anything is to be done for it."""
        return self.urgency is not Urgency.NOTHING


@dataclass(frozen=True, slots=True)
class WarmList:
    """A spell over the cellar: the bottled brews that stand in it, the likeliest to burst first, and the vessels."""

    spell: ev.WarmSpell
    headline: str
    urgency: Urgency
    warmed: tuple[Warmed, ...]
    vessels: tuple[tuple[Card, Finding], ...]
    nowhere: int  # bottled brews whose place is not written, where the spell has one

    @property
    def at_risk(self) -> tuple[Warmed, ...]:
        """Those for which something is to be done."""
        return tuple(each for each in self.warmed if each.at_risk)


def to_come(shelf: Shelf, now: datetime, zone: tzinfo) -> tuple[ev.WarmSpell, ...]:
    """Every spell on the shelf that is not over, the earliest first."""
    today = now.astimezone(zone).date()
    found = [spell for spell in shelf.spells.values() if spell.to_on >= today]
    return tuple(sorted(found, key=lambda spell: (spell.from_on, spell.place)))


def warm_list(cards: Iterable[Card], spell: ev.WarmSpell, now: datetime, zone: tzinfo) -> WarmList:
    """What a spell does to everything that stands in it.

    Parameters
    ----------
    cards
        Of the open brews.
    spell
        As it was written, or as it is supposed.
    now, zone
        The moment and the brewer's zone.
    """
    full = [(card, card.bottles) for card in cards if card.bottles is not None and card.bottles.left]
    here = [(card, bottles) for card, bottles in full if _stands_in(card, spell)]
    warmed = sorted((_warmed(card, bottles, spell, now, zone) for card, bottles in here), key=_order)
    vessels = [
        (card, _of_vessel(card, spell, now, zone)) for card in cards if card.ferments[0] and _stands_in(card, spell)
    ]
    vessels.sort(key=lambda pair: (list(Urgency).index(pair[1].urgency), pair[0].number))
    at_risk = [each for each in warmed if each.at_risk]
    urgencies = [each.urgency for each in warmed] + [finding.urgency for _, finding in vessels]
    return WarmList(
        spell,
        _headline(spell, warmed, at_risk, [f for _, f in vessels], now, zone),
        min(urgencies, key=list(Urgency).index, default=Urgency.NOTHING),
        tuple(warmed),
        tuple(vessels),
        sum(1 for card, _ in full if spell.place and not card.place),
    )


def spell_task(found: WarmList, now: datetime, zone: tzinfo, *, dated: bool = False) -> CardTask | None:
    """The one thing to do for a spell; None where nothing is. `dated` words keep their sense on any day."""
    # What is a danger already has a task of its own, and is not carried about.
    risky = tuple(each for each in found.at_risk if not each.in_danger)
    moving = [finding for _, finding in found.vessels if finding.urgency is not Urgency.NOTHING]
    if not risky and not moving:
        return None
    spell, begun = found.spell, _begun(found.spell, now, zone)
    before = datetime.combine(spell.from_on - timedelta(days=1), _EVENING, zone)
    words = _words(spell, len(risky), len(moving), None if dated else now, zone)
    named = joined(", ", (say("No. {number} {name}", number=each.card.number, name=each.card.name) for each in risky))
    told = [_weather(spell)]
    if risky:
        told += [say("{named}.", named=named), COOL_FIRST if begun else CARRY]
    return CardTask(
        STEP_NAME,
        ACT_NAME,
        words,
        joined(" ", told),
        (Urgency.DANGER if any(each.urgency is Urgency.DANGER for each in risky) else Urgency.ACT).name,
        _due_from(spell, zone),
        None if begun else before,
        datetime.combine(spell.to_on + timedelta(days=1), time(), zone),
    )


def spell_tasks(
    cards: Iterable[Card], shelf: Shelf, now: datetime, zone: tzinfo, *, dated: bool = False
) -> tuple[tuple[ev.WarmSpell, CardTask], ...]:
    """One task for each spell that is not over and asks for anything."""
    cards = list(cards)
    found = [(spell, warm_list(cards, spell, now, zone)) for spell in to_come(shelf, now, zone)]
    tasks = ((spell, spell_task(each, now, zone, dated=dated)) for spell, each in found)
    return tuple((spell, task) for spell, task in tasks if task is not None)


def spell_words(spell: ev.WarmSpell, now: datetime, zone: tzinfo) -> str:
    """Where, when and how warm: "in the garage, Saturday to Sunday: up to 34 °C"."""
    first, last = (day_words(datetime.combine(day, _MORNING, zone), now, zone) for day in (spell.from_on, spell.to_on))
    days = first if first == last else say("{first} to {last}", first=first, last=last)
    return say(
        "{where}, {days}: {temps}",
        where=at_place(spell.place) if spell.place else say("everywhere"),
        days=days,
        temps=_temps(spell),
    )


# --- bottles --------------------------------------------------------------------------------------------------------


def _stands_in(card: Card, spell: ev.WarmSpell) -> bool:
    return not spell.place or place_key(card.place) == place_key(spell.place)


def _order(each: Warmed) -> tuple[float, float, int]:
    """The likeliest to burst first, then the one that is fit for least."""
    fit = each.fit_below_c if each.fit_below_c is not None else float("-inf")
    return -each.chance, fit, each.card.number


def _due_from(spell: ev.WarmSpell, zone: tzinfo) -> datetime:
    """From when it is pressing: days before it, for crates are not carried in an hour."""
    return datetime.combine(spell.from_on, _MORNING, zone) - _AHEAD


def _pressing(spell: ev.WarmSpell, now: datetime, zone: tzinfo) -> Urgency:
    """How soon what a spell asks for is wanted, as Today says it: a wait until the day on which its task is due."""
    return Urgency.WAIT if now.astimezone(zone).date() < _due_from(spell, zone).date() else Urgency.ACT


def _begun(spell: ev.WarmSpell, now: datetime, zone: tzinfo) -> bool:
    return spell.from_on <= now.astimezone(zone).date()


def _frosty(spell: ev.WarmSpell) -> bool:
    return spell.low is not None and celsius(spell.low) < FREEZES_C


def _warmed(card: Card, bottles: CardBottles, spell: ev.WarmSpell, now: datetime, zone: tzinfo) -> Warmed:
    high = celsius(spell.high)
    chance, fit = bottles.chance_past(high), bottles.fit_below_c
    worst = bottles.worst_bar(min(max(high, 0.0), WARMEST_C)) or Span(0.0, 0.0, 0.0)
    unfit = fit is None or high > fit
    danger = says(card, now, zone).urgency is Urgency.DANGER
    does, urgency = _does(spell, fit, chance, now, zone) if unfit else (_fine(fit, bottles), Urgency.NOTHING)
    if unfit and danger:
        does, urgency = say("They are a danger already. {cool}", cool=COOL_FIRST), Urgency.DANGER
    if _frosty(spell):
        frost = say(
            "Carry them to where it does not freeze{by}: frozen beer swells, and bottles burst.",
            by=_by(spell, now, zone),
        )
        does, urgency = (
            (say("{does} {frost}", does=does, frost=frost), urgency) if unfit else (frost, _pressing(spell, now, zone))
        )
    given = _givens(card, bottles, spell)
    figures = _figures(bottles, chance, fit, worst, spell, given)
    return Warmed(card, bottles, chance, fit, worst, does, urgency, figures, in_danger=danger and unfit)


def _does(spell: ev.WarmSpell, fit: float | None, chance: float, now: datetime, zone: tzinfo) -> tuple[str, Urgency]:
    """What to do for bottles that are not fit for so much warmth."""
    if _begun(spell, now, zone):
        return COOL_FIRST, Urgency.DANGER if chance >= DANGER_CHANCE else Urgency.ACT
    pressing = _pressing(spell, now, zone)
    if fit is None:
        return say("Chill them{by} and keep them cold: they are fit for no warmth.", by=_by(spell, now, zone)), pressing
    return say(
        "Carry them to the cool, below {fit},{by}.", fit=say_amount(int(fit), 0, "°C"), by=_by(spell, now, zone)
    ), pressing


def _fine(fit: float | None, bottles: CardBottles) -> str:
    plastic = any(lot.left and lot.kind == "pet" for lot in bottles.lots)
    softens = (
        say(" Plastic softens above {warmest}.", warmest=say_amount(PLASTIC_WARMEST_C, 0, "°C")) if plastic else ""
    )
    return say(
        "Nothing: they may stay, and are fit for up to {fit}.{softens}",
        fit=say_amount(int(fit or 0.0), 0, "°C"),
        softens=softens,
    )


def _givens(card: Card, bottles: CardBottles, spell: ev.WarmSpell) -> tuple[Given, ...]:
    return (
        Given(say("warm weather"), _temps(spell), Basis.ASSUMED, spell.place or say("everywhere")),
        Given(
            say("carbon dioxide"),
            bottles.co2.text,
            Basis.RECKONED,
            say("its parts stand on the brew's page of conditioning"),
        ),
        Given(
            say("bottles left"), str(bottles.left), Basis.MEASURED, say("the log of No. {number}", number=card.number)
        ),
    )


def _figures(  # noqa: PLR0917
    bottles: CardBottles, chance: float, fit: float | None, worst: Span, spell: ev.WarmSpell, given: tuple[Given, ...]
) -> tuple[Figure, ...]:
    """The chance, how warm they may get, and the pressure of the worst bottle then."""
    drawn = say("everything that is not known of the batch and of its bottles, drawn many times over, all gas made")
    cautions = (say("Above 25 °C the brewing chart is led on beyond its end, and the range made wider."),)
    working = Working(drawn, given, _SOURCES, cautions=cautions)
    found = [chance_figure("past_spell", say("Chance that one is past its ceiling"), chance, working)]
    if fit is not None:
        likely = max(fit, bottles.past_c[2]) if bottles.past_c else fit
        words = say("{warmest} or more", warmest=say_amount(WARMEST_C, 0, "°C")) if fit >= WARMEST_C else ""
        fits = Working(
            say(
                "the warmest at which the chance that any of its bottles passes its ceiling stays under {chance} %",
                chance=say_number(f"{100 * FIT_CHANCE:.0f}"),
            ),
            given[1:],
            _SOURCES,
            (
                say("the range ends where the chance is one in twenty"),
                say("plastic at most {warmest}", warmest=say_amount(PLASTIC_WARMEST_C, 0, "°C")),
            ),
            cautions,
        )
        found.append(
            figure("fit_below", say("Fit below"), fit, CELSIUS, fits, low=fit, high=min(likely, WARMEST_C),
                   interval=say("one in a hundred to one in twenty"), words=words)
        )  # fmt: skip
    label = say("Worst bottle at {warm}", warm=say_amount(celsius(spell.high), 0, "°C"))
    found.append(figure("worst_spell", label, worst.best, BAR, working, low=worst.low, high=worst.high))
    return tuple(found)


# --- vessels --------------------------------------------------------------------------------------------------------


def _of_vessel(card: Card, spell: ev.WarmSpell, now: datetime, zone: tzinfo) -> Finding:
    """What so much warmth, or frost, does to beer that still works in its vessel."""
    yeast, leaflet = card.ferments
    start = datetime.combine(spell.from_on, _MORNING, zone)
    lively = card.pitched is not None and max(start, now) - card.pitched <= timedelta(days=_LIVELY_DAYS)
    rise = _LIVELY_RISE_C if lively else _QUIET_RISE_C
    beer, most = celsius(spell.high) + rise, min(TOO_WARM_C, leaflet) if leaflet is not None else TOO_WARM_C
    who = say("No. {number} {name}", number=card.number, name=card.name)
    if card.vessel:
        who = say("No. {number} {name} in {vessel}", number=card.number, name=card.name, vessel=card.vessel)
    if beer > most:
        text = say(
            "{who} is still in its vessel: the beer could get to {beer}, and its leaflet grants {most}. Move it to "
            "the cool or stand it in cold water{by}."
            if leaflet is not None and most == leaflet
            else "{who} is still in its vessel: the beer could get to {beer}, and it tastes of it above {most}. Move "
            "it to the cool or stand it in cold water{by}.",
            who=who,
            beer=say_amount(beer, 0, "°C"),
            most=say_amount(most, 0, "°C").removesuffix(" °C"),
            by=_by(spell, now, zone),
        )
        return Finding(_pressing(spell, now, zone), text, key="vessel_warm")
    if spell.low is not None and celsius(spell.low) < _SLEEPS_C:
        text = say(
            "{who} is still in its vessel: at {cold} {yeast} goes to sleep, and the beer looks "
            "finished when it is not. Move it to the warm{by}.",
            who=who,
            cold=say_amount(celsius(spell.low), 0, "°C"),
            yeast=_YEASTS.get(yeast, say("its yeast")),
            by=_by(spell, now, zone),
        )
        return Finding(_pressing(spell, now, zone), text, key="vessel_cold")
    return Finding(Urgency.NOTHING, say("{who} is still in its vessel and bears it there.", who=who), key="vessel_fine")


# --- words ----------------------------------------------------------------------------------------------------------


def _temps(spell: ev.WarmSpell) -> str:
    if spell.low is None:
        return say("up to {high}", high=say_amount(celsius(spell.high), 0, "°C"))
    return say_range(celsius(spell.low), celsius(spell.high), 0, "°C")


def _weather(spell: ev.WarmSpell) -> str:
    return say(
        "It gets {temps} {where}; beer freezes." if _frosty(spell) else "It gets {temps} {where}.",
        temps=_temps(spell),
        where=at_place(spell.place) if spell.place else say("everywhere"),
    )


def _day(spell: ev.WarmSpell, now: datetime | None, zone: tzinfo) -> str:
    """The first day as one would say it now; with its date for whoever reads it on another day."""
    if now is None:
        day = spell.from_on
        return say(
            "{weekday} {day} {month} {year}",
            weekday=DAYS[day.weekday()],
            day=day.day,
            month=MONTHS[day.month - 1],
            year=day.year,
        )
    return day_words(datetime.combine(spell.from_on, _MORNING, zone), now, zone)


def _by(spell: ev.WarmSpell, now: datetime, zone: tzinfo) -> str:
    return say(" now") if _begun(spell, now, zone) else say(" before {day}", day=_day(spell, now, zone))


def _count(number: int) -> str:
    return _COUNTED[number] if number < len(_COUNTED) else say("{number} brews", number=number)


def _cool(count: str, spell: ev.WarmSpell) -> str:
    if not spell.place:
        return say("Cool {count} where they stand", count=count)
    return say("Cool {count} {place} where they stand", count=count, place=at_place(spell.place))


def _words(spell: ev.WarmSpell, bottled: int, moving: int, now: datetime | None, zone: tzinfo) -> str:
    """The act: "Carry three brews out of the garage before Saturday"."""
    count = _count(bottled or moving)
    begun = now is not None and _begun(spell, now, zone)
    if begun and bottled and not _frosty(spell):
        return _cool(count, spell)
    when = say("now") if begun else say("before {day}", day=_day(spell, now, zone))
    if bottled and spell.place:
        return say("Carry {count} {place} {when}", count=count, place=out_of_place(spell.place), when=when)
    if bottled:
        return say(
            "Carry {count} to where it does not freeze {when}"
            if _frosty(spell)
            else "Carry {count} to the cool {when}",
            count=count,
            when=when,
        )
    if spell.place:
        return say(
            "Move {count} that still works {place} {when}"
            if moving == 1
            else "Move {count} that still work {place} {when}",
            count=count,
            place=out_of_place(spell.place),
            when=when,
        )
    return say(
        "Move {count} that still works {when}" if moving == 1 else "Move {count} that still work {when}",
        count=count,
        when=when,
    )


def _headline(  # noqa: PLR0917
    spell: ev.WarmSpell,
    warmed: list[Warmed],
    at_risk: list[Warmed],
    vessels: list[Finding],
    now: datetime,
    zone: tzinfo,
) -> str:
    moving = sum(finding.urgency is not Urgency.NOTHING for finding in vessels)
    carried = [each for each in at_risk if not each.in_danger]
    if at_risk and not carried:
        return say("{cool}, now.", cool=_cool(_count(len(at_risk)), spell))
    if carried or moving:
        return say("{words}.", words=_words(spell, len(carried), moving, now, zone))
    where = at_place(spell.place) if spell.place else say("in the cellar")
    if not warmed and not vessels:
        return say("Nothing stands {where} that it could harm.", where=where)
    return say("Nothing has to be moved: what stands {where} bears it.", where=where)
