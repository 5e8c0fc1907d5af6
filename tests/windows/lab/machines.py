"""Invented PCs: what their registry holds, and what was written down beforehand that pcaudit says of them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, NamedTuple

from tests.windows.lab.wine import Machine, machine, windows_path

HERE: Final = Path(__file__).resolve().parent
PROFILE: Final = HERE / "profile.toml"
FILES: Final = tuple(sorted((HERE / "pcs").glob("*.toml")))
NAMES: Final = tuple(path.stem for path in FILES)


class Expected(NamedTuple):
    """What was written down of a PC before pcaudit saw it.

    Attributes:
        code: Exit code of ``pcaudit assess``.
        verdicts: By finding id: every finding there is.
        values: By reading: what the snapshot holds, for some.
    """

    code: int
    verdicts: dict[str, str]
    values: dict[str, Any]


def file(name: str) -> Path:
    """The file of a PC."""
    return HERE / "pcs" / f"{name}.toml"


def expected(name: str) -> Expected:
    """What was written down of a PC."""
    table = tomllib.loads(file(name).read_text(encoding="utf-8"))["expected"]
    return Expected(table["code"], table["verdicts"], table["values"])


@contextmanager
def running(name: str, folder: Path, lab: Path) -> Iterator[Machine]:
    """An invented PC, running until the block ends.

    Args:
        name: Of its file.
        folder: Where its drives and registry are made.
        lab: The lab's folder.
    """
    with machine(folder / name, lab) as one:
        for path in tomllib.loads(file(name).read_text(encoding="utf-8")).get("files", []):
            made = one.drive(path)
            made.parent.mkdir(parents=True, exist_ok=True)
            made.write_bytes(b"MZ")
        done = one.python("-m", "tests.windows.lab.registry", windows_path(file(name)))
        assert (done.code, done.err) == (0, "")
        yield one
