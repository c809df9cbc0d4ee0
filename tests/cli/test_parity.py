"""All acts, steps, sums and acts of the shelf can be reached from the command line, by their own names."""

from __future__ import annotations

import click
import pytest

from gylebook.cli.log_cmd import WHEN
from gylebook.cli.manual import contexts
from gylebook.cli.options import option_name
from gylebook.steps.catalogue import WORDS, acts, step
from gylebook.steps.shelf import SHELF_ACTS
from gylebook.steps.sums import SUMS

COMMANDS = {ctx.command_path: ctx.command for ctx in contexts()}


def options(command: click.Command) -> set[str]:
    return {name for param in command.params if isinstance(param, click.Option) for name in param.opts}


def asked_for(fields) -> set[str]:
    return {option_name(field) for field in fields}


EVERYWHERE = {"--json"}
WRITING = {"--when", "--confirm", "--once"}
ANSWERING = {"--working", "--confirm"}


@pytest.mark.parametrize("name", acts())
def test_every_act_can_be_written_and_corrected_with_all_its_fields(name: str) -> None:
    wanted = asked_for(acts()[name].fields) | WRITING | EVERYWHERE
    assert options(COMMANDS[f"gylebook log BREW {name}"]) == wanted
    assert options(COMMANDS[f"gylebook log BREW correct SEQ {name}"]) == wanted


@pytest.mark.parametrize("word", WORDS)
def test_every_step_can_be_asked_with_all_its_what_ifs(word: str) -> None:
    wanted = asked_for(step(word).ask) | ANSWERING | EVERYWHERE
    assert options(COMMANDS[f"gylebook ask BREW {word}"]) == wanted


@pytest.mark.parametrize("word", SUMS)
def test_every_sum_can_be_reckoned_with_all_its_fields(word: str) -> None:
    wanted = asked_for(SUMS[word].fields) | ANSWERING | EVERYWHERE | {"--in"}
    assert options(COMMANDS[f"gylebook reckon {word}"]) == wanted


@pytest.mark.parametrize("act", SHELF_ACTS, ids=lambda act: act.name)
def test_every_act_of_the_shelf_can_be_done_with_all_its_fields(act) -> None:
    assert options(COMMANDS[f"gylebook shelf {act.name}"]) == asked_for(act.fields) | WRITING | EVERYWHERE


def test_no_field_has_the_name_of_one_of_the_commands_own_options() -> None:
    everything = [
        *(field for act in (*acts().values(), *SHELF_ACTS) for field in act.fields),
        *(field for word in WORDS for field in step(word).ask),
        *(field for each in SUMS.values() for field in each.fields),
    ]
    own = WRITING | ANSWERING | EVERYWHERE | {"--in", "--help"}
    assert not asked_for(everything) & own
    assert option_name(WHEN) in own


@pytest.mark.parametrize("path", COMMANDS)
def test_every_command_that_is_carried_out_answers_programs_too(path: str) -> None:
    command = COMMANDS[path]
    if not isinstance(command, click.Group) or path == "gylebook shelf":
        assert "--json" in options(command)


@pytest.mark.parametrize("path", COMMANDS)
def test_every_command_and_every_option_has_its_help(path: str) -> None:
    command = COMMANDS[path]
    assert command.get_short_help_str(), path
    for param in command.params:
        if isinstance(param, click.Option):
            assert param.help, f"{path} {param.opts}"
            assert param.help.endswith("."), f"{path} {param.opts}: {param.help}"
