"""The quick way to read a command line against typer's, which is the one that counts."""

from __future__ import annotations

import subprocess
import sys
from inspect import signature
from pathlib import Path
from typing import Annotated, Any

import pytest
import typer
from hypothesis import given, settings, strategies as st

from pcaudit import app as use
from pcaudit.cli import assess, probe, quick
from pcaudit.cli.commands import build
from pcaudit.cli.main import run
from tests.cli.program import BLIND, DAYS, FIT, SMALL, TIRED, TOP, WORKSTATION, environ

PLAIN: tuple[tuple[str, ...], ...] = (
    ("probe",),
    ("probe", "--quiet", "--output", "out.json"),
    ("probe", "-o", "out.json"),
    ("probe", "--explain", "-q"),
    ("probe", "--explain", "--output", "out.json"),
    ("probe", "--redact-key", "key.txt", "--redact"),
    ("probe", "--redact-key", "missing.txt"),
    ("probe", "--redact-key", "key.txt", "--output", "key.txt"),
    ("probe", "--output", "no-such-folder/out.json"),
    ("assess", WORKSTATION, FIT, *DAYS),
    ("assess", *DAYS, "--format", "json", WORKSTATION, "-q", TIRED),
    ("assess", WORKSTATION, BLIND, "--output", "out.txt", *DAYS),
    ("assess", WORKSTATION, FIT, "--also", SMALL, *DAYS),
    ("assess", WORKSTATION, FIT, "--also", SMALL, "--also", SMALL, *DAYS),
    ("assess", WORKSTATION, FIT, "--set", "nothing=1", "--set", "nothing=2", *DAYS),
    ("assess", WORKSTATION, FIT, "--format", "xml"),
    ("assess", WORKSTATION, FIT, "--on", "someday"),
    ("assess", "missing.toml"),
    ("assess", "-", "-"),
    ("assess",),
    ("assess", "--quiet"),
    ("assess", "--worksheet", "missing.toml"),
)
"""Command lines that need no typer, right ones and ones that the command refuses."""

TYPERS: tuple[tuple[str, ...], ...] = (
    (),
    ("--help",),
    ("--version", "--help"),
    ("--version", "probe"),
    ("readings", "os.type"),
    ("prob",),
    ("probe", "--help"),
    ("probe", "extra"),
    ("probe", "--output"),
    ("probe", "--output="),
    ("probe", "--output=out.json"),
    ("probe", "--output", ""),
    ("probe", "--output", "--quiet"),
    ("probe", "--output", "-q"),
    ("probe", "-oout.json"),
    ("probe", "-qo", "out.json"),
    ("probe", "--out", "out.json"),
    ("probe", "--quiet=yes"),
    ("probe", "--no-quiet"),
    ("probe", "--quiet", "--quiet"),
    ("probe", "-q", "--quiet"),
    ("probe", "-o", "one.json", "-o", "two.json"),
    ("probe", "--", "--quiet"),
    ("probe", "--for", WORKSTATION),
    ("probe", "-"),
    ("probe", ""),
    ("assess", WORKSTATION, FIT, "third"),
    ("assess", "", FIT),
    ("assess", WORKSTATION, FIT, "--on", "2026-12-07", "--on", "2026-12-08"),
    ("assess", WORKSTATION, FIT, "--output", "-x"),
    ("assess", WORKSTATION, FIT, "--also"),
)
"""Command lines that typer must read: help, mistakes, and spellings with more than one reading."""

_COMMANDS: dict[str, Any] = {"probe": probe.probe, "assess": assess.assess}

ONCE = use.take_snapshot()


def _outcome(folder: Path, words: tuple[str, ...], capfd: pytest.CaptureFixture[str]) -> tuple[Any, ...]:
    """Exit code, both streams, and every file after a run in a folder with one secret."""
    folder.mkdir()
    (folder / "key.txt").write_text("k" * 40, encoding="ascii")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        code = run(list(words))
    out, err = capfd.readouterr()
    names = str(folder)
    files = {path.name: path.read_bytes() for path in folder.iterdir()}
    return code, out.replace(names, "FOLDER"), err.replace(names, "FOLDER"), files


@pytest.mark.parametrize("words", [*PLAIN, ("--version",), *TYPERS], ids=" ".join)
def test_both_ways_give_the_same(
    words: tuple[str, ...],
    tmp_path: Path,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Exit code, streams and files do not depend on who read the command line."""
    monkeypatch.setattr(use, "take_snapshot", lambda: ONCE)
    either = _outcome(tmp_path / "either", words, capfd)
    monkeypatch.setattr(quick, "call", lambda _: False)
    assert either == _outcome(tmp_path / "typer", words, capfd)


@pytest.mark.parametrize("words", PLAIN, ids=" ".join)
def test_a_plain_command_line_is_read_the_quick_way(words: tuple[str, ...]) -> None:
    """What is common does not wait for typer."""
    assert quick.read(_COMMANDS[words[0]], words[1:]) is not None


@pytest.mark.parametrize(
    "words", [one for one in TYPERS if one[:1] in (("probe",), ("assess",))], ids=" ".join
)
def test_what_leaves_a_doubt_is_left_to_typer(words: tuple[str, ...]) -> None:
    """Help, mistakes and odd spellings are typer's."""
    assert quick.read(_COMMANDS[words[0]], words[1:]) is None


_PARSERS: dict[str, Any] = {name: typer.main.get_command(build(name)) for name in quick.COMMANDS}


@pytest.mark.parametrize("name", quick.COMMANDS)
def test_every_option_is_one_that_typer_knows(name: str) -> None:
    """The quick way takes exactly the spellings that typer's command takes, but for help."""
    taken = quick._takes(_COMMANDS[name])
    assert taken is not None
    parameters = _PARSERS[name].commands[name].params
    known = {(one.name, o) for one in parameters for o in one.opts if one.param_type_name == "option"}
    assert {(parameter, option) for option, parameter in taken.options.items()} == known
    arguments = [one.name for one in parameters if one.param_type_name == "argument"]
    assert taken.arguments == arguments


_OPTIONS = sorted(
    {o for one in _PARSERS.values() for c in one.commands.values() for p in c.params for o in p.opts}
)
_WORDS = st.lists(
    st.one_of(
        st.sampled_from(_OPTIONS),
        st.sampled_from(["-", "--", "", "a", "b.toml", "-x", "-qo", "--output=a", "--help", "-1", "/q"]),
        st.text(max_size=4),
    ),
    max_size=8,
)


@settings(max_examples=400, deadline=None)
@given(name=st.sampled_from(sorted(quick.COMMANDS)), words=_WORDS)
def test_what_is_read_quickly_is_what_typer_reads(name: str, words: list[str]) -> None:
    """Whatever the words are: typer reads the same, or they are left to it."""
    given_ = quick.read(_COMMANDS[name], words)
    if given_ is None:
        return
    context = _PARSERS[name].commands[name].make_context(name, list(words), resilient_parsing=False)
    assert {key: context.params[key] for key in given_} == given_
    rest = context.params.keys() - given_.keys()
    defaults = signature(_COMMANDS[name]).parameters
    # Where an option may be given several times, typer says an empty list.
    assert all((context.params[key] or None) == (defaults[key].default or None) for key in rest)


def test_a_command_that_declares_otherwise_is_left_to_typer() -> None:
    """A parameter of another type, or one that only typer knows, makes its whole command typer's."""

    def number(count: int = 1) -> None: ...

    def own(name: Annotated[str, typer.Option("--name")] = "") -> None: ...

    assert quick.read(number, []) is None
    assert quick.read(own, []) is None


@pytest.mark.parametrize("words", [["probe", "-q"], ["assess", WORKSTATION, FIT], ["--version"]])
def test_a_plain_command_starts_without_typer(words: list[str]) -> None:
    """Neither typer nor what it brings is imported."""
    code = "import sys; from pcaudit.cli.main import run; run(sys.argv[1:]); print('typer' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code, *words],
        env=environ(),
        cwd=TOP,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.splitlines()[-1] == "False"
