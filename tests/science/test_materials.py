"""The table of what a wort is made of."""

from __future__ import annotations

import pytest

from gylebook import sources
from gylebook.science.carbon_dioxide import WATER_G_PER_MOL
from gylebook.science.extract import sg_from_extract_g_per_l
from gylebook.science.materials import MATERIALS
from gylebook.science.priming import PRIMING_SUGARS


@pytest.mark.parametrize("material", MATERIALS.values(), ids=lambda material: material.key)
def test_every_figure_is_in_order_and_has_a_source(material):
    for span in (material.solids, material.apparent_attenuation, material.specific_heat_j_per_kg_k):
        assert list(span) == sorted(span)
    assert 0.5 <= material.solids.low <= material.solids.high <= 1.0
    for key in (material.solids_source, material.attenuation_source, material.heat_source):
        sources.get(key)
    assert material.note.endswith(".")


def test_the_hydrate_is_glucose_and_one_water():
    assert MATERIALS["glucose_monohydrate"].solids.best == pytest.approx(
        180.156 / (180.156 + WATER_G_PER_MOL), abs=0.0005
    )


@pytest.mark.parametrize(
    ("key", "points_gallon_per_pound"),
    [
        ("dried_malt_extract", 45),
        ("liquid_malt_extract", 37),
        ("sucrose", 46),
        ("honey", 37.5),
        ("glucose_monohydrate", 42),
    ],
)
def test_solids_agree_with_the_public_tables_of_extract_potential(key, points_gallon_per_pound):
    litre_degrees = 1000 * (sg_from_extract_g_per_l(100.0 * MATERIALS[key].solids.best) - 1) * 10
    # 35 is printed for honey and 40 to 42 for corn sugar, with no water content named.
    assert litre_degrees / 8.345 == pytest.approx(points_gallon_per_pound, abs=1.0)


def test_the_blend_is_what_its_note_says():
    parts = {"glucose_monohydrate": 0.5, "dried_malt_extract": 0.25, "maltodextrin": 0.25}
    blend = MATERIALS["enhancer_blend"]
    solids = sum(share * MATERIALS[key].solids.best for key, share in parts.items())
    taken = sum(
        share * MATERIALS[key].solids.best * MATERIALS[key].apparent_attenuation.best for key, share in parts.items()
    )
    assert blend.solids.best == pytest.approx(solids, abs=0.002)
    assert blend.apparent_attenuation.best == pytest.approx(taken / solids, abs=0.03)


def test_every_priming_sugar_is_a_material():
    assert set(PRIMING_SUGARS) <= set(MATERIALS)
