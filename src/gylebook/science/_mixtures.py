"""The bare relations between extract, alcohol and density that extract, hydrometer and alcohol share.

Nothing here looks after ranges: the public functions fence their arguments before they call. Concentrations are
g/100 g, gravities apparent 20/20 °C in air, densities kg/m³.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from gylebook.science._arrays import Numbers, polynomial
from gylebook.science.constants import AIR_DENSITY_KG_M3, EXTRACT_PER_ALCOHOL

# SG − 1 = a P + b P² + c P³: least squares through water = 0 on degrees 1 to 30 of NBS C440 Table 114. The published
# cubics leave 0.005 °P at water, where a brewer expects none; this one is 0 there and within 0.005 °P of the table.
_PLATO_TERMS = (0.0, 3.868029e-3, 1.296228e-5, 5.300034e-8)
_PLATO_SLOPE = (3.868029e-3, 2 * 1.296228e-5, 3 * 5.300034e-8)

# Bubník 1995, p. 164, Kell's form on ITS-90. A copy of Kell's older coefficients with two digits of the denominator
# exchanged is in circulation; the density maximum at 4 °C tells them apart.
_KELL_NUMERATOR = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)
_KELL_DENOMINATOR = 16.887236e-3

# Bubník 1995, p. 164: the coefficient of w^k (k from 0) for each power of (t − 20)/100.
_SUCROSE = (
    (0.0, 385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (0.0, -46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (0.0, 59.7712, 7.2491, 12.3630, -35.4791),
    (0.0, -47.2207, -21.6977, 27.6301),
    (0.0, 18.3184, 12.3081),
)

# OIML R 22. At 20 °C every C term vanishes, so only values at other temperatures test them; copies with wrong C tables
# are in circulation.
_R22_A = (
    998.2012300,
    -192.9769495,
    389.1238958,
    -1668.103923,
    13522.15441,
    -88292.78388,
    306287.4042,
    -613838.1234,
    747017.2998,
    -547846.1354,
    223446.0334,
    -39032.85426,
)
_WATER_20C = _R22_A[0]
DENSITY_PER_SG = _WATER_20C - AIR_DENSITY_KG_M3  # rise of true density per unit of apparent gravity
_R22_A_SLOPE = tuple(power * coefficient for power, coefficient in enumerate(_R22_A))[1:]
_R22_B = (0.0, -0.20618513, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11)
_R22_C = (
    (
        0.0,
        1.693443461530087e-1,
        -1.046914743455169e1,
        7.196353469546523e1,
        -7.047478054272792e2,
        3.924090430035045e3,
        -1.210164659068747e4,
        2.248646550400788e4,
        -2.605562982188164e4,
        1.852373922069467e4,
        -7.420201433430137e3,
        1.285617841998974e3,
    ),
    (
        0.0,
        -1.193013005057010e-2,
        2.517399633803461e-1,
        -2.170575700536993,
        1.353034988843029e1,
        -5.029988758547014e1,
        1.096355666577570e2,
        -1.422753946421155e2,
        1.080435942856230e2,
        -4.414153236817392e1,
        7.442971530188783,
    ),
    (
        0.0,
        -6.802995733503803e-4,
        1.876837790289664e-2,
        -2.002561813734156e-1,
        1.022992966719220,
        -2.895696483903638,
        4.810060584300675,
        -4.672147440794683,
        2.458043105903461,
        -5.411227621436812e-1,
    ),
    (0.0, 4.075376675622027e-6, -8.763058573471110e-6, 6.515031360099368e-6, -1.515784836987210e-6),
    (0.0, -2.788074354782409e-8, 1.345612883493354e-8),
)


def sg_of_plato(extract_plato: Numbers) -> Numbers:
    """Apparent gravity of a wort; runs on smoothly below zero extract."""
    return 1.0 + polynomial(_PLATO_TERMS, extract_plato)


def sg_slope(extract_plato: Numbers) -> Numbers:
    """Rise of apparent gravity per degree Plato."""
    return polynomial(_PLATO_SLOPE, extract_plato)


def plato_of_sg(gravity_sg: Numbers) -> Numbers:
    """Inverse of sg_of_plato; three Newton steps from the customary 259 − 259/SG reach the last bits."""
    extract_plato = 259.0 - 259.0 / gravity_sg
    for _ in range(3):
        extract_plato = extract_plato - (sg_of_plato(extract_plato) - gravity_sg) / sg_slope(extract_plato)
    return extract_plato


def water_density(temp_c: Numbers) -> Numbers:
    """Kell's form, the water that belongs to the sucrose polynomial."""
    return polynomial(_KELL_NUMERATOR, temp_c) / (1.0 + _KELL_DENOMINATOR * temp_c)


def sucrose_density(mass_fraction: Numbers, temp_c: Numbers) -> Numbers:
    """True density of a sucrose solution; runs on smoothly a little below zero."""
    tau = (temp_c - 20.0) / 100.0
    density = water_density(temp_c) + polynomial(_SUCROSE[0], mass_fraction)
    for power, terms in enumerate(_SUCROSE[1:], start=1):
        density = density + polynomial(terms, mass_fraction) * tau**power
    return density


def ethanol_density(mass_fraction: Numbers, temp_c: Numbers) -> Numbers:
    """True density of an ethanol-water mixture."""
    theta = temp_c - 20.0
    density = polynomial(_R22_A, mass_fraction) + polynomial(_R22_B, theta)
    for power, terms in enumerate(_R22_C, start=1):
        density = density + polynomial(terms, mass_fraction) * theta**power
    return density


def ethanol_density_20c(mass_fraction: Numbers) -> Numbers:
    """True density of an ethanol-water mixture at 20 °C."""
    return polynomial(_R22_A, mass_fraction)


def ethanol_density_20c_slope(mass_fraction: Numbers) -> Numbers:
    """Change of that density per unit of mass fraction."""
    return polynomial(_R22_A_SLOPE, mass_fraction)


def true_density(gravity_sg: Numbers) -> Numbers:
    """True density at 20 °C of a liquid with this apparent gravity."""
    return AIR_DENSITY_KG_M3 + gravity_sg * DENSITY_PER_SG


def extract_per_alcohol(original_plato: Numbers) -> Numbers:
    """Fall of real extract per 1 g/100 g of alcohol: gas and yeast leave, so the rest is more concentrated."""
    return EXTRACT_PER_ALCOHOL - (EXTRACT_PER_ALCOHOL - 1.0) / 100.0 * original_plato


class Partners(NamedTuple):
    """The two simple solutions that hold, litre for litre, what the beer holds (Tabarié).

    ``alcohol`` is the mass fraction of the ethanol-water partner, ``extract`` the degrees Plato of the sugar partner.
    """

    alcohol: Numbers
    extract: Numbers


def partners_by_closure(original_plato: Numbers, final_sg: Numbers) -> Partners:
    """The partners whose densities add up to the gravity found and whose contents meet Balling's balance.

    Newton's method in both unknowns; the equations are almost straight, so four steps reach the last bits.
    """
    beer = true_density(final_sg)
    per_alcohol = extract_per_alcohol(original_plato)
    alcohol = (sg_of_plato(original_plato) - final_sg) * 1.04
    extract = original_plato - 100.0 * alcohol * per_alcohol
    for _ in range(4):
        ethanol, sugar = ethanol_density_20c(alcohol), true_density(sg_of_plato(extract))
        ethanol_slope = ethanol_density_20c_slope(alcohol)
        sugar_slope = DENSITY_PER_SG * sg_slope(extract)
        density_miss = ethanol - _WATER_20C + sugar - beer
        extract_miss = extract * sugar + 100.0 * per_alcohol * alcohol * ethanol - original_plato * beer
        by_alcohol = 100.0 * per_alcohol * (ethanol + alcohol * ethanol_slope)
        by_extract = sugar + extract * sugar_slope
        determinant = ethanol_slope * by_extract - sugar_slope * by_alcohol
        alcohol = alcohol - (density_miss * by_extract - extract_miss * sugar_slope) / determinant
        extract = extract - (extract_miss * ethanol_slope - density_miss * by_alcohol) / determinant
    return Partners(alcohol, extract)


def alcohol_of(partners: Partners, final_sg: Numbers) -> Numbers:
    """Alcohol of the beer itself [g/100 g]."""
    return 100.0 * partners.alcohol * ethanol_density_20c(partners.alcohol) / true_density(final_sg)


def beer_density_ratio(partners: Partners, temp_c: Numbers) -> Numbers:
    """Density of beer over that of water at the same temperature.

    The partners keep their composition while they warm; their expansion and the beer's differ by too little to matter
    (below 0.00001 in gravity from 0 to 40 °C).
    """
    extract_part = sucrose_density(partners.extract / 100.0, temp_c) / water_density(temp_c)
    alcohol_part = ethanol_density(partners.alcohol, temp_c) / ethanol_density(np.zeros_like(temp_c), temp_c)
    return extract_part + alcohol_part - 1.0


def gravity_by_closure(real_extract: Numbers, alcohol_percent: Numbers) -> Numbers:
    """Apparent gravity of a beer with this real extract and alcohol: Tabarié's rule forwards.

    The partners hold the same mass in a litre as the beer, so the beer's density is needed to find them; it settles in
    a few rounds.
    """
    extract, alcohol = real_extract, alcohol_percent / 100.0
    for _ in range(12):
        sugar, ethanol = true_density(sg_of_plato(extract)), ethanol_density_20c(alcohol)
        beer = sugar + ethanol - _WATER_20C
        extract, alcohol = real_extract * beer / sugar, alcohol_percent / 100.0 * beer / ethanol
    return (beer - AIR_DENSITY_KG_M3) / DENSITY_PER_SG
