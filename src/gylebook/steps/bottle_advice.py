"""Which bottles for a beer, in words: what each kind bears, what is filled with which fizz, and what is missing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import ceil

from gylebook.journal.state import Shelf
from gylebook.phrases import joined, say, say_amount, say_number, small
from gylebook.science.interval import Span
from gylebook.steps import bottle_choice
from gylebook.steps.answers import Figure, Finding, Given, Urgency, Working
from gylebook.steps.asked import COUNT, GRAMS, LITRES, LITRES_2, VOLUMES, figure
from gylebook.steps.bottle_choice import LEAST_GAIN, SPARED_ML, WASTE_ML, Choice, Part, Sort
from gylebook.steps.bottle_kinds import Bottle, bottle_of
from gylebook.steps.gas_parts import UNEVEN, together, worst_of
from gylebook.steps.priming_dose import Base, dose_g
from gylebook.units import Quantity, show

_TENTHS = 10
_LARGEST = 60  # tenths of a volume; no bottle is asked for more

WHY_THESE = say(
    "Chosen in this order: no more than a glass left over, or less than half a litre where all of it then has the fizz "
    "wanted; the highest fizz up to the wanted one that the weakest chosen bottle bears at the warmest; two parts only "
    "where each is worth its own sugar; one plastic bottle to squeeze; then the fewest bottles."
)

Gas = Callable[[float], tuple[float, float]]  # fizz that is planned -> gas of the average and of the worst bottle [vol]


@dataclass(frozen=True, slots=True)
class Beer:
    """What is to be bottled, and where it will stand.

    `in_all_l` is there, `volume_l` of it to fill, up to `most_l`; `gas` tells the average and the worst bottle for a
    fizz that is planned; `natural` is the fizz without any sugar; `base` what sugar is reckoned from, None where it is
    in already.
    """

    in_all_l: float
    volume_l: float
    most_l: float
    wanted: float
    natural: float
    gas: Gas
    store_c: float
    base: Base | None = None
    givens: tuple[Given, ...] = ()


def primed_gas(base: Base) -> Gas:
    """The average and the worst bottle of beer that is primed as a whole, by the fizz that is planned."""

    @cache  # the same fizz is asked about for every kind of bottle
    def gas(target: float) -> tuple[float, float]:
        lacking = max(0.0, target - base.residual.best - base.to_come.best)
        sugar = Span(0.97 * lacking, lacking, 1.03 * lacking)
        total = together(base.residual, sugar, base.to_come)
        even = UNEVEN["whole batch"]
        return total.best, worst_of(base.residual, sugar, base.to_come, even, base.bottles, later=base.later)

    return gas


@dataclass(frozen=True, slots=True)
class Chosen:
    """The choice with the bottles that it was made from."""

    beer: Beer
    bottles: tuple[Bottle, ...]
    sorts: tuple[Sort, ...]
    choice: Choice

    @property
    def full(self) -> tuple[int, ...]:
        """How many of each kind are filled."""
        return self.choice.counts if self.choice.parts else tuple(0 for _ in self.bottles)

    @property
    def fizz(self) -> float:
        """The fizz of all of it, or of the less fizzy part; the wanted one where nothing is filled [vol]."""
        return self.choice.parts[-1].fizz / _TENTHS if self.choice.parts else self.beer.wanted

    @property
    def left_l(self) -> float:
        """What is left over [L]."""
        return self.choice.left_ml / 1000.0

    def fizz_of(self, place: int) -> float:
        """The highest fizz with which bottles of one kind are filled [vol]."""
        return next((part.fizz / _TENTHS for part in self.choice.parts if part.counts[place]), self.fizz)

    def words_of(self, part: Part) -> str:
        """The bottles of a part."""
        return bottles_listed(self.bottles, part.counts)

    def litres(self, part: Part) -> float:
        """What the bottles of a part hold [L]."""
        return self.choice.litres(self.sorts, part)

    def headline(self) -> str:
        """What to fill, in one sentence without its end."""
        parts, volume = self.choice.parts, say_amount(self.beer.in_all_l, 1, "L")
        if not parts:
            return (
                say("None of these bottles may hold it")
                if self.beer.volume_l * 1000 > WASTE_ML
                else say("Nothing to fill")
            )
        lower = parts[0].fizz < round(self.beer.wanted * _TENTHS)
        if len(parts) == 1:
            bottles, fizz = self.words_of(parts[0]), show(self.fizz, 1)
            if lower:
                return self._with_rest(
                    say("{volume} at {fizz} volumes: {bottles}", volume=volume, fizz=fizz, bottles=bottles)
                )
            return self._with_rest(say("{volume}: {bottles}", volume=volume, bottles=bottles))
        first, second = (
            say(
                "{litres} at {fizz} volumes into {bottles}",
                litres=say_amount(self.litres(part), 1, "L"),
                fizz=show(part.fizz / _TENTHS, 1),
                bottles=self.words_of(part),
            )
            for part in parts
        )
        return self._with_rest(
            say("{volume} in two parts: {first}; {second}", volume=volume, first=first, second=second)
        )

    def _with_rest(self, filled: str) -> str:
        """What is filled, and what is left over where it would fill more bottles."""
        lacking = self._lacking(self.choice, self.fizz)
        if not lacking:
            return filled
        return say(
            "{filled}; {left_l} are left over: {lacking} more",
            filled=filled,
            left_l=say_amount(self.left_l, 1, "L"),
            lacking=lacking,
        )

    def _lacking(self, choice: Choice, fizz: float) -> str:
        """How many bottles of the commonest fit kind what is left over would fill; "" where not one."""
        kind = self._kind_for(fizz)
        count = choice.left_ml // round(kind.size_l * 1000)
        return say("{count} × {kind}", count=count, kind=kind.words) if count else ""

    def _kind_for(self, fizz: float) -> Bottle:
        """The kind to get more of: the commonest that bears the fizz, else the brewer's usual, else a strong one."""
        tenths = round(fizz * _TENTHS)
        known = [b for b, s in zip(self.bottles, self.sorts, strict=True) if s.bears >= tenths and b.count]
        if known:
            return max(known, key=lambda bottle: bottle.count)
        usual = [_strange("returnable_500", "500"), _strange("pet", "500"), _strange("heavy", "750")]
        return next((b for b in usual if bears(b, self.beer) >= tenths), usual[-1])

    def why(self) -> str:
        """Why these bottles."""
        if not self.choice.parts:
            return say(
                "No kind here is fit for the beer at {store_c}, however little sugar goes in.",
                store_c=say_amount(self.beer.store_c, 0, "°C"),
            )
        weak = min(
            (i for i, count in enumerate(self.choice.parts[-1].counts) if count), key=lambda i: self.sorts[i].bears
        )
        words = [WHY_THESE]
        if self.fizz < self.beer.wanted - 0.05:
            words.append(
                say(
                    "{bottle} bears {fizz} volumes at {store_c}, no more.",
                    bottle=self.bottles[weak].words,
                    fizz=show(self.fizz, 1),
                    store_c=say_amount(self.beer.store_c, 0, "°C"),
                )
            )
        return joined(" ", words)

    def findings(self) -> list[Finding]:
        """What the wanted fizz would take, and how to part the beer."""
        found = []
        if len(self.choice.parts) == 2:
            first = self.choice.parts[0]
            text = say(
                "Draw off {litres} for the {bottles} and prime it by itself; prime the rest for the others. "
                "Stir each part gently, and never mix up the two sugars.",
                litres=say_amount(self.litres(first), 1, "L"),
                bottles=self.words_of(first),
            )
            found.append(
                Finding(Urgency.ACT, text, say("Are the caps of the two parts marked apart?"), key="two_parts")
            )
        if self.choice.parts and self.fizz < self.beer.wanted - 0.05:
            top = round(self.beer.wanted * _TENTHS)
            alone = bottle_choice.choose(self.sorts, round(self.beer.volume_l * 1000), top, top)
            lacking = self._lacking(alone, self.beer.wanted)
            text = say(
                "For {wanted} volumes in all of it {lacking} are missing, or a cooler place.",
                wanted=show(self.beer.wanted, 1),
                lacking=lacking,
            )
            if lacking:
                found.append(Finding(Urgency.NOTHING, text, say("Are there more?"), key="for_wanted"))
        return found

    def figures(self) -> list[Figure]:
        """Fizz, litres and sugar of each part; how many bottles; what is left over; what to have ready besides."""
        working = self.working()
        found = []
        for number, part in enumerate(self.choice.parts if self.beer.base else (), 1):
            of = number if len(self.choice.parts) == 2 else 0
            fizz = part.fizz / _TENTHS
            found.append(figure(f"fizz_{number}", _named(of, say("Fizz that they bear")), fizz, VOLUMES, working))
            if of:
                found.append(figure(f"litres_{number}", _named(of, say("Beer")), self.litres(part), LITRES, working))
                found += self._sugar(of, part)
        total = sum(self.full)
        found.append(figure("bottles", say("Bottles to fill"), total, COUNT, working))
        found.append(figure("left", say("Left over"), self.left_l, LITRES_2, working))
        further = round(1000 * (self.beer.most_l - self.beer.volume_l)) - self.choice.left_ml
        beside = bottle_choice.ready_beside(self.sorts, self.choice, further) if further > 0 else ()
        if sum(beside):
            text = say(
                "{beside} ({bottles_listed})", beside=sum(beside), bottles_listed=bottles_listed(self.bottles, beside)
            )
            label = say("Ready besides, should it be {most_l}", most_l=say_amount(self.beer.most_l, 1, "L"))
            found.append(figure("beside", label, sum(beside), COUNT, working, words=text))
        return found

    def _sugar(self, number: int, part: Part) -> list[Figure]:
        base = self.beer.base
        if base is None:
            return []
        litres, fizz = self.litres(part), part.fizz / _TENTHS
        dose = dose_g(Base(Span(litres, litres, litres), base.residual, base.to_come), fizz, "sucrose")
        working = Working(
            say(
                "litres × (wanted − dissolved − still to ferment) × {grams} g of table sugar for each volume",
                grams=say_number("4.0"),  # of a litre: no amount by itself
            ),
            self.beer.givens,
            ("draper_hibberd_1996", "co2_stoichiometry", "mass_balance"),
        )
        return [
            figure(f"sugar_{number}", _named(number, say("Table sugar")), dose.best, GRAMS, working,
                   low=dose.low, high=dose.high, interval=say("from chemistry alone to the customary rule")),
        ]  # fmt: skip

    def working(self) -> Working:
        """How the choice was made, with what each kind bears."""
        bears_lines = tuple(
            say(
                "{bottle}: {count} at hand, bears {bears} vol",
                bottle=bottle.words,
                count=bottle.count,
                bears=show(sort.bears / _TENTHS, 1),
            )
            if sort.bears
            else say("{bottle}: {count} at hand, not fit", bottle=bottle.words, count=bottle.count)
            for bottle, sort in zip(self.bottles, self.sorts, strict=True)
        )
        glass, spared = (say_amount(each / 1000, 2, "L") for each in (WASTE_ML, SPARED_ML))
        over = say(
            "no more than {glass} left over, where it can be; {spared} where all of it then has the fizz wanted",
            glass=glass,
            spared=spared,
        )
        given = (
            Given(say("to fill"), say_amount(self.beer.volume_l, 2, "L"), self.beer.givens[0].basis)
            if self.beer.givens
            else None
        )
        return Working(
            WHY_THESE,
            (*((given,) if given else ()), *self.beer.givens),
            ("british_glass_tec7", "co2_mass_balance", "common_practice"),
            (
                *bears_lines,
                over,
                say(
                    "a part of its own gains {LEAST_GAIN} vol and is 4 L or more",
                    LEAST_GAIN=show(LEAST_GAIN / _TENTHS, 1),
                ),
            ),
            (say("The highest fizz is told in tenths of a volume; the worst bottle is reckoned with."),),
        )


def chosen(beer: Beer, bottles: tuple[Bottle, ...]) -> Chosen:
    """The best choice from these bottles."""
    sorts = tuple(Sort(round(b.size_l * 1000), b.count, bears(b, beer), plastic=not b.kind.glass) for b in bottles)
    natural = ceil(beer.natural * _TENTHS - 1e-9)
    choice = bottle_choice.choose(sorts, round(beer.volume_l * 1000), round(beer.wanted * _TENTHS), natural)
    return Chosen(beer, bottles, sorts, choice)


def bears(bottle: Bottle, beer: Beer) -> int:
    """The highest fizz up to the wanted one that a bottle is fit for at the warmest [tenths of a volume]; or 0."""
    least, top = max(1, ceil(beer.natural * _TENTHS - 1e-9)), min(round(beer.wanted * _TENTHS), _LARGEST)
    top = max(top, least)
    if bottle.never or not _fit(bottle, beer, least):
        return 0
    while least < top:  # fitness only ends once as the fizz grows
        middle = (least + top + 1) // 2
        if _fit(bottle, beer, middle):
            least = middle
        else:
            top = middle - 1
    return least


def _fit(bottle: Bottle, beer: Beer, tenths: int) -> bool:
    average, worst = beer.gas(tenths / _TENTHS)
    return bottle.fit_words(average, worst, beer.store_c) == "fit"


def _strange(key: str, millilitres: str) -> Bottle:
    return bottle_of(key, Quantity(millilitres, "mL"), 0, Shelf())


def bottles_listed(bottles: tuple[Bottle, ...], counts: tuple[int, ...]) -> str:
    """Bottles by kind: 24 × 500 mL brown returnable + 12 × 330 mL swing-top."""
    return joined(
        " + ",
        (
            say("{count} × {bottle}", count=count, bottle=bottle.words)
            for bottle, count in zip(bottles, counts, strict=True)
            if count
        ),
    )


def _named(part: int, label: str) -> str:
    """A label of the first or the second part; itself where there is only one."""
    if not part:
        return label
    if part == 1:
        return say("Of the first part: {label}", label=small(label))
    return say("Of the second part: {label}", label=small(label))
