"""One brew, told to a program: its card, what is due, the answer that its stage asks for, and where it is going."""

from __future__ import annotations

from gylebook.errors import InputError
from gylebook.journal.state import Brew
from gylebook.outputs.brew_chart import brew_chart
from gylebook.outputs.chart import Scale
from gylebook.outputs.day_shape import line_shape, lines_of
from gylebook.outputs.outlook_shape import outlook_shape
from gylebook.outputs.shapes import iso, value_shape
from gylebook.steps.cards import card, says
from gylebook.steps.catalogue import step
from gylebook.steps.day import day
from gylebook.steps.finishing import answer as finishing
from gylebook.steps.outlook import outlook
from gylebook.steps.outlook_sure import sure
from gylebook.web.api.shapes import API
from gylebook.web.api.told import Plain, answer_told, figure_told
from gylebook.web.brews.reckoned import answered
from gylebook.web.brews.stages import STEPS_OF_STAGE
from gylebook.web.desk import Desk


def told(brew: Brew, at: Desk) -> Plain:
    """Everything about one brew."""
    setting = at.setting()
    own = card(brew, at.shelf, at.now, learned=setting.learned)
    said = says(own, at.now, at.measures.zone)
    word = STEPS_OF_STAGE[brew.stage][0]
    found, course = _going(brew, at)
    return {
        "brew": brew.id,
        "name": brew.name,
        "stage": brew.stage,
        "open": brew.open,
        "head_seq": brew.head_seq,
        "headline": said.headline,
        "why": said.why,
        "urgency": said.urgency.key,
        "tasks": [line_shape(line) for line in lines_of(day((own,), at.now, at.measures.zone))],
        "card": value_shape(own),
        "step": word,
        "answer": answer_told(answered(step(word), brew, setting), at.measures),
        "outlook": found,
        "course": course,
        "api": API,
    }


def _going(brew: Brew, at: Desk) -> tuple[Plain | None, Plain | None]:
    """The outlook and the readings that it rests on; None where an entry cannot be reckoned with."""
    setting = at.setting()
    try:
        found, answer = outlook(brew, setting), finishing(brew, setting, {})
        how = sure(found, answer)
    except InputError:
        return None, None  # the answer says which number stops it
    plain = outlook_shape(brew, found, answer, how)
    shown = how.figures if how is not None else answer.figures
    plain["figures"] = [figure_told(figure, at.measures) for figure in shown]
    scale: Scale = "°P" if at.measures.gravity == "°P" else "SG"
    chart = brew_chart(brew, setting, found, scale=scale)
    readings = [
        {
            "at": iso(each.at),
            "value": each.value,
            "low": each.low,
            "high": each.high,
            "words": each.words,
            "struck": each.struck,
        }
        for each in chart.drawable
    ]
    return plain, {"scale": scale, "readings": readings}
