"""The probes on recorded hosts after accidents: always a whole snapshot of values that can be used."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from functools import cache
from typing import Final

from hypothesis import given, strategies as st

from pcaudit.core.snapshot import Form
from pcaudit.probes.linux.all import probes
from pcaudit.probes.runner import run
from tests.probes.faults import by_path
from tests.probes.hosts import MemoryTree
from tests.probes.recorded import NAMES, recorded
from tests.probes.test_fuzz_decoders import mutated

_Edits = Sequence[tuple[str, int, int, bytes]]
_EDITS: Final = st.lists(
    st.tuples(
        st.sampled_from(("flip", "cut", "drop", "repeat", "insert", "zero", "ones")),
        st.integers(0, 1 << 12),
        st.integers(0, 32),
        st.binary(max_size=4) | st.sampled_from((b"9" * 30, b"-1", b"1e999", b"nan", b"\n", b"/")),
    ),
    min_size=1,
    max_size=4,
)


@cache
def _files(name: str) -> list[tuple[str, list[int]]]:
    seen = recorded(name)
    assert isinstance(seen.tree, MemoryTree)
    entries = seen.tree.entries
    return [
        (path, who)
        for path, who in sorted(by_path(seen).items())
        if isinstance(entries.get(path), str | bytes)
    ]


def _now() -> datetime:
    return datetime(2025, 11, 25, 10, tzinfo=UTC)


@given(name=st.sampled_from(NAMES), place=st.integers(0, 10_000), edits=_EDITS)
def test_a_damaged_file_gives_nothing_that_cannot_be_used(name: str, place: int, edits: _Edits) -> None:
    """Whatever accident befalls a file, its probes give values of the right type, or reasons."""
    seen = recorded(name)
    assert isinstance(seen.tree, MemoryTree)
    path, numbers = _files(name)[place % len(_files(name))]
    entry = seen.tree.entries[path]
    assert isinstance(entry, str | bytes)
    data = mutated(entry.encode() if isinstance(entry, str) else entry, edits)
    tree = MemoryTree(
        {**{f"{folder}/": "" for folder in seen.tree.folders if folder}, **seen.tree.entries, path: data},
        seen.tree.times,
    )
    every = probes(seen._replace(tree=tree))
    asked = [every[number] for number in numbers]
    snapshot, timings = run(asked, "0.1.0", _now)
    assert [timing.problem for timing in timings] == [""] * len(timings), path
    for reading in (reading for probe in asked for reading in probe.reads):
        given_ = snapshot.readings[reading]
        assert given_.source if given_.form is Form.KNOWN else given_.why, reading
        assert "was expected" not in given_.why, f"{path}: {reading}: {given_.why}"
