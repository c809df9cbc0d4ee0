"""A shelf and brews for pages, written by the acts as a brewer would write them. All of it is invented."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from gylebook.steps.catalogue import act as act_named
from gylebook.steps.decision import Setting
from gylebook.steps.shelf import act_for
from gylebook.store import brew_log

NOW = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)

SHELF = (
    ("keep_kit", {
        "name": "Millpond bitter", "ingredients": "1.7 kg liquid malt extract", "volume": "23 L",
        "alternatives": "sugar: 1 kg sugar; bottle at 1.006; final 1.004 to 1.006; cost 1.20\n"
        "malt: 1 kg dried malt extract; bottle at 1.010; hop at 1.014; cost 6.50",
        "yeast": "house ale", "yeast_mass": "6 g", "yeast_kind": "ale", "temp_from": "18 °C", "temp_to": "24 °C",
        "days": "6", "priming_sugar": "sucrose", "priming_per_litre": "6 g/L", "best_before": "2027-03-01", "cost": "14.00",
        "hops": "25 g Sedgeway, day 7, for 3 days",
    }),
    ("keep_kit", {"name": "Old lantern/brown", "ingredients": "3 kg liquid malt extract", "volume": "20 L",
                  "best_before": "2026-10-01"}),
    ("keep_instrument", {"name": "long hydrometer", "what": "hydrometer", "shows_in_water": "1.002", "ref_temp": "20 °C"}),
    ("keep_vessel", {"name": "white bucket", "capacity": "27 L", "marks": "23 L holds 22.4 L"}),
    ("keep_place", {"name": "garage", "low": "2 °C", "high": "33 °C", "months": "7: 16 to 33 °C\n1: 2 to 8 °C"}),
    ("keep_place", {"name": "larder", "low": "12 °C", "high": "19 °C"}),
    ("keep_bottles", {"name": "brown halves", "kind": "returnable_500", "size": "500 mL", "count": "60", "washes": "5"}),
    ("keep_bottles", {"name": "clear", "kind": "one_way", "size": "330 mL", "count": "24"}),
    ("keep_stock", {"item": "table sugar", "what": "sugar", "amount": "2 kg"}),
    ("keep_stock", {"item": "Sedgeway", "what": "hops", "amount": "50 g", "best_before": "2026-12-01"}),
    ("keep_stock", {"item": "ale yeast", "what": "yeast", "amount": "11.5 g", "best_before": "2026-09-01"}),
    ("keep_stock", {"item": "crown caps", "what": "caps", "amount": "140 pieces"}),
    ("keep_settings", {"brewer": "A. Maltby", "country": "UK", "currency": "£"}),
    ("keep_lessons", {"what": "forget", "until": "2026-06-30"}),
)  # fmt: skip

# Each brew as (days before NOW, act, texts).
BREWS = (
    (
        (40, "plan", {"name": "Cellar bitter", "kit": "Millpond bitter", "choice": "sugar"}),
        (40, "mix", {"volume": "23 L"}),
        (40, "reading", {"gravity": "1.039", "temp": "20 °C"}),
        (40, "pitch", {"temp": "20 °C"}),
        (30, "reading", {"gravity": "1.005", "temp": "20 °C"}),
        (28, "reading", {"gravity": "1.005", "temp": "20 °C"}),
        (28, "prime", {"sugar": "sucrose", "mass": "110 g", "volume": "22 L"}),
        (28, "bottle", {"lots": "40 x 500 mL brown halves", "place": "larder", "cap_code": "CB1"}),
        (4, "take_out", {"count": "3", "to": "drunk"}),
    ),
    (
        (30, "plan", {"name": "Garage wheat", "kit": "Millpond bitter", "choice": "malt"}),
        (30, "mix", {"volume": "23 L"}),
        (30, "pitch", {"temp": "20 °C"}),
        (24, "reading", {"gravity": "1.012", "temp": "20 °C"}),
        (23, "prime", {"sugar": "sucrose", "mass": "220 g", "volume": "22 L", "against_advice": "I like it lively"}),
        (23, "bottle", {"lots": "24 x 330 mL clear\n20 x 500 mL brown halves", "place": "garage"}),
    ),
    (
        (6, "plan", {"name": "Lantern brown", "kit": "Old lantern/brown", "place": "larder"}),
        (6, "mix", {"volume": "20 L"}),
        (6, "pitch", {"temp": "19 °C"}),
        (2, "reading", {"gravity": "1.020", "temp": "19 °C"}),
    ),
)  # fmt: skip


def read_texts(fields, texts):
    """Values as a form would read them."""
    return {field.name: field.read(texts.get(field.name, ""), confirmed=True) for field in fields}


def stock(book="default"):
    """Fill the shelf."""
    for number, (name, texts) in enumerate(SHELF):
        act = act_for(name)
        values, at = read_texts(act.fields, texts), NOW - timedelta(days=90)
        brew_log.change_shelf(
            lambda shelf, act=act, values=values, at=at: act.decide(
                shelf, values, at, Setting(NOW, shelf, UTC, frozenset(values))
            ),
            actor="owner", source="page", command_id=f"shelf-{number}", now=at, book=book,
        )  # fmt: skip


def brew(book="default"):
    """Write the brews."""
    shelf = brew_log.read_shelf(book=book)
    for number, entries in enumerate(BREWS, 1):
        for place, (days, name, texts) in enumerate(entries):
            act, at = act_named(name), NOW - timedelta(days=days) + timedelta(minutes=place)
            values = read_texts(act.fields, texts)

            def decide(state, act=act, values=values, at=at):
                return act.decide(state, values, at, Setting(at, shelf, UTC, frozenset(f.name for f in act.fields)))

            common = {
                "actor": "owner",
                "source": "page",
                "command_id": f"brew-{number}-{place}",
                "now": at,
                "book": book,
            }
            if place == 0:
                brew_log.start_brew(decide, **common)
            else:
                brew_log.change(str(number), decide, **common)
