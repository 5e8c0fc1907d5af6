"""Imports run one way: cli, app, loading, then probes, render and files, then core, then errors."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent / "pcaudit"

# The rooms each room may import from besides itself.
BELOW = {
    "errors": set(),
    "core": {"errors"},
    "files": {"core", "errors"},
    "probes": {"core", "errors"},
    "render": {"core", "errors"},
    "knowledge": set(),
    "loading": {"files", "core", "errors"},
    "store": {"files", "core", "errors"},
    "recorded": {"files", "core", "errors"},
    "worksheets": {"loading", "files", "core", "errors"},
    "surveys": {"recorded", "loading", "files", "core", "errors"},
    "app": {
        "loading",
        "store",
        "recorded",
        "worksheets",
        "surveys",
        "files",
        "probes",
        "render",
        "core",
        "errors",
    },
    "cli": {"app", "files", "probes", "render", "core", "errors"},
    "bundle": set(),
    "__main__": {"bundle", "cli"},
    "__init__": set[str](),
}

# Modules that ask the operating system or the outside, which the core never does.
OF_THE_OS = {
    *("os", "sys", "platform", "subprocess", "socket", "ctypes", "psutil", "distro", "cpuinfo"),
    *("pathlib", "shutil", "glob", "io", "tempfile", "signal", "threading", "multiprocessing", "asyncio"),
    *("time", "locale", "getpass", "pwd", "grp", "winreg", "random", "secrets", "urllib", "http"),
    *("rich", "typer", "importlib"),
}
# Too slow to import for commands that do not need them; only inside the function that does.
HEAVY = {
    *("psutil", "distro", "cpuinfo", "packaging", "rich", "typer", "jsonschema"),
    *("ctypes", "subprocess", "decimal", "hashlib", "dataclasses", "jinja2", "markupsafe", "rfc8785"),
    *("holidays", "icalendar"),
}


def _name(path: Path) -> str:
    parts = path.relative_to(ROOT.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" and len(parts) > 2 else parts)


MODULES = {_name(path): path for path in sorted(ROOT.rglob("*.py"))}


def _room(module: str) -> str:
    return module.split(".")[1]


def _targets(node: ast.AST) -> list[tuple[str, str]]:
    """Modules that a node imports, each with the name taken from it, if any."""
    if isinstance(node, ast.Import):
        return [(alias.name, "") for alias in node.names]
    if isinstance(node, ast.ImportFrom):
        assert node.level == 0, "imports name the whole path"
        return [(node.module or "", alias.name) for alias in node.names]
    return []


def _imports(module: str) -> set[tuple[str, str]]:
    tree = ast.parse(MODULES[module].read_text(encoding="utf-8"))
    return {target for node in ast.walk(tree) for target in _targets(node)}


def _own(module: str) -> set[str]:
    """Modules of this package that a module imports, at its top or inside a function."""
    found = set()
    for source, name in _imports(module):
        if source.split(".")[0] == "pcaudit" and (source, name) != ("pcaudit", "__version__"):
            whole = f"{source}.{name}"
            found.add(whole if whole in MODULES else source)
    return found


@pytest.mark.parametrize("module", MODULES)
def test_a_room_imports_only_rooms_below_it(module: str) -> None:
    """No module reaches up, or sideways into a neighbouring room."""
    room = _room(module)
    rooms = {_room(own) for own in _own(module)}
    assert rooms - {room} <= BELOW[room]


@pytest.mark.parametrize("module", MODULES)
def test_only_app_and_cli_ask_the_package_root_and_only_its_version(module: str) -> None:
    """The package root is imported for its version, and by the two rooms that show it."""
    roots = {(source, name) for source, name in _imports(module) if source == "pcaudit"}
    versions = {target for target in roots if target == ("pcaudit", "__version__")}
    submodules = {(source, name) for source, name in roots if f"{source}.{name}" in MODULES}
    assert roots == versions | submodules
    assert not versions or _room(module) in ("app", "cli")


@pytest.mark.parametrize("module", [name for name in MODULES if _room(name) in ("core", "errors")])
def test_the_core_does_not_know_the_operating_system(module: str) -> None:
    """Evaluation gives the same answer on any OS: nothing in the core can ask it anything."""
    assert not {source.split(".")[0] for source, _ in _imports(module)} & OF_THE_OS


@pytest.mark.parametrize("module", MODULES)
def test_heavy_libraries_are_imported_where_they_are_used(module: str) -> None:
    """A command pays only for what it needs: no heavy library at the top of a module."""
    tree = ast.parse(MODULES[module].read_text(encoding="utf-8"))
    top = {source.split(".")[0] for node in tree.body for source, _ in _targets(node)}
    # A command line is made of typer's own parts, and a call of Windows of ctypes.
    allowed = {"typer"} if _room(module) == "cli" else set()
    allowed |= {"ctypes"} if module.startswith("pcaudit.probes.windows.calls.") else set()
    assert not top & (HEAVY - allowed)


def _needed_to_load(module: str) -> set[str]:
    """Modules of this package without which a module cannot be loaded."""
    tree = ast.parse(MODULES[module].read_text(encoding="utf-8"))
    targets = [target for node in tree.body for target in _targets(node)]
    return {f"{s}.{n}" if f"{s}.{n}" in MODULES else s for s, n in targets} & set(MODULES)


def test_imports_make_no_circle() -> None:
    """No module needs itself to be loaded, by whatever way round."""
    done: set[str] = set()

    def visit(module: str, way: tuple[str, ...]) -> None:
        assert module not in way, " -> ".join((*way, module))
        if module not in done:
            for own in sorted(_needed_to_load(module)):
                visit(own, (*way, module))
            done.add(module)

    for module in MODULES:
        visit(module, ())
    assert done == set(MODULES)


def test_every_import_of_the_package_exists() -> None:
    """A module that was renamed is renamed everywhere, in functions too."""
    missing = {(module, own) for module in MODULES for own in _own(module) if own not in MODULES}
    assert not missing
