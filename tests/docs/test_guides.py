"""The guides do what they say: each is followed from its first command to its last."""

from __future__ import annotations

import json
import re
import shlex
from datetime import datetime
from pathlib import Path
from typing import Final

import pytest
from jsonschema import Draft202012Validator

from pcaudit.cli.commands import COMMANDS
from pcaudit.core.json_text import dump_json
from pcaudit.core.snapshot import from_mapping, to_mapping
from tests.cli.program import pcaudit
from tests.docs.guides import GUIDES, finished
from tests.docs.guides.page import followed
from tests.docs.guides.stage import FIXTURES, Ran, Stage
from tests.render.schemas import read

SNAPSHOTS: Final = sorted(FIXTURES.glob("*.json"))
_AS_OF: Final = re.compile(r"add `--as-of (2\d{3}-\d\d-\d\d)`")


def _follow(guide: Path, folder: Path) -> tuple[str, list[tuple[str, Ran]]]:
    return followed(guide.read_text(encoding="utf-8"), Stage(folder))


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.stem)
def test_a_guide_shows_what_its_commands_print(guide: Path, tmp_path: Path) -> None:
    """Run in their order, the commands print and end as shown; run python -m tests.docs.guides."""
    text, done = _follow(guide, tmp_path)
    assert guide.read_text(encoding="utf-8") == text
    assert len(done) > 6
    # What a guide does not name it does not show: faults of the program end with 1.
    assert {ran.code for _, ran in done} <= {0, 2, 3, 5}
    for kept, written in finished(guide, tmp_path).items():
        assert (FIXTURES / kept).read_text(encoding="utf-8") == written


def test_every_command_is_in_a_guide(tmp_path: Path) -> None:
    """The three guides together run every command there is."""
    pages = "\n".join(guide.read_text(encoding="utf-8") for guide in GUIDES)
    assert set(re.findall(r"^\$ pcaudit ([a-z]+)", pages, re.M)) == set(COMMANDS)


def test_what_is_probed_is_the_file_the_guide_names(tmp_path: Path) -> None:
    """What the IT guide's probes write are the snapshots that readers find in the folder."""
    (guide,) = (one for one in GUIDES if one.stem == "guide-it-admin")
    _follow(guide, tmp_path)
    for written, named in (("mine", "spare-user"), ("mine-admin", "spare"), ("mine-set", "spare-set")):
        assert (tmp_path / f"{written}.json").read_bytes() == (FIXTURES / f"{named}.json").read_bytes()
    redacted = (tmp_path / "for-helpdesk.json").read_text(encoding="utf-8")
    assert "LAB4" not in redacted and "LM40-30117" not in redacted and "r.kemper" not in redacted


def test_the_manager_s_pages_are_the_same_on_any_day(tmp_path: Path) -> None:
    """With the day the lab manager's guide names, the real program prints the same on another day."""
    guide = GUIDES[0]
    day = _AS_OF.search(guide.read_text(encoding="utf-8"))
    assert day
    _, done = _follow(guide, tmp_path)
    judged = [(line, ran) for line, ran in done if " assess " in line or " compare " in line]
    assert len(judged) > 3
    for line, ran in judged[:3]:
        arguments = shlex.split(line)[1:]
        again = pcaudit(*arguments, "--as-of", day[1], cwd=tmp_path)
        assert (again.code, again.out + again.err) == (ran.code, ran.text)


@pytest.mark.parametrize("path", SNAPSHOTS, ids=lambda path: path.stem)
def test_a_snapshot_of_the_story_is_one_that_probe_writes(path: Path) -> None:
    """Each is valid by the shipped schema, laid out as probe lays it out, and no value is unusable."""
    document = json.loads(path.read_text(encoding="utf-8"))
    Draft202012Validator(read("snapshot")).validate(document)
    assert path.read_text(encoding="utf-8") == dump_json(document)
    assert to_mapping(from_mapping(document)) == document
    for reading in document["readings"].values():
        assert reading.get("why") or reading.get("source")


# -- that a guide gone stale is noticed

_PAGE: Final = """# A guide

<!-- now: 2026-11-27T09:00:00+00:00 -->
<!-- show: 1-1; in the snapshot+1 -->
```console
$ pcaudit readings memory.installed --snapshot bench-2.json
memory.installed: Memory installed
...
in the snapshot   8 GB
...
```

```console
$ pcaudit readings memory.instaled
[exit code 2]
```
"""


def test_what_is_printed_otherwise_is_put_in(tmp_path: Path) -> None:
    """What a command prints replaces what stood there: a stale figure and a missing message show."""
    text, done = followed(_PAGE.replace("8 GB", "16 GB"), Stage(tmp_path))
    assert "in the snapshot   8 GB\n...\n" in text and "16 GB" not in text
    assert text.endswith(f"$ pcaudit readings memory.instaled\n{done[1][1].text}[exit code 2]\n```\n")
    assert "did you mean" in done[1][1].text
    assert followed(text, Stage(tmp_path / "again"))[0] == text


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("in the snapshot+1", "in the mirror+1", "no line begins with 'in the mirror'"),
        ("<!-- now:", "<!-- then:", "no such comment"),
        ("$ pcaudit", "$ sudo pcaudit", "pcaudit only"),
    ],
)
def test_a_guide_that_asks_for_what_is_not_there(tmp_path: Path, old: str, new: str, words: str) -> None:
    """A line that is not printed, an unknown comment and another program's command are told."""
    with pytest.raises(ValueError, match=words):
        followed(_PAGE.replace(old, new), Stage(tmp_path))


def test_what_the_reader_does_must_be_possible(tmp_path: Path) -> None:
    """A line to uncomment or replace that is not there, or a file that is, fails the guide."""
    stage = Stage(tmp_path)
    with pytest.raises(ValueError, match="not in list"):
        stage.uncomment("sorption.toml", "[power.wake]\n")
    with pytest.raises(ValueError, match="0 times in sorption"):
        stage.replace("sorption.toml", "no such words", "")
    with pytest.raises(ValueError, match="there already"):
        stage.write("sorption.toml", "")
    with pytest.raises(ValueError, match="no table"):
        stage.fill("sorption.toml", '[data]\nper_run = "60 MB"\n')


def test_what_is_filled_in_stands_in_its_own_table(tmp_path: Path) -> None:
    """Blanks and examples take the value, what is not there comes below; other tables stay."""
    stage = Stage(tmp_path)
    stage.write("sheet.toml", '[one]\nstate = ""\n\n#[two]\n#kind = "a"\n#size = 1\n\n[three]\nstate = ""\n')
    stage.fill("sheet.toml", '[two]\nkind = "b"\nstate = "in hand"\n\n[one]\nstate = "missing"\n')
    assert (tmp_path / "sheet.toml").read_text(encoding="utf-8") == (
        '[one]\nstate = "missing"\n\n[two]\nkind = "b"\nstate = "in hand"\n#size = 1\n\n[three]\nstate = ""\n'
    )


def test_the_moment_of_a_probe_is_that_of_its_snapshot(tmp_path: Path) -> None:
    """The story cannot read a PC at another moment than its snapshot says."""
    stage = Stage(tmp_path)
    stage.now = datetime.fromisoformat("2026-11-25T09:00:00+00:00")
    assert "was not taken at" in stage.run("pcaudit probe --output mine.json").text
