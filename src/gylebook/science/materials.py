"""What a kit's wort is made of: solids, how far yeast takes them, and how much heat they hold.

Each figure carries the key of its source. No figure here belongs to a particular kit: a leaflet's or a label's own
figure goes before these.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from gylebook.phrases import say
from gylebook.science.constants import LACTOSE_APPARENT_ATTENUATION, SUGAR_APPARENT_ATTENUATION
from gylebook.science.interval import Span


@dataclass(frozen=True, slots=True)
class Material:
    """One fermentable (or sweetener) as it is weighed out.

    Parameters
    ----------
    key
        Plain name used by records.
    label
        The name a brewer reads.
    solids
        Extract by mass of what is weighed [1].
    solids_source
        Key of the source of the solids.
    apparent_attenuation
        Share of its gravity points that yeast takes, alcohol's lightness included [1]; a sugar exceeds 1.
    attenuation_source
        Key of the source of the attenuation.
    specific_heat_j_per_kg_k
        Heat that 1 kg brings into the mixture per degree [J/(kg K)].
    heat_source
        Key of the source of the specific heat.
    note
        What is assumed.
    """

    key: str
    label: str
    solids: Span
    solids_source: str
    apparent_attenuation: Span
    attenuation_source: str
    specific_heat_j_per_kg_k: Span
    heat_source: str
    note: str


# The sugar-solution relation gives 2.29 kJ/(kg K) for 80 % solids at 20 degC and 2.42 at 40 degC; 2.6 is recalled.
_SYRUP_HEAT = Span(2290.0, 2420.0, 2600.0)
# Dry solids dissolving: the same relation's share of the solids, 1.82 kJ/(kg K) at 20 degC and 1.97 at 40 degC.
_DRY_HEAT = Span(1820.0, 1900.0, 1970.0)
# Water of crystallisation counts as water: one part in eleven.
_HYDRATE_HEAT = Span(2040.0, 2110.0, 2170.0)

_SUGAR = Span(SUGAR_APPARENT_ATTENUATION, 1.22, 1.24)
_MALT = Span(0.65, 0.70, 0.75)

_ALL = (
    Material(
        "liquid_malt_extract",
        say("liquid malt extract"),
        Span(0.78, 0.80, 0.82),
        "public_extract_tables",
        _MALT,
        "common_practice",
        _SYRUP_HEAT,
        "llano_2005",
        say("Hopped or not. A kit's own leaflet shows how far it ferments; dark and heavy kits stop earlier."),
    ),
    Material(
        "dried_malt_extract",
        say("dried malt extract"),
        Span(0.95, 0.965, 0.98),
        "public_extract_tables",
        _MALT,
        "common_practice",
        _DRY_HEAT,
        "llano_2005",
        say("Takes up water from the air once opened, which lowers its solids."),
    ),
    Material(
        "sucrose",
        say("table sugar (sucrose)"),
        Span(0.998, 1.0, 1.0),
        "nbs_c440",
        _SUGAR,
        "attenuation_make_up",
        _DRY_HEAT,
        "llano_2005",
        say("Cane or beet alike."),
    ),
    Material(
        "glucose_anhydrous",
        say("dextrose (glucose), anhydrous"),
        Span(0.98, 0.99, 1.0),
        "crc_handbook",
        _SUGAR,
        "attenuation_make_up",
        _DRY_HEAT,
        "llano_2005",
        say("A glucose solution weighs about 1 % less above water than a sucrose solution of the same strength."),
    ),
    Material(
        "glucose_monohydrate",
        say("dextrose (glucose), monohydrate: the usual brewing sugar"),
        Span(0.89, 0.909, 0.92),
        "molar_masses",
        _SUGAR,
        "attenuation_make_up",
        _HYDRATE_HEAT,
        "llano_2005",
        say("One part in eleven is water of crystallisation. Public tables give 40 to 42 points·US gal/lb."),
    ),
    Material(
        "enhancer_blend",
        say("enhancer blend"),
        Span(0.91, 0.933, 0.955),
        "common_practice",
        Span(0.65, 0.83, 1.05),
        "common_practice",
        _DRY_HEAT,
        "llano_2005",
        say(
            "Makers differ. Assumed: half glucose monohydrate, a quarter dried malt extract, a quarter maltodextrin; "
            "read the packet and enter the parts instead."
        ),
    ),
    Material(
        "honey",
        say("honey"),
        Span(0.79, 0.82, 0.84),
        "public_extract_tables",
        Span(1.10, 1.17, 1.22),
        "common_practice",
        _SYRUP_HEAT,
        "llano_2005",
        say("About a twentieth of its solids does not ferment."),
    ),
    Material(
        "lactose",
        say("lactose (milk sugar), monohydrate"),
        Span(0.94, 0.95, 1.0),
        "molar_masses",
        Span(LACTOSE_APPARENT_ATTENUATION, LACTOSE_APPARENT_ATTENUATION, 0.02),
        "attenuation_make_up",
        _DRY_HEAT,
        "llano_2005",
        say("Brewing yeast leaves it. It comes from milk, an allergen."),
    ),
    Material(
        "maltodextrin",
        say("maltodextrin"),
        Span(0.93, 0.95, 0.96),
        "common_practice",
        Span(0.0, 0.10, 0.25),
        "common_practice",
        _DRY_HEAT,
        "llano_2005",
        say("Mostly unfermentable; the sweeter grades ferment more. After dry hopping, enzymes of the hop open it up."),
    ),
)

MATERIALS: Final = MappingProxyType({material.key: material for material in _ALL})
