"""Remarks on a valid profile: where they are shown, and where they are not."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.program import FIT, SMALL, WORKSTATION, pcaudit

HEAD = 'format = 1\ntitle = "A profile"\n'
THIN = HEAD + '[memory.usable]\nminimum = "16 GB"\nrecommended = "16 GB"\n'


def _saved(folder: Path, text: str, name: str = "profile.toml") -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_remarks_are_shown_as_mistakes_are(tmp_path: Path) -> None:
    """A profile with remarks is valid: exit 0, each remark with its place, line, mark and what is better."""
    path = _saved(tmp_path, THIN)
    done = pcaudit("profile", "validate", path)
    assert (done.code, done.out) == (0, f"{path}: valid, 1 condition, 0 arrangements\n")
    fitted = "a PC with 16 GB fitted has less usable: firmware and graphics keep some of it"
    assert done.err.splitlines() == [
        f"{path}:4: memory.usable.minimum: {fitted}",
        '    minimum = "16 GB"',
        "    ^",
        "    ask 16 GB of memory.installed, or less than 16 GB here",
        f"{path}:5: memory.usable.recommended: the same as the minimum, so nothing more is recommended",
        '    recommended = "16 GB"',
        "    ^",
        "    leave it out, or recommend something better than what is required",
        f"{path}: 2 remarks, no mistake",
    ]


def test_it_counts_as_the_page_of_the_profile_does(tmp_path: Path) -> None:
    """What an option adds is counted, by validate as by explain, and both name parameters and options."""
    text = (
        f"{HEAD}[parameters]\nruns = {{ default = 1, minimum = 1, maximum = 4 }}\n"
        "[cpu]\ncores.minimum = 4\n[power]\nusb_suspend = false\n"
        '[options.camera.memory.installed]\nminimum = "32 GB"\n'
        '[[arrangements]]\nid = "key"\nkind = "licence"\ntitle = "Licence"\n'
    )
    path = _saved(tmp_path, text)
    counts = "3 conditions, 1 arrangement, 1 parameter, 1 option"
    assert pcaudit("profile", "validate", path).out == f"{path}: valid, {counts}\n"
    assert counts in " ".join(pcaudit("profile", "explain", path).out.split())


def test_quiet_hides_remarks(tmp_path: Path) -> None:
    """Under --quiet a valid profile is met with silence."""
    done = pcaudit("profile", "validate", "--quiet", _saved(tmp_path, THIN))
    assert (done.code, done.out, done.err) == (0, "", "")


def test_a_mistake_comes_before_remarks(tmp_path: Path) -> None:
    """A profile with a mistake is told its mistakes only."""
    done = pcaudit("profile", "validate", _saved(tmp_path, THIN + "[cpu]\ncores = 4\n"))
    assert (done.code, done.out) == (2, "")
    assert "memory.usable" not in done.err and "remark" not in done.err


def test_a_profile_from_standard_input_has_remarks_too() -> None:
    """Without a file the place is standard input."""
    done = pcaudit("profile", "validate", "-", stdin=THIN.encode())
    assert done.code == 0
    assert done.err.startswith("standard input:4: memory.usable.minimum: ")
    assert done.err.endswith("standard input: 2 remarks, no mistake\n")


def test_remarks_on_a_base_name_its_file(tmp_path: Path) -> None:
    """What a base says is remarked on at its own line."""
    base = _saved(tmp_path, THIN, "base.toml")
    done = pcaudit("profile", "validate", _saved(tmp_path, 'based_on = "base.toml"\n' + HEAD, "top.toml"))
    assert done.err.startswith(f"{base}:4: memory.usable.minimum: ")


def test_text_from_the_profile_is_made_safe(tmp_path: Path) -> None:
    """A name in a remark is shown, never obeyed, and cannot pass for another line."""
    name = "Old\u200eSuite"  # a direction mark, which texts may hold
    text = HEAD + f'[[software.packages]]\nid = "old"\ncount = 0\nname = "{name}"\n'
    done = pcaudit("profile", "validate", _saved(tmp_path, text))
    assert done.code == 0
    assert name not in done.err and "Old\\u200eSuite 4.2" in done.err


def test_very_many_remarks_are_counted_not_listed(tmp_path: Path) -> None:
    """Of very many remarks the first fifty are shown, and all are counted."""
    table = '[[storage.volumes]]\nid = "v{}"\nsize.minimum = "1 TB"\n'
    path = _saved(tmp_path, HEAD + "".join(table.format(n) for n in range(60)))
    lines = [line for line in pcaudit("profile", "validate", path).err.splitlines() if line[0] != " "]
    assert len(lines) == 51
    assert lines[-1] == f"{path}: 60 remarks, no mistake, the first 50 shown"


def test_assess_says_how_many_remarks_there_are(tmp_path: Path) -> None:
    """An assessment mentions remarks in one line beside its result, and how to read them."""
    path = _saved(tmp_path, THIN)
    done = pcaudit("assess", path, FIT)
    assert done.err == f"2 remarks on this profile: pcaudit profile validate {path}\n"
    assert done.out
    quiet = pcaudit("assess", path, FIT, "--quiet")
    assert (quiet.code, quiet.out, quiet.err) == (done.code, done.out, "")


def test_assess_counts_each_profile_apart(tmp_path: Path) -> None:
    """Of several profiles each that has remarks gets its line; a name with a space stands in quotes."""
    path = _saved(tmp_path, HEAD + "cpu.cores = { minimum = 1, recommended = 1 }\n", "one more.toml")
    done = pcaudit("assess", WORKSTATION, FIT, "--also", path)
    assert done.err == f'1 remark on this profile: pcaudit profile validate "{path}"\n'


@pytest.mark.parametrize("profile", [WORKSTATION, SMALL])
def test_assess_is_silent_where_there_is_nothing_to_remark(profile: str) -> None:
    """No remark, no line."""
    assert pcaudit("assess", profile, FIT).err == ""
