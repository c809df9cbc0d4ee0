from __future__ import annotations

import pytest

from brewing import ONE_CAN, ONE_CAN_MALT, at, brewed, material, q, setting
from gylebook import sources
from gylebook.journal import events as ev
from gylebook.steps.answers import Basis, Urgency
from gylebook.steps.label import MAY_BURST, label
from gylebook.steps.label_allergens import allergens

MIXED = (1.0, ev.Mixed(ingredients=ONE_CAN_MALT, volume=q("21", "L")))
PITCHED = (2.0, ev.Pitched())
LOW = (200.0, ev.Measured(gravity=q("1.010", "SG"), temp=q("20", "°C")))
LOW_AGAIN = (260.0, ev.Measured(gravity=q("1.010", "SG"), temp=q("20", "°C")))
PRIMED = (265.0, ev.Primed(sugar="sucrose", mass=q("100", "g"), volume=q("20", "L")))
HALVES = ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL"))
BOTTLED = (266.0, ev.Bottled(lots=(HALVES,), cap_code="A1"))
WHOLE = (MIXED, PITCHED, LOW, LOW_AGAIN, PRIMED, BOTTLED)
UK, EU, US = (ev.SettingsKept(country=country, brewer="A. Maltby") for country in ("UK", "EU", "US"))


def test_a_label_says_name_code_date_strength_volume_and_allergen():
    found = label(brewed(*WHOLE), setting(EU, hours=300))
    assert (found.name, found.number, found.code, found.mark) == ("Invented ale", "No. b1", "A1", "A1")
    assert found.bottled == at(266).date()
    assert found.volume == "500 mL"
    assert found.maker == "A. Maltby"
    assert found.contains == ("BARLEY (gluten)",)
    assert found.fit
    assert found.hazard == "Under pressure: keep it below 25 °C; open it away from faces."
    assert found.missing == ""
    assert found.best_from is not None
    assert found.best_to is not None
    assert found.bottled < found.best_from < found.best_to


def test_the_strength_is_an_estimate_rounded_as_the_country_has_it():
    brew = brewed(*WHOLE)
    eu, uk, us = (label(brew, setting(country, hours=300)) for country in (EU, UK, US))
    assert eu.abv is not None
    tenths = eu.abv.value * 10
    assert eu.strength == f"about {round(eu.abv.value, 1)} % vol"
    assert uk.strength == f"about {int(tenths) / 10} % vol"
    assert us.strength == f"about {round(eu.abv.value, 1)} % alcohol by volume"
    assert "differ from its label by 0.5 in the EU" in " ".join(eu.working.steps)
    assert "differ from its label by 0.3 in the US" in " ".join(us.working.steps)
    assert not any("differ" in line for line in label(brew, setting(hours=300)).working.steps)


@pytest.mark.parametrize("country", ["Germany", "Ireland"])
def test_a_country_of_the_union_has_the_unions_label(country):
    brew, own = brewed(*WHOLE), ev.SettingsKept(country=country, brewer="A. Maltby")
    assert label(brew, setting(own, hours=300)) == label(brew, setting(EU, hours=300))


def test_a_strength_known_worse_than_the_law_grants_is_said_to_be():
    keys = {finding.key for finding in label(brewed(MIXED, PITCHED, BOTTLED), setting(US, hours=300)).findings}
    assert "wide_strength" in keys


def test_up_to_the_least_strength_no_number_is_given():
    weak = ev.Mixed(ingredients=(material("liquid_malt_extract", "0.4"),), volume=q("20", "L"))
    assert label(brewed((1.0, weak), PITCHED), setting(EU, hours=300)).strength == "up to 1.2 % vol"


def test_before_the_yeast_no_strength_is_made_up():
    found = label(brewed(MIXED), setting(UK, hours=3))
    assert found.strength == ""
    assert found.bottled is None
    assert found.missing.startswith("It is not in bottles by the book")


def test_every_source_of_the_working_is_in_the_bibliography():
    cited = [label(brewed(*WHOLE), setting(*country)).working.sources for country in ((EU,), (UK,), (US,), ())]
    assert all(cited)
    assert {key for keys in cited for key in keys} <= set(sources.all())
    assert cited[0] == ("eu_1169_2011",)


@pytest.mark.parametrize(
    ("event", "word"),
    [
        (ev.Added(what="milk sugar", mass=q("300", "g"), purpose="fermentable", material="lactose"), "MILK (lactose)"),
        (ev.Added(what="Oatmeal, a handful", purpose="flavour"), "OATS (gluten)"),
        (ev.Added(what="isinglass", purpose="finings"), "FISH (isinglass)"),
        (ev.Added(what="crushed hazelnuts", purpose="flavour"), "NUTS"),
        (ev.Added(what="potassium metabisulphite", purpose="other"), "SULPHITES"),
        (ev.Added(what="Haferflocken", purpose="flavour"), "OATS (gluten)"),
        (ev.Added(what="gehackte Haselnüsse", purpose="flavour"), "NUTS"),
        (ev.Added(what="Hausenblase", purpose="finings"), "FISH (isinglass)"),
        (ev.Added(what="Kaliumdisulfit", purpose="other"), "SULPHITES"),
        (ev.Mixed(ingredients=(material("dried_malt_extract", "1", name="wheat malt extract"),)), "WHEAT (gluten)"),
    ],
)
def test_what_went_in_is_named_as_an_allergen(event, word):
    assert word in allergens(brewed(MIXED, (1.5, event))).words


@pytest.mark.parametrize("what", ["nutmeg", "coconut sugar", "orange peel", "trying harder", "Muskatnuss", "Eibe"])
def test_what_only_sounds_like_an_allergen_is_asked_about_and_not_named(what):
    found = allergens(brewed(MIXED, (1.5, ev.Added(what=what, purpose="flavour"))))
    assert found.words == ("BARLEY (gluten)",)
    assert f"“{what}”" in found.questions[0]


def test_a_name_that_speaks_of_wheat_is_asked_about():
    found = label(brewed(*WHOLE, plan=ev.Planned(name="Dune wheat")), setting(UK))
    assert found.missing == "The name speaks of wheat: is it in the beer?"
    assert found.contains == ("BARLEY (gluten)",)


def test_without_ingredients_barley_is_assumed_and_they_are_asked_for():
    found = allergens(brewed(PITCHED))
    assert found.words == ("BARLEY (gluten)",)
    assert found.inputs[0].basis is Basis.ASSUMED
    assert found.questions[0].startswith("What went into the wort?")
    assert found.assumed


def test_honey_and_sugar_alone_hold_no_allergen():
    mead = ev.Mixed(ingredients=(material("honey", "3"),), volume=q("10", "L"))
    assert allergens(brewed((1.0, mead))).words == ()


def test_lots_of_two_sizes_are_asked_about_and_a_size_settles_it():
    two = ev.Bottled(lots=(HALVES, ev.BottleLot(bottle="pet", count=4, size=q("1", "L"))))
    brew = brewed(MIXED, PITCHED, LOW, LOW_AGAIN, PRIMED, (266.0, two))
    assert label(brew, setting(UK)).volume == ""
    assert "500 mL and 1 L" in label(brew, setting(UK)).missing
    assert label(brew, setting(UK), size="1 L").volume == "1 L"
    assert label(brew, setting(UK), size="1 L").missing == ""


def test_bottles_with_too_much_gas_carry_the_warning_and_are_not_fit_to_give():
    doubled = (265.0, ev.Primed(sugar="sucrose", mass=q("320", "g"), volume=q("20", "L")))
    found = label(brewed(MIXED, PITCHED, LOW, LOW_AGAIN, doubled, BOTTLED), setting(UK, hours=700))
    assert found.hazard == MAY_BURST
    assert not found.fit
    assert found.findings[0].urgency is Urgency.DANGER


def test_another_name_goes_before_the_brews_own():
    assert label(brewed((1.0, ev.Mixed(ingredients=ONE_CAN))), setting(), name="For Uncle").name == "For Uncle"


def test_the_labels_own_number_opens_its_rounding_and_what_the_allergens_came_from():
    printed, reckoned = label(brewed(*WHOLE), setting(UK, hours=300)).figures
    assert printed.text() == label(brewed(*WHOLE), setting(UK, hours=300)).strength
    assert reckoned.key == "abv"
    assert "rounded down" in printed.working.relation
    assert any(given.name == "BARLEY (gluten)" for given in printed.working.inputs)
    assert label(brewed(MIXED), setting(UK, hours=3)).figures == ()
