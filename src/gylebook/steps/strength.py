"""Strength of a beer: from its gravities, with what priming adds."""

from __future__ import annotations

from gylebook.journal.state import Brew
from gylebook.phrases import say
from gylebook.steps.answers import Basis, Figure, Given
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Primed, primed_of
from gylebook.steps.outlook import Outlook, outlook
from gylebook.steps.strength_sum import nearest_pair, strength_figure
from gylebook.steps.volumes import Z90

__all__ = ["ALCOHOL_CAUTION", "strength_figure", "strength_of"]

ALCOHOL_CAUTION = say("Alcohol: not for children, not before driving or work with tools; the figure is an estimate.")


def strength_of(brew: Brew, setting: Setting, found: Outlook | None = None) -> Figure:
    """Strength of a brew with what priming adds, key "abv": where it is at its end, else where it should end.

    The original gravity is the better of weights and reading, so one bad reading does not spoil it.
    """
    found = found or outlook(brew, setting)
    primed = primed_of(brew, setting)
    at_end = found.now_sg is not None and (found.finished is True or primed is not None)
    end = found.now_sg if at_end and found.now_sg is not None else found.expected_fg
    og, fg = nearest_pair(found.original.value, end.value)
    given = (
        Given(say("original gravity"), found.original.text(), Basis.RECKONED, found.original.working.relation),
        Given(say("final gravity") if at_end else say("final gravity expected"), end.text(), Basis.RECKONED),
        *_priming_given(primed),
    )
    dry_g_per_l = min(primed.dose_g_per_l, 50.0) if primed else 0.0
    return strength_figure(og, fg, given, og_sd=_sd(found.original), fg_sd=_sd(end), priming_g_per_l=dry_g_per_l)


def _sd(found: Figure) -> float:
    return min(max(found.high - found.low, 0.0) / 2 / Z90, 0.02)


def _priming_given(primed: Primed | None) -> tuple[Given, ...]:
    if primed is None:
        return (Given(say("priming"), say("none written"), Basis.ASSUMED),)
    return primed.givens
