"""Sugar in the bottle: the carbon dioxide that each sugar gives, the dose for a target, and a dose's outcome."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gylebook.errors import NotFound
from gylebook.phrases import say
from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME, CO2_G_PER_MOL
from gylebook.science.interval import Interval, Span

# Molar masses [g/mol].
# Source: molar_masses
_GLUCOSE: Final = 180.156
_WATER: Final = 18.01528
_SUCROSE: Final = 342.297

# The rule printed for table sugar: 4.0 g/L for each volume, 4 % more than the chemistry asks for.
# Source: draper_hibberd_1996
CUSTOMARY_SUCROSE_G_PER_L_PER_VOLUME: Final = 4.0


@dataclass(frozen=True, slots=True)
class PrimingSugar:
    """A sugar for priming and the carbon dioxide that it gives.

    Parameters
    ----------
    key
        Plain name used by records, the same as in ``materials.MATERIALS``.
    co2_g_per_g
        Carbon dioxide from one gram as weighed [g/g].
    level_teaspoon_g
        What a level teaspoon of 5 mL holds [g]; None where nothing is known.
    source
        Key of the source of the carbon dioxide.
    note
        What is assumed.
    """

    key: str
    co2_g_per_g: Span
    level_teaspoon_g: Span | None
    source: str
    note: str


def _exact(co2_molecules: int, g_per_mol: float) -> Span:
    share = co2_molecules * CO2_G_PER_MOL / g_per_mol
    return Span(share, share, share)


_ALL = (
    PrimingSugar(
        "sucrose",
        _exact(4, _SUCROSE),
        Span(3.4, 4.2, 5.0),
        "co2_stoichiometry",
        say(
            "Complete fermentation. A level teaspoon of 5 mL: the leaflets' half of one is 2.0 to 2.5 g; a spoon "
            "from the "
            "drawer holds less as often."
        ),
    ),
    PrimingSugar("glucose_anhydrous", _exact(2, _GLUCOSE), None, "co2_stoichiometry", say("Complete fermentation.")),
    PrimingSugar(
        "glucose_monohydrate",
        _exact(2, _GLUCOSE + _WATER),
        None,
        "co2_stoichiometry",
        say("Complete fermentation; one part in eleven is water of crystallisation."),
    ),
    PrimingSugar(
        "dried_malt_extract",
        Span(0.27, 0.335, 0.36),
        None,
        "common_practice",
        say("The trade uses 5.5 to 6 g/L for each volume; malt that ferments only to three fifths needs 7.3."),
    ),
    PrimingSugar(
        "honey",
        Span(0.36, 0.385, 0.41),
        None,
        "common_practice",
        say("Four fifths solids, nearly all fermentable as glucose and fructose; honeys differ."),
    ),
)
PRIMING_SUGARS: Final = MappingProxyType({sugar.key: sugar for sugar in _ALL})


def _sugar_called(key: str) -> PrimingSugar:
    """The priming sugar of that name; NotFound says which there are."""
    try:
        return PRIMING_SUGARS[key]
    except KeyError:
        known = ", ".join(PRIMING_SUGARS)
        raise NotFound(say("No priming sugar is called {key}; choose one of {known}.", key=key, known=known)) from None


def co2_from_sugar_g(sugar_mass_g: ArrayLike, sugar: str) -> Interval:
    """Carbon dioxide that priming sugar gives when it is used up.

    Parameters
    ----------
    sugar_mass_g : array_like, shape (...)
        Sugar as weighed [g].
    sugar : str
        Name in ``PRIMING_SUGARS`` [text].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Carbon dioxide [g].

    Raises
    ------
    NotFound
        When no priming sugar has that name; the message lists the names. All sums here that take a sugar do so.

    Range: sugar_mass_g >= 0; NaN outside.
    Source: co2_stoichiometry, molar_masses, common_practice
    """
    mass, inside = fence(sugar_mass_g, 0.0, 1e6)
    low, best, high = (only_where(inside, mass * each) for each in _sugar_called(sugar).co2_g_per_g)
    return Interval(low, best, high)


def volumes_from_sugar(sugar_mass_g: ArrayLike, volume_l: ArrayLike, sugar: str) -> Interval:
    """Carbonation that priming sugar adds to beer.

    With the true volume of beer in place of the one that was reckoned with, it tells what an error of volume does.

    Parameters
    ----------
    sugar_mass_g : array_like, shape (...)
        Sugar as weighed [g].
    volume_l : array_like, shape (...)
        Beer that it is shared over [L].
    sugar : str
        Name in ``PRIMING_SUGARS`` [text].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Carbonation added [volumes].

    Range: sugar_mass_g >= 0, volume_l > 0; NaN outside.
    Source: co2_stoichiometry, co2_reference_gas
    """
    volume, inside = fence(volume_l, 0.01, 1e5)
    made = co2_from_sugar_g(sugar_mass_g, sugar)
    low, best, high = (only_where(inside, each / volume / CO2_G_PER_L_PER_VOLUME) for each in made)
    return Interval(low, best, high)


def _volumes_missing(
    volume_l: ArrayLike, target_volumes: ArrayLike, residual_volumes: ArrayLike, still_to_come_volumes: ArrayLike
) -> Numbers:
    """Litres × volumes that sugar has to supply, never below 0; NaN out of range."""
    volume, inside_v = fence(volume_l, 0.01, 1e5)
    target, inside_t = fence(target_volumes, 0.0, 10.0)
    residual, inside_r = fence(residual_volumes, 0.0, 10.0)
    coming, inside_c = fence(still_to_come_volumes, 0.0, 50.0)
    return only_where(inside_v & inside_t & inside_r & inside_c, volume * np.maximum(target - residual - coming, 0.0))


def sugar_g(
    volume_l: ArrayLike,
    target_volumes: ArrayLike,
    residual_volumes: ArrayLike,
    still_to_come_volumes: ArrayLike,
    sugar: str,
) -> Interval:
    """Priming sugar for a carbonation, after what is in the beer and what fermentation and hops will still make.

    Parameters
    ----------
    volume_l : array_like, shape (...)
        Beer to be bottled [L].
    target_volumes : array_like, shape (...)
        Carbonation wanted [volumes].
    residual_volumes : array_like, shape (...)
        Carbonation that the beer has now [volumes].
    still_to_come_volumes : array_like, shape (...)
        Carbonation that its own sugar and hop creep will add [volumes].
    sugar : str
        Name in ``PRIMING_SUGARS`` [text].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Sugar to weigh; the lowest belongs to the highest yield; 0 where the beer will have enough without [g].

    Range: volume_l > 0, 0 <= target_volumes <= 10, other carbonations >= 0; NaN outside.
    Source: co2_stoichiometry, co2_reference_gas, molar_masses
    """
    missing = _volumes_missing(volume_l, target_volumes, residual_volumes, still_to_come_volumes)
    low, best, high = (missing * CO2_G_PER_L_PER_VOLUME / each for each in reversed(_sugar_called(sugar).co2_g_per_g))
    return Interval(low, best, high)


def customary_sugar_g(
    volume_l: ArrayLike,
    target_volumes: ArrayLike,
    residual_volumes: ArrayLike,
    still_to_come_volumes: ArrayLike,
    sugar: str,
) -> Numbers:
    """The same dose by the printed rule of 4.0 g/L of table sugar for each volume; other sugars in proportion.

    Parameters
    ----------
    volume_l : array_like, shape (...)
        Beer to be bottled [L].
    target_volumes : array_like, shape (...)
        Carbonation wanted [volumes].
    residual_volumes : array_like, shape (...)
        Carbonation that the beer has now [volumes].
    still_to_come_volumes : array_like, shape (...)
        Carbonation that its own sugar and hop creep will add [volumes].
    sugar : str
        Name in ``PRIMING_SUGARS`` [text].

    Returns
    -------
    float or ndarray, shape (...)
        Sugar to weigh; 0 where the beer will have enough without [g].

    Range: volume_l > 0, 0 <= target_volumes <= 10, other carbonations >= 0; NaN outside.
    Source: draper_hibberd_1996, co2_stoichiometry
    """
    missing = _volumes_missing(volume_l, target_volumes, residual_volumes, still_to_come_volumes)
    ratio = PRIMING_SUGARS["sucrose"].co2_g_per_g.best / _sugar_called(sugar).co2_g_per_g.best
    return missing * CUSTOMARY_SUCROSE_G_PER_L_PER_VOLUME * ratio


def dose_per_bottle_g(sugar_mass_g: ArrayLike, volume_l: ArrayLike, bottle_l: ArrayLike) -> Numbers:
    """One bottle's share of the sugar for a batch.

    Parameters
    ----------
    sugar_mass_g : array_like, shape (...)
        Sugar for all the beer [g].
    volume_l : array_like, shape (...)
        All the beer [L].
    bottle_l : array_like, shape (...)
        Beer in the bottle [L].

    Returns
    -------
    float or ndarray, shape (...)
        Sugar in the bottle [g].

    Range: sugar_mass_g >= 0, 0 < bottle_l <= volume_l; NaN outside.
    Source: mass_balance
    """
    mass, inside_m = fence(sugar_mass_g, 0.0, 1e6)
    volume, inside_v = fence(volume_l, 0.01, 1e5)
    bottle, inside_b = fence(bottle_l, 0.01, 1e5)
    return only_where(inside_m & inside_v & inside_b & (bottle <= volume), mass * bottle / volume)


def batch_from_doses_g(dose_g: ArrayLike, bottles: ArrayLike) -> Numbers:
    """Sugar for a number of equal doses.

    Parameters
    ----------
    dose_g : array_like, shape (...)
        Sugar in each bottle [g].
    bottles : array_like, shape (...)
        Number of bottles [1].

    Returns
    -------
    float or ndarray, shape (...)
        Sugar in all [g].

    Range: dose_g >= 0, bottles >= 0; NaN outside.
    Source: mass_balance
    """
    dose, inside_d = fence(dose_g, 0.0, 1e4)
    count, inside_c = fence(bottles, 0.0, 1e6)
    return only_where(inside_d & inside_c, dose * count)


def level_teaspoons(sugar_mass_g: ArrayLike, sugar: str) -> Interval:
    """Level teaspoons that hold so much sugar: a fallback, a scale is better by far.

    Parameters
    ----------
    sugar_mass_g : array_like, shape (...)
        Sugar [g].
    sugar : str
        Name in ``PRIMING_SUGARS`` [text].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Level teaspoons [1].

    Range: sugar_mass_g >= 0; NaN outside, and for a sugar whose teaspoon is not known.
    Source: common_practice
    """
    mass, inside = fence(sugar_mass_g, 0.0, 1e6)
    spoon = _sugar_called(sugar).level_teaspoon_g or Span(np.nan, np.nan, np.nan)
    low, best, high = (only_where(inside, mass / each) for each in reversed(spoon))
    return Interval(low, best, high)
