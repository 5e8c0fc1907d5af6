"""Profiles that are based on others, and knowledge files of one's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from pcaudit.core.choose import ask
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.report import Verdict
from pcaudit.errors import MistakesError, PcauditError, UsageError
from pcaudit.loading import MOST_BASES, load, needed_by, remedies, tables
from tests.core.builders import snapshot_of, value

HEAD = 'format = 1\ntitle = "A profile"\n'


def _write(folder: Path, **texts: str) -> str:
    """Write profiles; the path of the one called ``top``."""
    for name, text in texts.items():
        path = folder / f"{name.replace('__', '/')}.toml"
        path.parent.mkdir(exist_ok=True, parents=True)
        path.write_text(HEAD + text, encoding="utf-8")
    return str(folder / "top.toml")


def test_a_base_is_part_of_the_profile(tmp_path: Path) -> None:
    """Conditions, options, parameters and sources of a base are the profile's, each at its place."""
    base = "parameters.n = { default = 2 }\ncpu.cores.minimum = 2\n[options.x.cpu.cores]\nminimum = 9\n"
    top = _write(tmp_path, parts__base=base, top='based_on = "parts/base.toml"\ncpu.cores.minimum = 8\n')
    profile = load(top)
    (finding,) = evaluate_all(ask([profile]), snapshot_of({"cpu.cores": value(4)})).findings
    assert finding.verdict is Verdict.UNMET
    assert [Path(one.profile).name for one in finding.parts] == ["top.toml", "base.toml"], "the tighter first"
    assert [Path(one.path).name for one in profile.sources] == ["base.toml", "top.toml"]
    assert (list(profile.parameters), [one.name for one in profile.options]) == (["n"], ["x"])


def test_what_two_bases_share_counts_once(tmp_path: Path) -> None:
    """A base reached by two ways is asked once."""
    top = _write(
        tmp_path,
        root="parameters.n = { default = 2 }\ncpu.cores.minimum = 2\n",
        left='based_on = "root.toml"\ncpu.sockets.minimum = 1\n',
        right='based_on = "root.toml"\ncpu.threads.minimum = 1\n',
        top='based_on = ["left.toml", "right.toml"]\n',
    )
    assert [one.id for one in load(top).conditions] == ["cpu.cores", "cpu.sockets", "cpu.threads"]


def test_a_parameter_of_two_bases_is_a_mistake(tmp_path: Path) -> None:
    """Two bases that declare one name leave its default open, which is refused."""
    texts = {
        name: f"parameters.n = {{ default = {i} }}\ncpu.cores.minimum = 2\n" for i, name in enumerate("ab")
    }
    top = _write(tmp_path, top='based_on = ["a.toml", "b.toml"]\n', **texts)
    with pytest.raises(MistakesError) as caught:
        load(top)
    assert "declared twice" in caught.value.mistakes[0].message


@pytest.mark.parametrize(
    ("based_on", "said"),
    [
        ('"top.toml"', "in turn"),
        ('"other.toml"', "in turn"),
        ('"missing.toml"', "no file"),
        ('"."', "no file"),
        ('"../outside.toml"', "outside the first profile's folder"),
        ('"/etc/hostname"', "not a relative path"),
        ("'C:\\base.toml'", "not a relative path"),
        ("'..\\base.toml'", "not a relative path"),
        ("[]", "names a file"),
        ('""', "names a file"),
        ("1", "names a file"),
        ('["base.toml", 1]', "names a file"),
        ("{ file = 'base.toml' }", "names a file"),
    ],
)
def test_a_wrong_base_is_a_mistake_at_its_place(tmp_path: Path, based_on: str, said: str) -> None:
    """A base in a circle, outside the folder, or that is none is named at its line."""
    (tmp_path / "outside.toml").write_text(HEAD + "cpu.cores.minimum = 2\n", encoding="utf-8")
    top = _write(
        tmp_path / "in",
        other='based_on = "top.toml"\n',
        base="cpu.cores.minimum = 2\n",
        top=f"based_on = {based_on}\n",
    )
    with pytest.raises(MistakesError) as caught:
        load(top)
    assert said in caught.value.mistakes[0].message
    assert caught.value.mistakes[0].place is not None
    assert caught.value.mistakes[0].place.line == 3


def test_a_link_out_of_the_folder_is_no_way_out(tmp_path: Path) -> None:
    """A symbolic link to a file outside the folder is refused like its path."""
    (tmp_path / "outside.toml").write_text(HEAD + "cpu.cores.minimum = 2\n", encoding="utf-8")
    top = _write(tmp_path / "in", top='based_on = "base.toml"\n')
    (tmp_path / "in" / "base.toml").symlink_to(tmp_path / "outside.toml")
    with pytest.raises(MistakesError) as caught:
        load(top)
    assert "outside" in caught.value.mistakes[0].message


@pytest.mark.parametrize("name", ["a\\u0000b.toml", "a" * 5000, "a/" * 3000, "~", "a\\nb"])
def test_a_strange_name_is_refused(tmp_path: Path, name: str) -> None:
    """No name of a base does anything but be refused."""
    with pytest.raises(PcauditError):
        load(_write(tmp_path, top=f'based_on = "{name}"\n'))


@pytest.mark.parametrize(("length", "fits"), [(MOST_BASES, True), (MOST_BASES + 1, False)])
def test_a_chain_of_bases_has_an_end(tmp_path: Path, length: int, fits: bool) -> None:
    """A chain as long as allowed is read, a longer one refused."""
    texts = {f"p{i}": f'based_on = "p{i + 1}.toml"\n' for i in range(1, length)}
    texts["top"] = texts.pop("p1")
    top = _write(tmp_path, **texts, **{f"p{length}": "cpu.cores.minimum = 2\n"})
    if fits:
        assert len(load(top).sources) == length
    else:
        with pytest.raises(MistakesError):
            load(top)


def test_only_knowledge_that_is_needed_is_read(tmp_path: Path) -> None:
    """A profile names the tables its conditions follow from, in a when too."""
    plain = ask([load(_write(tmp_path, top="cpu.cores.minimum = 2\n"))])
    assert needed_by(plain) == ()
    when = 'cpu.cores = { minimum = 2, when = { "os.servicing" = "general" } }\n'
    assert needed_by(ask([load(_write(tmp_path, top=when))])) == ("os",)
    series = '[cpu]\nseries = "core i5"\ngeneration = { minimum = 8 }\n'
    assert needed_by(ask([load(_write(tmp_path, top=series))])) == ("cpu",)


@pytest.mark.parametrize(
    "text", ["", "x = 1\n", "format = 1\n", "[[releases]]\n", "releases = 1\n", "series = [1]\n", "x = [\n"]
)
@pytest.mark.parametrize("name", ["os", "cpu", "remedies"])
def test_a_knowledge_file_that_says_nothing_is_refused(tmp_path: Path, name: str, text: str) -> None:
    """A knowledge file of one's own that is wrong is refused by its name."""
    (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    with pytest.raises(PcauditError):
        remedies(str(tmp_path)) if name == "remedies" else tables([name], str(tmp_path))


def test_what_a_knowledge_folder_leaves_out_is_the_shipped_file(tmp_path: Path) -> None:
    """A folder with one knowledge file replaces that one only."""
    (tmp_path / "remedies.toml").write_text("[remedies]\n", encoding="utf-8")
    assert tables(["os"], str(tmp_path)) == tables(["os"])


@pytest.mark.parametrize("made", [False, True])
def test_a_knowledge_folder_that_changes_nothing_is_refused(tmp_path: Path, made: bool) -> None:
    """A folder that is not there, or holds no knowledge file, is refused even where no table is needed."""
    folder = tmp_path / "newer"
    if made:
        folder.mkdir()
        (folder / "os.tml").write_text("format = 1\n")
    with pytest.raises(UsageError, match="no knowledge file in it" if made else "no such folder"):
        tables((), str(folder))
