"""DEVELOPERS.md knows every module there is, and every file and library it names is there."""

from __future__ import annotations

import itertools
import re
import tomllib
from pathlib import Path
from typing import Final

from tests.docs import tables

TOP: Final = Path(__file__).parents[2]
PAGE: Final = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")
PACKAGE: Final = TOP / "pcaudit"

NAMED: Final = frozenset(re.findall(r"`([^` ]+\.py)`", PAGE))
DESCRIBED: Final = frozenset(re.findall(r"`([a-z_/]+)/`", PAGE))

EACH: Final = ("", "core")
"""Folders of which the page names each module; of the others it says what the folder is."""


def _modules() -> list[str]:
    return sorted(
        path.relative_to(PACKAGE).as_posix()
        for path in PACKAGE.rglob("*.py")
        if path.name != "__init__.py" and "__pycache__" not in path.parts
    )


def test_every_module_is_known() -> None:
    """Each module of the core, and beside it, is named; the others lie where the page says what that is."""
    modules = _modules()
    assert {"app.py", "core/evaluate.py", "core/plan/whole.py"} <= set(modules)
    split = [module.rpartition("/") for module in modules]
    # Below it are modules of other folders, some of the same name.
    here = PAGE.partition("`core/worksheet/` reads")[0]
    assert [name for folder, _, name in split if folder in EACH and f"`{name}`" not in here] == []
    assert {folder for folder, _, _ in split if folder not in EACH} <= DESCRIBED


def test_every_named_file_is_there() -> None:
    """A file that the page names is there, by its path or by its name; ``<part>`` stands for any."""
    patterns = {named: re.sub("<[a-z]+>", "*", named) for named in NAMED}
    rooms = (PACKAGE, TOP / "tests")
    missing = [
        named
        for named, pattern in patterns.items()
        if not any(TOP.glob(pattern)) and not any(one for room in rooms for one in room.rglob(pattern))
    ]
    assert missing == []


def test_every_dependency_has_its_reason() -> None:
    """The table of dependencies names each library that pyproject.toml asks for, and no other."""
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *itertools.chain(*project["optional-dependencies"].values())]
    names = {re.split("[^a-z0-9-]", one, maxsplit=1)[0] for one in asked}
    told = [name for row in tables.rows(PAGE, "library", "for", "note") for name in row[0].split(", ")]
    assert sorted(told) == sorted(names)
