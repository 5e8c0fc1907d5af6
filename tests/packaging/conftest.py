"""What is built once for all tests of this folder; skipped where the tools are not set up."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from tests.packaging import built, tools
from tests.windows.lab.setup import fetched, folder


@pytest.fixture(scope="session")
def distributions(tmp_path_factory: pytest.TempPathFactory) -> built.Built:
    """Sdist, and the wheel made from it, as people get them."""
    if why := tools.missing():
        pytest.skip(why)
    place = tmp_path_factory.mktemp("distributions")
    try:
        source = built.copy_checkout(place / "source")
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("this is no git checkout")
    return built.build(source, place / "dist")


@pytest.fixture(scope="session")
def cache() -> Path:
    """Where pinned packages lie; the portable folder is built from the same."""
    return fetched(folder())


@pytest.fixture(scope="session")
def single_file(distributions: built.Built, cache: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The single file as people get it."""
    output = tmp_path_factory.mktemp("single") / "dist"
    try:
        return built.single_file(distributions.wheel, output, cache)
    except OSError as error:
        pytest.skip(str(error))
