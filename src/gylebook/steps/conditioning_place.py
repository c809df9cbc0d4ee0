"""What comes first where the place of bottles is too warm for them: the cold, and by when, before anything else."""

from __future__ import annotations

from dataclasses import dataclass

from gylebook.phrases import say, say_amount
from gylebook.steps.answers import Urgency
from gylebook.steps.asked import Asked
from gylebook.steps.bottle_age import Age
from gylebook.steps.conditioning_next import FRIDGE_C, MOVE
from gylebook.steps.decision import Setting
from gylebook.steps.moments import day_words
from gylebook.steps.rescue import Rescue

_LITTLE = 0.5  # of the gas: with less of it made, pouring back still helps


@dataclass(frozen=True, slots=True)
class Said:
    """What the words rest on: the moment, what is supposed, the rescue plan where there is one, and their age."""

    setting: Setting
    wanted: Asked
    plan: Rescue | None
    age: Age


def place_first(headline: str, unfit: Urgency, below_c: float, said: Said) -> str:
    """The headline with what their place asks for; it is as warm as the plan below it says, never warmer.

    Parameters
    ----------
    headline
        What would be next, were their place no matter.
    unfit
        How pressing it is that bottles are not fit for their place; "Nothing to do" where all are.
    below_c
        Below which they are fit, by the habit for their kind [°C].
    said
        What the words rest on.
    """
    plan = said.plan
    if plan is not None and plan.over:
        plan = None
    if plan is not None:
        below_c = min(below_c, float(plan.keep_c) if plan.keep_c is not None else 0.0)
    keep = (
        say("below {temp}", temp=say_amount(int(below_c), 0, "°C"))
        if below_c >= FRIDGE_C
        else say("cold, as in a fridge")
    )
    if unfit is Urgency.DANGER or (plan is not None and plan.hot):
        return _danger(keep, said, plan)
    by = "" if plan is None or plan.by is None else day_words(plan.by, said.setting.now, said.setting.zone)
    if plan is not None and plan.far:
        return say("{headline} By {by} they are drunk, or kept {keep}.", headline=headline, by=by, keep=keep)
    if unfit is not Urgency.ACT and not by:
        return headline
    place = say("a place that stays {keep}", keep=keep) if below_c >= FRIDGE_C else say("room in a fridge")
    find = say("Find them {place}; carry them there cold.", place=place)
    if by and plan is not None and not plan.hot:
        find = say("Find them {place} by {by}; carry them there cold.", place=place, by=by)
    return find if headline.startswith(MOVE) else say("{find} {headline}", find=find, headline=headline)


def _danger(keep: str, said: Said, plan: Rescue | None) -> str:
    """Where their place is a danger, nothing else that touches them stands beside it; but what little gas there is."""
    asked = said.wanted.number("temp")
    if asked is not None:
        return say("At {temp} they may burst: keep them {keep}.", temp=say_amount(asked, 0, "°C"), keep=keep)
    now = say("Cool these bottles now, where they stand and boxed")
    if plan is None or plan.hot or said.age.share.best >= _LITTLE:
        return say("{now}; carry them only cold, and keep them {keep}.", now=now, keep=keep)
    return say(
        "{now}. Little of the gas is made yet: once cold, open each, pour all back into the vessel and "
        "let it finish; or keep them {keep}.",
        now=now,
        keep=keep,
    )
