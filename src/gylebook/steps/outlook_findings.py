"""What the outlook noticed: each with its urgency and the one check that would tell."""

from __future__ import annotations

from gylebook.phrases import say, say_amount, say_count
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.outlook_doubt import doubtful
from gylebook.steps.outlook_facts import Facts, gate_sg
from gylebook.steps.outlook_gates import Lack, Seen, hop_days_wanted, is_flat, limit_points
from gylebook.units import show


def findings(facts: Facts, seen: Seen | None, lacking: tuple[Lack, ...]) -> tuple[Finding, ...]:
    """Everything noticed, the gravest first."""
    keys = {lack.key for lack in lacking}
    found: list[Finding] = []
    if "below_possible" in keys:
        found.append(_below(facts))
    if "above" in keys and is_flat(facts) and seen is not None and not seen.is_doubtful:
        found.append(_halted(facts))
    if "unexplained" in keys:
        found.append(_unexplained(facts))
    if "doubtful" in keys and seen is not None:
        found.append(doubtful(seen))
    if "cold" in keys:
        found.append(_cold(facts))
    if facts.hops_g and "hops" in keys and seen is not None:
        found.append(_hops(facts, seen))
    if "bottles" in keys and seen is not None:
        found.append(_bottles(seen))
    found += _of_forced(facts)
    found += _of_leaflet(facts)
    if facts.lactose:
        text = say("The lactose stays in the beer; the expected end counts it, so a high final gravity is no halt.")
        found.append(Finding(Urgency.NOTHING, text, key="lactose"))
    judged = facts.judged
    if judged is not None and judged.event.verdict == "finished" and lacking and facts.closed_at is None:
        text = say("It was judged finished, and the book's rule does not agree yet.")
        found.append(Finding(Urgency.MEASURE, text, lacking[0].text, judged.seq, key="judged_otherwise"))
    return tuple(found)


def _below(facts: Facts) -> Finding:
    last = facts.readings[-1]
    lowest = show(facts.fg.low, 4)
    text = say(
        "{gravity} is lower than this make-up can reach ({lowest} at the least): a wild or diastatic "
        "yeast, or a wrong entry of what went in. Until that is known, do not bottle it; bottles of it "
        "would go on gaining pressure. What is bottled already: keep it cold, apart and covered.",
        gravity=show(last.gravity_sg, 4),
        lowest=lowest,
    )
    check = say("Does the hydrometer show 1.000 in water, and are the ingredients and the volume written as they were?")
    return Finding(Urgency.DANGER, text, check, last.seq, key="below_possible")


def _unexplained(facts: Facts) -> Finding:
    text = say(
        "Nothing in the model explains these readings: no course of fermentation from what went in, at these "
        "temperatures, goes through them. Something written is not as it was, or something else is at work. Hold it."
    )
    check = say(
        "Does the hydrometer show 1.000 in water, and is every reading from this vessel, flat and as it was read?"
    )
    return Finding(Urgency.ACT, text, check, facts.readings[-1].seq, key="unexplained")


def _halted(facts: Facts) -> Finding:
    now = facts.now_points
    assert now is not None
    text = say_count(
        round(now[0] - facts.end_points[0]),
        "Level at {now}, {n} point above its expected end: a halt, or a make-up that ends higher "
        "than reckoned. A hydrometer cannot tell the two apart; in a warm bottle a halted yeast wakes "
        "again.",
        "Level at {now}, {n} points above its expected end: a halt, or a make-up that ends higher "
        "than reckoned. A hydrometer cannot tell the two apart; in a warm bottle a halted yeast wakes "
        "again.",
        now=show(1 + now[0] / 1000, 4),
    )
    return Finding(
        Urgency.ACT, text, say("Warm it, rouse it, or force a small sample."), facts.readings[-1].seq, key="halted"
    )


def _cold(facts: Facts) -> Finding:
    text = say(
        "The last readings fell in a cold spell (below {too_cold_c}, or well below what it had before). "
        "Cold yeast stops early and goes on in warm bottles.",
        too_cold_c=say_amount(facts.track.too_cold_c, 1, "°C"),
    )
    check = say(
        "Bring it to {works_c} for three days and read again.", works_c=say_amount(facts.track.works_c, 0, "°C")
    )
    return Finding(Urgency.ACT, text, check, facts.readings[-1].seq if facts.readings else None, key="cold")


def _hops(facts: Facts, seen: Seen) -> Finding:
    still = seen.forecast.hop_points
    text = say(
        "Hops bring enzymes that free sugar: {hops_g_per_l} g/L may take it down by another {q50} "
        "points, at worst {q95}. The question is open again until {hop_days_wanted} warm days have "
        "passed and two fresh readings, at least two days apart, lie level.",
        hops_g_per_l=show(facts.hops_g_per_l, 1),
        q50=show(still.q50, 1),
        q95=show(still.q95, 1),
        hop_days_wanted=show(hop_days_wanted(facts), 0),
    )
    check = say("Two readings since the hops, at least two days apart.")
    return Finding(Urgency.MEASURE, text, check, facts.reopened.seq if facts.reopened else None, key="hop_creep")


def _bottles(seen: Seen) -> Finding:
    text = say("By the readings it is finished, but {bearing}.", bearing=seen.bearing.words)
    check = say("Stronger bottles, less fizz, a cooler store, or one more reading in some days would settle it.")
    return Finding(Urgency.MEASURE, text, check, key="bottles")


def _of_forced(facts: Facts) -> list[Finding]:
    forced, now = facts.forced, facts.now_points
    if forced is None or now is None:
        return []
    sample, here = show(1 + forced.points / 1000, 4), show(1 + now[0] / 1000, 4)
    if now[0] <= limit_points(facts):
        text = say(
            "The forced sample stopped at {sample} and the brew stands at {here}: the brew is where it can get.",
            sample=sample,
            here=here,
        )
        return [Finding(Urgency.NOTHING, text, seq=forced.seq, key="forced_agrees")]
    text = say(
        "The forced sample went down to {sample}; the brew stands at {here}, so there is more to come.",
        sample=sample,
        here=here,
    )
    return [Finding(Urgency.ACT, text, say("Warm it and rouse it."), forced.seq, key="forced_lower")]


def _of_leaflet(facts: Facts) -> list[Finding]:
    gate = gate_sg(facts.gates)
    if gate is None or gate >= facts.fg.low:
        return []
    text = say(
        "The leaflet's {gate} belongs to another make-up: this one should end near {fg} and may never "
        "get there. Waiting for it would be waiting for ever.",
        gate=show(gate, 4),
        fg=show(facts.fg.value, 4),
    )
    return [Finding(Urgency.NOTHING, text, key="leaflet_unreachable")]
