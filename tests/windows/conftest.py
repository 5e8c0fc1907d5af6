"""The Windows lab as fixtures: skipped where Windows programs cannot run."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.windows.lab import machines
from tests.windows.lab.setup import folder, set_up
from tests.windows.lab.wine import Machine, machine, missing


@pytest.fixture(scope="session")
def windows() -> Path:
    """Folder of the lab, set up if it was not."""
    why = missing()
    if why:
        pytest.skip(why)
    try:
        return set_up(folder())
    except SystemExit as error:
        pytest.skip(f"the Windows lab cannot be set up: {error}")


@pytest.fixture(scope="session")
def invented(windows: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[str], Machine]]:
    """Gives an invented PC by the name of its file; each is made once and runs until the end."""
    place = tmp_path_factory.mktemp("pcs")
    made: dict[str, Machine] = {}
    with ExitStack() as stack:

        def get(name: str) -> Machine:
            if name not in made:
                made[name] = stack.enter_context(machines.running(name, place, windows))
            return made[name]

        yield get


@pytest.fixture(scope="session")
def plain(windows: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machine]:
    """A PC as Wine makes it, for tests that do not ask what it is."""
    with machine(tmp_path_factory.mktemp("plain") / "pc", windows) as one:
        yield one
