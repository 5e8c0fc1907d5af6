"""``--redact`` and ``--redact-key`` on the command line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from pcaudit.core.pseudonyms import PREFIX
from pcaudit.render.interface import FORMATS
from tests.cli.program import DAYS, TIRED, WORKSTATION, pcaudit, refused, saved, snapshot, verdicts

_IDENTITY = ("LAB2-ALTPLATZ-03", "altplatz", "LM20-10452", "m.arden", "192.0.2.", "00:00:5e")
_LONG_ENOUGH = "correct horse battery staple correct horse"


def _residue(text: str) -> list[str]:
    return [one for one in _IDENTITY if one.casefold() in text.casefold()]


@pytest.mark.parametrize("name", FORMATS)
def test_no_format_shows_whose_pc_it_is(name: str) -> None:
    """A redacted report in any format holds no name, address or serial number of the PC."""
    plain = pcaudit("assess", WORKSTATION, TIRED, *DAYS, "--format", name)
    hidden = pcaudit("assess", WORKSTATION, TIRED, *DAYS, "--format", name, "--redact")
    assert _residue(plain.out)
    assert _residue(hidden.out) == []
    assert PREFIX in hidden.out
    assert plain.code == hidden.code == 3


def test_verdicts_are_reached_before_anything_is_redacted() -> None:
    """Every finding has the verdict it has without --redact, and the report says so."""
    plain, hidden = (
        json.loads(pcaudit("assess", WORKSTATION, TIRED, *DAYS, "--format", "json", *more).out)
        for more in ((), ("--redact",))
    )
    assert verdicts(plain) == verdicts(hidden)
    assert any(line.startswith("redacted: ") for line in hidden["warnings"])


def test_a_key_gives_the_same_pseudonyms_every_time(tmp_path: Path) -> None:
    """With --redact-key two reports can be compared, with --redact alone they cannot."""
    key = tmp_path / "key.txt"
    key.write_text(f"{_LONG_ENOUGH}\n")
    command = ("assess", WORKSTATION, TIRED, *DAYS, "--format", "json")
    first, second = (pcaudit(*command, "--redact-key", str(key)).out for _ in range(2))
    assert first == second
    assert _residue(first) == []
    key.write_bytes(f"  {_LONG_ENOUGH}\r\n".encode())
    assert pcaudit(*command, "--redact-key", str(key)).out == first
    assert pcaudit(*command, "--redact").out != pcaudit(*command, "--redact").out


def test_a_snapshot_of_this_pc_is_redacted(tmp_path: Path) -> None:
    """With --redact a snapshot has pseudonyms for host name and addresses, in a file and a pipe."""
    file = tmp_path / "s.json"
    assert pcaudit("probe", "--redact", "--output", str(file)).code == 0
    piped = pcaudit("probe", "--redact")
    for document in (json.loads(file.read_text()), json.loads(piped.out)):
        readings: dict[str, Any] = document["readings"]
        assert readings["computer.host_name"]["value"].startswith(f"{PREFIX}host-")
        for adapter in readings["network.adapters"]["value"]:
            assert adapter["mac"] is None or adapter["mac"].startswith(f"{PREFIX}mac-")
    assert "redacted-host-" in pcaudit("probe", "--redact", "--explain").out


def test_a_redacted_snapshot_is_not_judged_by_its_pseudonyms(tmp_path: Path) -> None:
    """Assessing it says unverified where a name decides, and why."""
    document = snapshot()
    document["readings"]["computer.host_name"] = {"value": f"{PREFIX}host-0123456789ab", "source": "x"}
    done = pcaudit("assess", WORKSTATION, saved(tmp_path, document), *DAYS, "--format", "json")
    (found,) = (f for f in json.loads(done.out)["findings"] if f["id"] == "computer.host_name")
    assert found["verdict"] == "unverified"
    assert "assess the snapshot as it was taken" in found["why"]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("short\n", "holds 5 bytes"),
        (" " * 40, "holds 0 bytes"),
        ("\0" * 40, "too few different bytes for a secret: 1"),
        ("a" * 48, "too few different bytes for a secret: 1"),
        ("abcdefg" * 9, "too few different bytes for a secret: 7"),
        (None, "no such file"),
    ],
)
@pytest.mark.parametrize("command", [("probe",), ("assess", WORKSTATION, TIRED)])
def test_a_key_that_protects_nothing_is_refused(
    tmp_path: Path, command: tuple[str, ...], content: str | None, words: str
) -> None:
    """A file that is missing, too short or of few different bytes is refused, and nothing is written."""
    key = tmp_path / "key.txt"
    if content is not None:
        key.write_text(content)
    refused(pcaudit(*command, "--redact-key", str(key)), words)


def test_eight_different_bytes_are_enough(tmp_path: Path) -> None:
    """What the check of different bytes refuses, it refuses below eight."""
    key = tmp_path / "key.txt"
    key.write_text("abcdefgh" * 8)
    assert pcaudit("probe", "--redact-key", str(key)).code == 0


def test_the_key_is_not_written_over(tmp_path: Path) -> None:
    """A result does not take the place of the secret it was made with."""
    key = tmp_path / "key.txt"
    key.write_text(_LONG_ENOUGH)
    refused(pcaudit("probe", "--redact-key", str(key), "--output", str(key)), "is also an input")
    assert key.read_text() == _LONG_ENOUGH
