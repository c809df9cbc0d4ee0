"""Bottles that were opened, or that burst, as the draws of the batch's gas take them: what each says of the others."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept
from gylebook.phrases import joined, say, say_count, say_number
from gylebook.science.interval import Span
from gylebook.steps.answers import Basis, Figure, Finding, Given, Urgency, Working
from gylebook.steps.bottle_age import age_at, vent_rounds, vented_c
from gylebook.steps.chances import chance_figure, chance_words
from gylebook.steps.decision import Setting
from gylebook.units import show

if TYPE_CHECKING:  # NumPy's draws, which most sums do without
    from gylebook.forecast.gas import Charge, Vent
    from gylebook.forecast.opened import Seen, Told

FELT = {1: say("flat"), 2: say("little fizz"), 3: say("lively"), 4: say("very lively"), 5: say("wild")}
CAUSES = {
    "early": say("bottled early, with more still to ferment than was known"),
    "uneven": say("sugar not stirred in"),
    "much": say("too much sugar"),
    "wild": say("something wild in all of them"),
    "dirty": say("something wild in this one alone"),
    "bits": say("hop bits or sediment, with no more gas than reckoned"),
    "slow": say("sugar still there, for it is early or cold or its yeast slow"),
    "little": say("too little sugar"),
    "seal": say("a leaky seal on this one"),
    "usual": say("nothing amiss, for bottles and evenings differ"),
}
# What stands before the comma of a longer one, where it names a figure.
_IN_SHORT = {
    "early": say("bottled early"),
    "bits": say("hop bits or sediment"),
    "slow": say("sugar still there"),
    "usual": say("nothing amiss"),
}
_SEDIMENT = {"thin": say("thin sediment"), "usual": say("usual sediment"), "thick": say("thick sediment")}
_CHECKS = {
    "early": say("Let some go flat and read its gravity: is it lower than when it was bottled?"),
    "uneven": say("Open one from the first and one from the last that were filled, both cold: are they unlike?"),
    "much": say("Is the sugar's weight right in the book, and the litres?"),
    "wild": say("Does it smell or taste sour, or is it thinner than it was? Is its sediment thick?"),
    "dirty": say("Open another, cold: is it tame?"),
    "bits": say("Open another, cold and settled, without shaking it: is it tame?"),
    "slow": say("Is a plastic bottle harder than last week?"),
    "little": say("Is the sugar's weight right in the book?"),
    "seal": say("Open another: is it livelier? Then look at this one's cap or washer."),
    "usual": say("Open another in a week."),
}
_RELATION = say("the draws of the whole batch, each weighed by how likely it makes what hand and eye met")
_HABIT = say(
    "Where a hand's five steps lie, and how often each slip happens, is common practice; neither was measured."
)
_COLD_C = 12.0  # a mean below which ale yeast may have stopped
_TOLD_FROM = 0.05  # a cause less likely is not told
_MOST_TOLD = 4


@dataclass(frozen=True, slots=True)
class Opened:
    """What opened bottles left of the draws of a batch, and the entries that they were written in."""

    told: Told
    givens: tuple[Given, ...]

    @property
    def steps(self) -> tuple[str, ...]:
        """How they were counted, as lines of a working."""
        many = say_count(len(self.givens), "{n} bottle opened or burst", "{n} bottles opened or burst")
        found = (
            say(
                "by what {many} told; as good as {effective} draws carry it",
                many=many,
                effective=say_number(f"{self.told.effective:.0f}"),
            ),
        )
        if self.told.believed == 1.0:
            return found
        whole = show(100 * self.told.believed, 0)
        return (
            *found,
            say("they lie so far from what was reckoned that their word counts {whole} % of itself only", whole=whole),
        )

    @property
    def average(self) -> Span:
        """Gas of the average bottle when all of it is made, less what vents let out [vol]."""
        from gylebook.forecast.gas import spread_ends

        return spread_ends(self.told.draws.average_vol())

    @property
    def likely(self) -> tuple[tuple[str, float], ...]:
        """The causes worth telling, the likeliest first; none where no bottle was flat or wild."""
        return tuple(pair for pair in self.told.causes if pair[1] >= _TOLD_FROM)[:_MOST_TOLD]

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The chance [%] of each likely cause, key "cause_early" and so on."""
        working = Working(_RELATION, self.givens, ("common_practice",), self.steps, (_HABIT,))
        return tuple(
            chance_figure(
                f"cause_{key}", say("Behind it: {cause}", cause=_IN_SHORT.get(key, CAUSES[key])), chance, working
            )
            for key, chance in self.likely
        )

    def finding(self) -> Finding | None:
        """The causes in a sentence, with what would tell the likeliest; None where no bottle was flat or wild."""
        if not self.likely:
            return None
        told = joined(
            "; ",
            (say("{cause} ({chance})", cause=CAUSES[key], chance=chance_words(chance)) for key, chance in self.likely),
        )
        high = {"early", "much", "wild", "uneven"} & {key for key, _ in self.likely[:2]}
        urgency = Urgency.ACT if high else Urgency.MEASURE
        return Finding(
            urgency, say("Likeliest behind it: {told}.", told=told), _CHECKS[self.likely[0][0]], key="causes"
        )


def vents_of(brew: Brew, setting: Setting) -> tuple[Vent, ...]:
    """Every vent that all bottles have had, for draws; none before it is bottled."""
    written = vent_rounds(brew)
    if not written:
        return ()
    from gylebook.forecast.gas import Vent

    ages = ((age_at(brew, setting.shelf, kept.at), kept.event) for kept in written)
    return tuple(Vent(age.days_at_20c, vented_c(event)) for age, event in ages if age is not None)


def opened_of(brew: Brew, setting: Setting, charge: Charge, *, fell: bool) -> Opened | None:
    """The draws of a batch as its opened bottles leave them; None where none says anything of the gas.

    `charge` is its gas as written, its vents with it; `fell` whether gravity fell below what the make-up can reach.
    """
    kept = [k for k in brew.kept if isinstance(k.event, ev.Opened | ev.Burst)]
    if not kept:
        return None
    from gylebook.forecast.opened import told

    seen, givens, cold = [], [], False
    for each in kept:
        age = age_at(brew, setting.shelf, each.at)
        if age is None:
            continue
        met = _seen(brew, each, age.days_at_20c)
        if met.tells:
            seen.append(met)
            givens.append(Given(_name(each), _words(each), Basis.MEASURED, say("entry {seq}", seq=each.seq), each.seq))
            cold = cold or age.mean_c < _COLD_C
    return Opened(told(charge, seen, cold=cold, fell=fell), tuple(givens)) if seen else None


def _seen(brew: Brew, kept: Kept[ev.Event], age_days: float) -> Seen:
    from gylebook.forecast.opened import Seen

    hops = bool(brew.all(ev.Hopped))
    bottled = brew.first(ev.Bottled)
    since = [k.at for k in vent_rounds(brew) if bottled is not None and k.at >= bottled.at]
    vents = sum(at <= kept.at for at in since)
    if isinstance(kept.event, ev.Opened):
        felt = kept.event.fizz if kept.event.fizz in FELT else None
        return Seen(felt, kept.event.gushed, kept.event.sediment, age_days, vents=vents, hops=hops)
    # What makes a bottle burst makes it gush; a flaw in the glass is as rare as a tame bottle that gushes.
    return Seen(None, True, age_days=age_days, vents=vents, hops=hops)


def _name(kept: Kept[ev.Event]) -> str:
    return say("a bottle opened") if isinstance(kept.event, ev.Opened) else say("a bottle burst")


def _words(kept: Kept[ev.Event]) -> str:
    event = kept.event
    if not isinstance(event, ev.Opened):
        return say("counted like one that gushed")
    felt = say("fizz {fizz} of 5 ({felt})", fizz=event.fizz, felt=FELT[event.fizz]) if event.fizz in FELT else ""
    gushed = {True: say("gushed"), False: say("did not gush"), None: ""}[event.gushed]
    sediment = _SEDIMENT.get(event.sediment, "")
    return joined(", ", (part for part in (felt, gushed, sediment) if part))
