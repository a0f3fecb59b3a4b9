"""`completion`: what lets a shell fill in commands and options, made of the command line itself."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping

from api.commands import say
from api.settings import ProcessSettings

Words = Mapping[str, tuple[str, ...]]
"""The options and fixed words of each command."""

_BASH = """\
# For bash: save it as ~/.local/share/bash-completion/completions/beforeflash
_beforeflash() {{
  local words=""
  if [ "$COMP_CWORD" -eq 1 ]; then words="{commands} --help --version"; else
    case "${{COMP_WORDS[1]}}" in
{cases}
    esac
  fi
  COMPREPLY=($(compgen -W "$words" -- "${{COMP_WORDS[COMP_CWORD]}}"))
}}
complete -o default -F _beforeflash beforeflash
"""
_ZSH = "# For zsh: add it to ~/.zshrc\nautoload -U +X bashcompinit && bashcompinit\n"
_POWERSHELL = """\
# For PowerShell: add it to the file that $PROFILE names
Register-ArgumentCompleter -Native -CommandName beforeflash -ScriptBlock {{
  param($word, $line, $at)
  $words = @{{
    '' = '{commands} --help --version'
{cases}
  }}
  $said = @($line.CommandElements | Select-Object -Skip 1 | ForEach-Object {{ "$_" }})
  $command = if ($said.Count -gt 1 -or ($said.Count -eq 1 -and $word -eq '')) {{ $said[0] }} else {{ '' }}
  "$($words[$command])".Split(' ') | Where-Object {{ $_ -like "$word*" }}
}}
"""


def completion(_process: ProcessSettings, asked: argparse.Namespace) -> int:
    from api.cli import parser  # which made this command

    say(SHELLS[asked.shell](words_of(parser())).rstrip())
    return 0


def words_of(parser: argparse.ArgumentParser) -> Words:
    commands = next(one for one in parser._actions if isinstance(one, argparse._SubParsersAction))  # noqa: SLF001  # argparse tells it no other way
    return {name: _of_command(one) for name, one in commands.choices.items()}


def _of_command(parser: argparse.ArgumentParser) -> tuple[str, ...]:
    words: list[str] = []
    for action in parser._actions:  # noqa: SLF001  # as above
        words += [option for option in action.option_strings if option.startswith("--")]
        words += [str(one) for one in action.choices or ()]
    return tuple(words)


def _bash(words: Words) -> str:
    cases = "\n".join(f'      {name}) words="{" ".join(of)}" ;;' for name, of in words.items())
    return _BASH.format(commands=" ".join(words), cases=cases)


def _zsh(words: Words) -> str:
    return _ZSH + _bash(words).partition("\n")[2]


def _fish(words: Words) -> str:
    lines = ["# For fish: save it as ~/.config/fish/completions/beforeflash.fish"]
    lines += [f"complete -c beforeflash -n __fish_use_subcommand -a {name}" for name in words]
    for name, of in words.items():
        seen = f"complete -c beforeflash -n '__fish_seen_subcommand_from {name}'"
        lines += [f"{seen} {f'-l {one[2:]}' if one.startswith('--') else f'-a {one}'}" for one in of]
    return "\n".join(lines)


def _powershell(words: Words) -> str:
    cases = "\n".join(f"    '{name}' = '{' '.join(of)}'" for name, of in words.items())
    return _POWERSHELL.format(commands=" ".join(words), cases=cases)


SHELLS: dict[str, Callable[[Words], str]] = {
    "bash": _bash,
    "zsh": _zsh,
    "fish": _fish,
    "powershell": _powershell,
}
