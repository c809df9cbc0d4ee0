from __future__ import annotations

import math
import tomllib
import zipfile
from pathlib import Path

import pytest

from gylebook.inputs import check_values as module
from gylebook.inputs.check_values import CheckValue, check_values, plain_words
from gylebook.sources import Standing

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "tests" / "published").glob("*/*.toml"))


def value(**changed):
    given = {
        "function": "science.extract.points", "where": "p. 1", "inputs": {"gravity_sg": 1.04}, "expected": 40.0, "unit": "points",
        "output": "", "tolerance": 0.05, "relative": False, "why": "one decimal", "standing": Standing.PUBLISHED, "note": "",
    }  # fmt: skip
    return CheckValue(**{**given, **changed})


def test_all_values_of_the_tests_are_there():
    counted = sum(len(tomllib.loads(file.read_text())["check"]) for file in FILES)

    assert sum(map(len, check_values().values())) == counted
    assert set(check_values()) == {file.parent.name for file in FILES}


def test_the_book_gives_what_its_own_sum_gives():
    assert value().reckoned() == pytest.approx(40.0)
    assert value(function="science.extract.points", inputs={"gravity_sg": [1.04, 1.05]}).reckoned() == pytest.approx(
        [40, 50]
    )


def test_a_part_of_a_result_is_taken_by_its_name():
    given = value(function="science.glass.pressure_limit_bar", inputs={"kind": "heavy"}, output="high")

    assert given.reckoned() == pytest.approx(4.7)


@pytest.mark.parametrize(
    ("tolerance", "relative", "expected", "decimals"),
    [
        (0.05, False, 40.0, 3),
        (0.01, True, 100.0, 1),
        (None, False, "yes", 0),
        (1e-12, False, 1.0, 8),
        (2.0, False, [1000.0], 1),
    ],
)
def test_as_many_decimals_are_shown_as_a_difference_needs(tolerance, relative, expected, decimals):
    assert value(tolerance=tolerance, relative=relative, expected=expected).decimals == decimals


def test_a_sum_is_told_in_its_own_plain_words():
    assert plain_words("science.extract.points") == "Gravity points, as brewers count them: 1.040 is 40 points."


@pytest.mark.parametrize("name", ["os.system", "steps.priming.answer", "science.extract.no_such_sum"])
def test_nothing_but_a_sum_of_the_book_is_ever_called(name):
    with pytest.raises((ValueError, AttributeError)):
        value(function=name).reckoned()


def test_every_value_is_reckoned_to_something_that_can_be_shown():
    for values in check_values().values():
        for each in values:
            found = each.reckoned()
            numbers = found if isinstance(found, list) else [found]
            assert all(isinstance(number, str | bool | int | float) for number in numbers), each
            assert any(not isinstance(n, float) or math.isfinite(n) for n in numbers) or "nan" in str(each.expected), (
                each
            )


def test_the_files_are_packed_with_the_package(tmp_path):
    """What is read from an installed package is byte for byte what the tests hold the sums against."""
    from hatchling.builders.wheel import WheelBuilder

    [built] = WheelBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])
    with zipfile.ZipFile(built) as wheel:
        packed = {name for name in wheel.namelist() if name.startswith("gylebook/published/")}
        assert packed == {f"gylebook/published/{file.parent.name}/{file.name}" for file in FILES}
        for file in FILES:
            assert wheel.read(f"gylebook/published/{file.parent.name}/{file.name}") == file.read_bytes()
        wheel.extractall(tmp_path)
    installed = tmp_path / "gylebook" / "inputs" / "check_values.py"
    assert installed.read_bytes() == Path(module.__file__).read_bytes()
