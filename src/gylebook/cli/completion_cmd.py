"""`gylebook completion`: the script by which a shell completes commands and options."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

from gylebook.cli.command import GyleCommand, for_machines, give

SHELLS = ("bash", "zsh", "fish")


@click.command(cls=GyleCommand, examples=("gylebook completion bash", "gylebook completion fish"))
@click.argument("shell", type=click.Choice(SHELLS))
@for_machines
def command(shell: str) -> None:
    """Print the script that completes commands in your shell.

    Keep it where your shell looks for such scripts, such as ~/.local/share/bash-completion/completions/gylebook for
    bash, a folder of $fpath under the name _gylebook for zsh, or ~/.config/fish/completions/gylebook.fish for fish.
    """
    root = click.get_current_context().find_root().command
    kind = get_completion_class(shell)
    assert kind is not None
    script = kind(root, {}, "gylebook", "_GYLEBOOK_COMPLETE").source()
    give("completion", lambda: {"shell": shell, "script": script}, lambda: script)
