"""The one constant that turns gravity into gas."""

from __future__ import annotations

from typing import Final

# Carbon dioxide of a fall of apparent gravity by 1.000 [g/L]: near the end of a fermentation 0.001 of gravity is
# 0.2595 °P apparent, of which some 0.81 is real extract fermented, and of that 0.46286 becomes carbon dioxide. The
# project's fuller sums, real extract by alcohol's own density, come 1 to 3 % higher.
# Source: nbs_c440, cutaia_2009, balling_nielsen_2007
CO2_G_PER_L_PER_SG: Final = 970.0
