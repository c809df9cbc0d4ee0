"""Numbers that several sums share, each with its unit and source.

Coefficients of one relation stand in that relation's module.
"""

from __future__ import annotations

from typing import Final

# Density of air that turns the true ratios of Table 109 into the in-air ratios of Table 114 [kg/m3].
# Source: nbs_c440
AIR_DENSITY_KG_M3: Final = 1.2

# Cubic expansion of a glass hydrometer [1/degC].
# Source: iso_1768_1975
GLASS_EXPANSION_PER_C: Final = 25e-6

# Density of pure ethanol at 20 degC, to which strength by volume is referred [kg/m3].
# Source: oiml_r22, eec_76_766
ETHANOL_DENSITY_20C_KG_M3: Final = 789.24

# Extract that gives one gram of alcohol [g/g]; 0.9565 g of gas and 0.11 g of yeast solids come with it.
# Source: balling_nielsen_2007
EXTRACT_PER_ALCOHOL: Final = 2.0665

# Apparent attenuation of a sugar that ferments fully, and of lactose [1].
# Source: attenuation_make_up
SUGAR_APPARENT_ATTENUATION: Final = 1.2
LACTOSE_APPARENT_ATTENUATION: Final = 0.0

# Thermochemical calorie [kJ/kcal].
# Source: unit_definitions
KJ_PER_KCAL: Final = 4.184

# What any sum from two gravities leaves open about strength, because the yield of alcohol differs between breweries
# [% vol].
# Source: density_closure, cutaia_2009
ABV_FORMULA_LIMIT: Final = 0.15
