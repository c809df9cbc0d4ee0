"""The cellar and the weather over it as plain values for machines."""

from __future__ import annotations

from datetime import datetime, tzinfo

from gylebook.outputs.shapes import Plain, figure_shape, finding_shape, value_shape
from gylebook.steps.cellar_list import Standing, figures_of, fit_words, lot_figures
from gylebook.steps.warm_spell import WarmList


def standing_shape(each: Standing, now: datetime, zone: tzinfo) -> Plain:
    """A brew of which bottles are left."""
    lots = (lot for lot in each.bottles.lots if lot.left)
    return {
        "brew": each.card.id,
        "name": each.card.name,
        "place": each.card.place,
        "cap_code": each.bottles.cap_code,
        "urgency": each.says.urgency.key,
        "headline": each.says.headline,
        "why": each.says.why,
        "look_first": each.first,
        "figures": [figure_shape(figure) for figure in figures_of(each, now, zone)],
        "lots": [
            {
                "bottle": lot.bottle,
                "left": lot.left,
                "fit": fit_words(lot),
                "fit_below_c": lot.fit_below_c,
                "figures": [figure_shape(figure) for figure in lot_figures(each.bottles, lot)],
            }
            for lot in lots
        ],
    }


def weather_shape(found: WarmList) -> Plain:
    """A spell with what it does; its name is that on the shelf."""
    spell = found.spell
    return {
        "name": spell.name,
        **{field: value_shape(getattr(spell, field)) for field in spell.__struct_fields__},
        "high": str(spell.high),
        "low": str(spell.low) if spell.low is not None else None,
        "headline": found.headline,
        "urgency": found.urgency.key,
        "brews": [
            {
                "brew": each.card.id,
                "name": each.card.name,
                "place": each.card.place,
                "chance": each.chance,
                "fit_below_c": each.fit_below_c,
                "urgency": each.urgency.key,
                "do": each.does,
                "figures": [figure_shape(figure) for figure in each.figures],
            }
            for each in found.warmed
        ],
        "vessels": [{"brew": card.id, **finding_shape(finding)} for card, finding in found.vessels],
        "place_not_written": found.nowhere,
    }
