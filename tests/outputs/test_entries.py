from __future__ import annotations

import re
from datetime import UTC, date, datetime
from pathlib import Path

import msgspec
import pytest

from gylebook.journal import events as ev
from gylebook.journal.codec import decode, plain_of
from gylebook.outputs.entries import entry_words
from gylebook.steps.plan_acts import OWN
from gylebook.units import Quantity

FROZEN = sorted((Path(__file__).parents[1] / "journal" / "frozen").glob("*.json"))


def texts_in(value: object) -> list[str]:
    """The texts of all quantities in a body, as they were written."""
    if isinstance(value, dict):
        if set(value) == {"text", "unit"}:
            return [value["text"]]
        return [text for part in value.values() for text in texts_in(part)]
    if isinstance(value, list):
        return [text for part in value for text in texts_in(part)]
    return []


def test_every_kind_has_a_frozen_body_to_be_put_in_words() -> None:
    assert {path.name.split(".")[0] for path in FROZEN} == set(ev.KINDS)


@pytest.mark.parametrize("path", FROZEN, ids=lambda p: p.stem)
def test_every_kind_of_entry_has_its_sentence_with_the_numbers_as_written(path: Path) -> None:
    kind, version, _ = path.name.split(".")
    body = path.read_bytes()
    words = entry_words(decode(kind, int(version), body))
    assert words.endswith((".", "!", "?"))
    assert words[0].isupper()
    assert "  " not in words
    assert "None" not in words
    told_elsewhere = kind in {"planned", "kit_kept"}  # a kit's details have their own page
    if not told_elsewhere:
        for text in texts_in(msgspec.json.decode(body)):
            assert text in words


def q(text: str, unit: str) -> Quantity:
    return Quantity(text, unit)


LEAST = {
    ev.Planned(name="Autumn bitter"): "Planned Autumn bitter.",
    ev.Cleaned(
        what="bucket and tap", agent="percarbonate"
    ): "Cleaned bucket and tap with percarbonate (oxygen cleaner).",
    ev.Mixed(): "Mixed the wort.",
    ev.ToppedUp(): "Topped up.",
    ev.Measured(gravity=q("1.045", "SG")): "Read 1.045 SG.",
    ev.Pitched(): "Pitched the yeast.",
    ev.TempSeen(of="beer"): "Looked at the beer's temperature.",
    ev.Moved(place="garage"): "Moved to the garage.",
    ev.Added(what="gelatine"): "Added gelatine.",
    ev.Roused(): "Roused the yeast.",
    ev.Hopped(hop="hops", mass=q("60", "g")): "Dry hopped with 60 g of hops.",
    ev.HopsRemoved(): "Took the hops out.",
    ev.Racked(): "Racked the beer off its sediment.",
    ev.Judged(verdict="finished"): "Judged it finished.",
    ev.Primed(sugar="sucrose", mass=q("117", "g")): "Primed the whole batch with 117 g of table sugar (sucrose).",
    ev.Filling(what="paused"): "Paused the filling.",
    ev.Filled(bottle="pet", count=2, size=q("500", "mL")): "Filled 2 × 500 mL PET.",
    ev.Bottled(lots=(ev.BottleLot(bottle="returnable_500", count=24, size=q("500", "mL")),)): (
        "Bottled as 24 × 500 mL brown returnable."
    ),
    ev.Opened(): "Opened a bottle.",
    ev.Burst(): "A bottle burst.",
    ev.Vented(): "Vented the bottles and closed them again.",
    ev.Tasted(): "Tasted it.",
    ev.TakenOut(count=1): "Took out 1 bottle.",
    ev.Noted(text="smells of bread"): "Note: smells of bread.",
    ev.Corrected(seq=5): "Withdrew entry 5.",
    ev.Closed(): "Closed the brew.",
    ev.Dumped(): "Threw the brew away.",
    ev.KitKept(kit=ev.Kit(name="Tansy Row bitter", ingredients=(), volume=q("23", "L"))): (
        "Kit Tansy Row bitter for 23 L."
    ),
    ev.InstrumentKept(name="hydrometer"): "Hydrometer.",
    ev.VesselKept(name="white bucket"): "White bucket (fermenter).",
    ev.PlaceKept(name="garage"): "Garage (place).",
    ev.BottlesKept(name="halves", kind="returnable_500", size=q("500", "mL"), count=96): (
        "Bottles halves: 96 × 500 mL brown returnable."
    ),
    ev.StockKept(item="table sugar", what="sugar"): "In the cupboard: table sugar.",
    ev.Forgotten(thing="kit", name="Tansy Row bitter"): "Off the shelf: kit Tansy Row bitter.",
    ev.SettingsKept(): "Settings: as they were.",
    ev.LessonsKept(count=True): "All finished brews count again.",
    ev.WarmSpell(high=q("34", "°C"), from_on=date(2026, 7, 4), to_on=date(2026, 7, 4)): (
        "Warm weather, everywhere, Sat 4 Jul 2026: up to 34 °C."
    ),
}
MORE = {
    ev.WarmSpell(
        place="garage",
        high=q("2", "°C"),
        low=q("-6", "°C"),
        from_on=date(2027, 1, 9),
        to_on=date(2027, 1, 10),
        note="as the radio has it",
    ): "Weather, garage, Sat 9 Jan 2027 to Sun 10 Jan 2027: -6 °C to 2 °C; as the radio has it.",
    ev.Mixed(temp=q("21", "°C"), tap_temp=q("13", "°C")): "Mixed the wort, at 21 °C, with tap water at 13 °C.",
    ev.Mixed(volume=q("23", "L"), volume_from="bucket mark", vessel="white bucket", boiling_water=q("3", "L")): (
        "Mixed the wort in the white bucket to 23 L (by the bucket's mark), with 3 L of boiling water."
    ),
    ev.Mixed(volume_from="guess"): "Mixed the wort, the volume by guess.",
    ev.Measured(gravity=q("1.045", "SG"), instrument="long hydrometer", sample_from="thief", fizz="some"): (
        "Read 1.045 SG on the long hydrometer, drawn with a thief, some gas in it."
    ),
    ev.Pitched(mass=q("6", "g"), how="sprinkled"): "Pitched 6 g of yeast, sprinkled dry.",
    ev.Pitched(mass=q("6", "g"), kind="ale", temp=q("20", "°C")): "Pitched 6 g of ale yeast at 20 °C.",
    ev.Pitched(yeast="house ale", kind="ale", how="rehydrated"): "Pitched house ale, woken in water.",
    ev.Pitched(yeast="Saltmarsh", kind="other"): "Pitched Saltmarsh (yeast of another kind).",
    ev.TempSeen(of="room", low=q("12", "°C"), high=q("15,5", "°C")): "The room was between 12 °C and 15,5 °C.",
    ev.TempSeen(of="beer", temp=q("20", "°C"), high=q("23", "°C")): "The beer was at 20 °C, highest 23 °C.",
    ev.Moved(place="under the stairs"): "Moved under the stairs.",
    ev.Moved(place="Shed 2", temp=q("9", "°C")): "Moved to Shed 2 (9 °C there).",
    ev.Added(what="jaggery", purpose="fermentable", material="sucrose", mass=q("500", "g")): (
        "Added 500 g of jaggery to ferment, counted as sugar."
    ),
    ev.Hopped(hop="Sedgeway pellets", mass=q("60", "g"), form="pellets", bagged=False, planned_days=1): (
        "Dry hopped with 60 g of Sedgeway pellets, loose, to stay 1 day."
    ),
    ev.Racked(vessel="bottling bucket", volume=q("19", "L")): "Racked 19 L into the bottling bucket.",
    ev.Racked(vessel="my old bin"): "Racked the beer into my old bin.",
    ev.Primed(sugar="sucrose", mass=q("3", "g"), how="each bottle", bottles=40): (
        "Primed each bottle with 3 g of table sugar (sucrose) for 40 bottles."
    ),
    ev.Bottled(lots=(), volume=q("20", "L"), place="garage", cap_code="A"): (
        "Bottled 20 L, kept in the garage; caps marked A."
    ),
    ev.TakenOut(count=2, bottle="pet", to="given"): "Took out 2 bottles (PET), given away.",
    ev.InstrumentKept(name="hydrometer", ref_temp=q("20", "°C"), offset=q("0.0010", "SG")): (
        "Hydrometer, true at 20 °C, shows water 0.0010 SG too high."
    ),
    ev.InstrumentKept(name="B2", offset=q("-0.0010", "SG")): "B2 (hydrometer), shows water 0.0010 SG too low.",
    ev.InstrumentKept(name="long hydrometer", offset=q("0.0000", "SG")): "Long hydrometer, shows water truly.",
    ev.VesselKept(name="tapped bucket", what="bottling bucket", trub_loss=q("1", "L")): (
        "Tapped bucket (bottling bucket), loses 1 L to the sediment."
    ),
    ev.StockKept(item="crown caps", what="caps", amount=q("110", "pieces"), cost="2"): (
        "In the cupboard: 110 crown caps, cost 2."
    ),
    ev.StockKept(item="Cinder Yard stout", what="kit"): "In the cupboard: Cinder Yard stout (kit).",
    ev.SettingsKept(country="Germany", language="de"): "Settings: country Germany, language Deutsch.",
    ev.SettingsKept(volume="L", co2="vol", currency="£"): "Settings: volume in L, fizz in vol, money in £.",
    ev.LessonsKept(count=False, thing="yeast", name="house ale", until=date(2026, 11, 3)): (
        "Forgotten: what finished brews taught about the yeast house ale, up to Tue 3 Nov 2026."
    ),
}


def test_a_sentence_is_held_for_every_kind_with_only_what_must_be_there() -> None:
    assert {type(event) for event in LEAST} == set(ev.KIND_OF)


@pytest.mark.parametrize(("event", "words"), [*LEAST.items(), *MORE.items()], ids=lambda v: str(v)[:40])
def test_an_entry_reads_well_whatever_was_left_out(event: ev.Event, words: str) -> None:
    assert entry_words(event) == words


@pytest.mark.parametrize("path", FROZEN, ids=lambda p: p.stem)
def test_every_field_may_be_left_out_alone_and_the_sentence_stays_whole(path: Path) -> None:
    kind, version, _ = path.name.split(".")
    whole = decode(kind, int(version), path.read_bytes())
    for field in msgspec.structs.fields(type(whole)):
        if field.required or (kind == "corrected" and field.name in {"kind", "version"}):  # they go with `instead`
            continue
        words = entry_words(msgspec.structs.replace(whole, **{field.name: field.default}))
        assert not re.search(r"  | ,|,,|\(\)|[:,;]\.|None|^\W", words), words


def test_a_plan_names_its_kit_or_says_that_the_recipe_is_ones_own() -> None:
    malt = ev.Alternative(key="malt", name="dried malt extract")
    kit = ev.Kit(name="Tansy Row bitter", ingredients=(), volume=q("23", "L"), alternatives=(malt,))
    planned = ev.Planned(name="Autumn", kit=kit, choice="malt", volume=q("21", "L"), vessel="old bin", place="garage")
    assert entry_words(planned) == (
        "Planned Autumn from the kit Tansy Row bitter with dried malt extract for 21 L, in the old bin, in the garage."
    )
    own = ev.Planned(name="Autumn", kit=ev.Kit(name=OWN, ingredients=(), volume=q("10", "L")))
    assert entry_words(own) == "Planned Autumn from a recipe of your own."


def test_a_correction_says_what_stands_now_and_why() -> None:
    instead = ev.Measured(gravity=Quantity("1.014", "SG"), temp=Quantity("21", "°C"))
    event = ev.Corrected(seq=5, because="misread", kind="measured", version=1, instead=plain_of(instead))
    assert entry_words(event) == "Corrected entry 5 to: Read 1.014 SG at 21 °C; because: misread."
    later = msgspec.structs.replace(event, happened_at=datetime(2026, 11, 3, 18, 30, tzinfo=UTC))
    assert entry_words(later).startswith("Corrected entry 5 and its time to: Read 1.014")
