"""Sanitisers in numbers: dose for a strength, the conditions that codes print, and what must never meet.

A product's own label goes before everything here. Dirt must be off first: no sanitiser works through it.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from numpy.typing import ArrayLike

from gylebook.errors import NotFound
from gylebook.phrases import say
from gylebook.science._arrays import Numbers, fence, only_where

# Sulphur dioxide in metabisulphites by mass [g/g].
# Source: sulphite_stoichiometry
SULPHUR_DIOXIDE_SHARE: Final = MappingProxyType({"sodium_metabisulphite": 0.674, "potassium_metabisulphite": 0.576})
# Ceilings for a solution that is drained and not rinsed [ppm], recalled.
# Source: cfr_21_178_1010
CHLORINE_CEILING_PPM: Final = 200.0
IODINE_CEILING_PPM: Final = 25.0

# Classes of chemicals that must never meet: each pair gives a poisonous gas.
# Source: bleach_mixing_hazard
NEVER_MIX: Final = (
    ("chlorine", "acid"),
    ("chlorine", "ammonia"),
    ("chlorine", "sulphite"),
)


@dataclass(frozen=True, slots=True)
class Condition:
    """One printed set of conditions under which a sanitiser counts.

    Parameters
    ----------
    agent
        Plain name.
    ppm
        Strength from and to [ppm]; None for heat and for agents dosed by their label.
    seconds
        Least contact time [s].
    least_temp_c
        Least temperature of the solution [degC].
    most_ph
        Highest pH; None where none is printed.
    source
        Key of the source.
    """

    agent: str
    ppm: tuple[float, float] | None
    seconds: float
    least_temp_c: float
    most_ph: float | None
    source: str


# Temperatures are printed in degrees Fahrenheit: 55, 68, 75, 100, 120 and 171.
CONDITIONS: Final = (
    Condition("chlorine", (25.0, 49.0), 10.0, 48.9, None, "food_code_r392_102"),
    Condition("chlorine", (50.0, 99.0), 7.0, 23.9, 8.0, "food_code_r392_102"),
    Condition("chlorine", (50.0, 99.0), 7.0, 37.8, 10.0, "food_code_r392_102"),
    Condition("chlorine", (100.0, 200.0), 10.0, 12.8, None, "food_code_r392_102"),
    Condition("iodine", (12.5, 25.0), 30.0, 20.0, 5.0, "food_code_r392_102"),
    Condition("quaternary ammonium", None, 30.0, 23.9, None, "food_code_r392_102"),
    Condition("hot water", None, 30.0, 77.2, None, "food_code_r392_102"),
    Condition("chlorine", (20.0, 50.0), 1800.0, 5.0, None, "common_practice"),
    Condition("any sanitising rinse", None, 60.0, 5.0, None, "epa_dis_tss_17"),
)


def dose_ml(strength_ppm: ArrayLike, water_l: ArrayLike, product_percent: ArrayLike) -> Numbers:
    """Liquid product (bleach, for one) that gives a strength in water.

    Parameters
    ----------
    strength_ppm : array_like, shape (...)
        Strength wanted, milligrams of active substance in a litre [ppm].
    water_l : array_like, shape (...)
        Water [L].
    product_percent : array_like, shape (...)
        Active substance in the product by its label, grams in 100 mL [%].

    Returns
    -------
    float or ndarray, shape (...)
        Product [mL].

    Range: 0 <= strength_ppm <= 5000, water_l > 0, 0.1 <= product_percent <= 100; NaN outside.
    Source: by_definition
    """
    strength, inside_s = fence(strength_ppm, 0.0, 5000.0)
    water, inside_w = fence(water_l, 0.01, 1e5)
    percent, inside_p = fence(product_percent, 0.1, 100.0)
    return only_where(inside_s & inside_w & inside_p, strength * water / (10.0 * percent))


def strength_ppm(product_ml: ArrayLike, water_l: ArrayLike, product_percent: ArrayLike) -> Numbers:
    """Strength of a solution as mixed. Old bleach has lost some: the label's figure is its first day's.

    Parameters
    ----------
    product_ml : array_like, shape (...)
        Product [mL].
    water_l : array_like, shape (...)
        Water [L].
    product_percent : array_like, shape (...)
        Active substance in the product by its label, grams in 100 mL [%].

    Returns
    -------
    float or ndarray, shape (...)
        Milligrams of active substance in a litre of water [ppm].

    Range: 0 <= product_ml, water_l > 0, 0.1 <= product_percent <= 100; NaN outside.
    Source: by_definition, bleach_food_surface
    """
    product, inside_m = fence(product_ml, 0.0, 1e6)
    water, inside_w = fence(water_l, 0.01, 1e5)
    percent, inside_p = fence(product_percent, 0.1, 100.0)
    return only_where(inside_m & inside_w & inside_p, 10.0 * product * percent / water)


def sulphur_dioxide_ppm(sulphite_g: ArrayLike, water_l: ArrayLike, salt: str) -> Numbers:
    """Sulphur dioxide in a solution of metabisulphite; it works only when made acid, and is an asthma hazard.

    Parameters
    ----------
    sulphite_g : array_like, shape (...)
        Metabisulphite [g].
    water_l : array_like, shape (...)
        Water [L].
    salt : str
        Name in ``SULPHUR_DIOXIDE_SHARE`` [text].

    Returns
    -------
    float or ndarray, shape (...)
        Sulphur dioxide [ppm].

    Raises
    ------
    NotFound
        When no salt has that name; the message lists the names.

    Range: sulphite_g >= 0, water_l > 0; NaN outside.
    Source: sulphite_stoichiometry, rankine_so2
    """
    if salt not in SULPHUR_DIOXIDE_SHARE:
        raise NotFound(
            say(
                "No sulphite is called {salt}; choose one of {known}.",
                salt=salt,
                known=", ".join(SULPHUR_DIOXIDE_SHARE),
            )
        )
    mass, inside_m = fence(sulphite_g, 0.0, 1e6)
    water, inside_w = fence(water_l, 0.01, 1e5)
    return only_where(inside_m & inside_w, 1000.0 * mass * SULPHUR_DIOXIDE_SHARE[salt] / water)


def never_mix(one: str, other: str) -> bool:
    """Whether two classes of chemicals must never meet, in either order.

    Parameters
    ----------
    one : str
        Class, as in ``NEVER_MIX`` [text].
    other : str
        Class, as in ``NEVER_MIX`` [text].

    Returns
    -------
    bool
        True where they give a poisonous gas [1].

    Range: the classes in ``NEVER_MIX``; any other word gives False, which is not leave to mix.
    Source: bleach_mixing_hazard
    """
    return (one, other) in NEVER_MIX or (other, one) in NEVER_MIX
