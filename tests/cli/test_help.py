"""Help that shows how, and completion by the shells themselves."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

from pcaudit.cli.commands import COMMANDS, build
from pcaudit.cli.completion import SHELLS, commands_of, script
from pcaudit.cli.examples import EXAMPLES, epilog
from pcaudit.errors import UsageError
from pcaudit.render.interface import FORMATS
from tests.cli.program import pcaudit, refused


def _all_commands() -> dict[str, tuple[str, ...]]:
    import typer

    return commands_of(typer.main.get_command(build()))


@pytest.mark.parametrize("command", sorted(set(_all_commands()) - {""}))
def test_every_commands_help_ends_with_an_example(command: str) -> None:
    """Help shows one or two lines to copy, each with the command's own name and options it has."""
    done = pcaudit(*command.split(), "--help", COLUMNS="200")
    assert done.code == 0
    _, _, shown = done.out.partition("Example")
    lines = [line.strip() for line in shown.splitlines()[1:] if line.strip()]
    assert lines == list(EXAMPLES.get(command) or EXAMPLES[command.split()[-1]])
    assert 1 <= len(lines) <= 2
    known = _all_commands()
    for line in lines:
        program, *words = shlex.split(line)
        name = next(
            c for c in sorted(known, key=len, reverse=True) if f"{' '.join(words)} ".startswith(f"{c} ")
        )
        assert program == "pcaudit"
        assert name == command or name.startswith(f"{command} ")
        assert {word for word in words if word.startswith("--")} <= set(known[name])


def test_a_command_without_an_example_has_none() -> None:
    """Nothing is made up for a command that has no example."""
    assert epilog("nothing") is None
    assert epilog("verify") == f"\b\nExample:\n{EXAMPLES['verify'][0]}"


@pytest.mark.parametrize("shell", SHELLS)
def test_a_script_holds_every_command_and_option(shell: str) -> None:
    """Nothing that can be typed is missing from what a shell completes."""
    done = pcaudit("--show-completion", shell)
    assert done.code == 0
    words = set(re.findall(r"[\w-]+", done.out))
    for command, options in _all_commands().items():
        assert set(command.split()) <= words
        assert {option if shell != "fish" else option[2:] for option in options} <= words
    assert set(FORMATS) <= words


def test_another_shell_is_refused() -> None:
    """A shell without a script is named, and those that have one."""
    refused(pcaudit("--show-completion", "tcsh"), "no shell known here", "bash, zsh, fish, powershell")
    with pytest.raises(UsageError):
        script("", {})


_BASH = """
. "$1"
shift
COMP_WORDS=("$@")
COMP_CWORD=$(($# - 1))
_pcaudit
printf '%s\\n' "${COMPREPLY[@]}"
"""


def _bash_completes(folder: Path, *words: str) -> set[str]:
    file = folder / "completion.sh"
    file.write_text(script("bash", _all_commands()))
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("no bash here")
    done = subprocess.run(
        [bash, "--norc", "-c", _BASH, "bash", str(file), *words], capture_output=True, text=True, check=True
    )
    assert done.stderr == ""
    return {word for word in done.stdout.splitlines() if word}


@pytest.mark.parametrize(
    ("words", "completed"),
    [
        (("pcaudit", "ass"), {"assess"}),
        (("pcaudit", "pro"), {"probe", "profile"}),
        (("pcaudit", "profile", ""), {"new", "validate", "explain", "schema", "--help"}),
        (("pcaudit", "profile", "new", "--os-v"), {"--os-version"}),
        (("pcaudit", "worksheet", ""), {"new", "validate", "--help"}),
        (("pcaudit", "assess", "p.toml", "--red"), {"--redact", "--redact-key"}),
        (("pcaudit", "assess", "p.toml", "--format", "j"), {"json", "junit"}),
        (("pcaudit", "assess", ""), set()),
        (("pcaudit", "assess", "p.toml", "s"), set()),
    ],
)
def test_bash_completes(tmp_path: Path, words: tuple[str, ...], completed: set[str]) -> None:
    """Bash itself, given the script, offers commands, options and formats, and leaves files to itself."""
    assert _bash_completes(tmp_path, *words) == completed


@pytest.mark.parametrize(
    ("shell", "syntax"), [("zsh", ("zsh", "-n")), ("fish", ("fish", "--no-execute"))], ids=["zsh", "fish"]
)
@pytest.mark.optional("neither shell is part of a plain installation")
def test_other_shells_read_their_script(tmp_path: Path, shell: str, syntax: tuple[str, str]) -> None:
    """The shell finds no mistake in the script made for it."""
    program = shutil.which(syntax[0])
    if program is None:
        pytest.skip(f"no {shell} here")
    file = tmp_path / "completion"
    file.write_text(script(shell, _all_commands()))
    done = subprocess.run([program, syntax[1], str(file)], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("typed", "completed"),
    [
        ("pcaudit ass", {"assess"}),
        ("pcaudit profile v", {"validate"}),
        ("pcaudit probe --red", {"--redact", "--redact-key"}),
        ("pcaudit assess p.toml --format j", {"json", "junit"}),
    ],
)
@pytest.mark.optional("fish is not part of a plain installation")
def test_fish_completes(tmp_path: Path, typed: str, completed: set[str]) -> None:
    """Fish itself, given the script, offers the same."""
    fish = shutil.which("fish")
    if fish is None:
        pytest.skip("no fish here")
    file = tmp_path / "completion.fish"
    file.write_text(script("fish", _all_commands()))
    done = subprocess.run(
        [fish, "--no-config", "-c", f"source {file}; complete -C '{typed}'"],
        capture_output=True,
        text=True,
        env={"HOME": str(tmp_path), "PATH": "/usr/bin:/bin"},
    )
    assert {line.split("\t")[0] for line in done.stdout.splitlines()} == completed


def test_only_the_wanted_command_is_built() -> None:
    """Examples cost a start nothing: a command that will not run is not imported for them."""
    assert len(build("readings").registered_commands) == 1
    assert len(build().registered_commands) + len(build().registered_groups) == len(COMMANDS)
