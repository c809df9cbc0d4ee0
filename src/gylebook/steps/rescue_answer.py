"""An answer about bottles with its rescue plan, where there is one: what to do in order, and who else to look at."""

from __future__ import annotations

from dataclasses import replace

from gylebook.journal.state import Brew
from gylebook.steps.answers import Answer, Deed
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Fizz
from gylebook.steps.gas_budget import budget
from gylebook.steps.rescue import CAUTIONS, Rescue, rescue
from gylebook.steps.rescue_shared import Shared, share_cause, shared_deed


def plan_of(brew: Brew, setting: Setting, gas: Fizz) -> Rescue | None:
    """The rescue plan of a brew whose gas is known; None where none is due."""
    return rescue(brew, setting, budget(brew, setting, gas))


def with_plan(found: Answer, brew: Brew, setting: Setting, gas: Fizz, plan: Rescue | None) -> Answer:
    """The answer with the chances of what lies behind opened bottles, and with the plan where any may burst."""
    causes = gas.opened.figures if gas.opened is not None else ()
    found = replace(found, figures=(*found.figures, *causes))
    if plan is None:
        return found
    cautions = found.cautions if plan.over else tuple(dict.fromkeys((*CAUTIONS, *found.cautions)))
    return replace(found, plan=plan.deeds if plan.over else _with_others(plan, brew, setting), cautions=cautions)


def sharers(brew: Brew, setting: Setting) -> tuple[Shared, ...]:
    """The open brews that share what may have made this one dangerous; none where its own card is not among them."""
    cards = setting.others()
    own = next((each for each in cards if each.id == brew.id), None)
    return share_cause(own, cards, setting.zone) if own is not None else ()


def _with_others(plan: Rescue, brew: Brew, setting: Setting) -> tuple[Deed, ...]:
    """Who else to look at stands before the last line, which tells when it is over."""
    found = sharers(brew, setting)
    return (*plan.deeds[:-1], shared_deed(found), plan.deeds[-1]) if found else plan.deeds
