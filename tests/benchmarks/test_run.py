"""Which areas are measured."""

from __future__ import annotations

import pytest
import run


def test_an_area_that_is_none_is_refused_by_name(capsys):
    with pytest.raises(SystemExit) as refused:
        run.main(["forecast", "weather"])
    assert refused.value.code == 2
    told = capsys.readouterr().err
    assert "weather is no area: name any of start, steps, papers, gas, book, api, pages, forecast" in told


def test_only_what_is_named_is_measured_and_in_the_usual_order(monkeypatch, tmp_path):
    areas = {name: lambda home, name=name: iter([name]) for name in run.AREAS}
    monkeypatch.setattr(run, "AREAS", areas)
    assert list(run.measured(tmp_path, ["forecast", "start"])) == ["start", "forecast"]
    assert list(run.measured(tmp_path, list(areas))) == [
        "start",
        "steps",
        "papers",
        "gas",
        "book",
        "api",
        "pages",
        "forecast",
    ]
