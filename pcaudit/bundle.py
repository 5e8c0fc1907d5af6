"""Loads the modules a command needs from one file, where opening files is dear: on Windows.

There Python asks three questions and opens a file for each of a hundred modules, which takes longer than all
that pcaudit does. A bundle holds what Python itself compiled them to. It lies beside Python's own compiled
files, is made and kept by their rules (nothing is written where Python may not write those), and counts only
while every source beside those in it is as large and as old as when it was made. Else modules are loaded as
always, and it is made anew when the command has ended.

Modules of Python itself are in it where they lie in an archive, as in the embeddable Python. Where pcaudit
lies in an archive, the bundle is part of that: it was made with it, and is neither checked nor written.

Whatever this module imports is loaded without a bundle: nothing but what a bare Python has loaded already.
"""

import marshal
import os
import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any, Final

COMMANDS: "Final" = ("assess", "probe")
"""Commands that have a bundle: those that are run where somebody waits."""

_EARLIER: "Final" = frozenset(sys.modules)
_FOLDER: "Final" = os.path.dirname(__file__)
_SPEC: "Final[Any]" = __spec__
_HEAD: "Final" = 16  # bytes before the code in a compiled file (PEP 552)

_ARCHIVED: "Final" = ".zip" + os.sep in __file__

# Of a module: the folder or archive it is in, its file there, its code as it was compiled.
_Held = tuple[str, str, bytes]


class _Loader:
    """Finds and loads modules that are held, from wherever the archives lie by now."""

    def __init__(self, held: dict[str, _Held], archives: dict[str, str]) -> None:
        self.held = held
        self.archives = archives

    def find_spec(self, name: str, _path: object = None, _target: object = None) -> "Any":
        if name not in self.held:
            return None
        place, inner, _ = self.held[name]
        origin = os.path.join(self.archives.get(place, place), inner)
        spec = type(_SPEC)(name, self, origin=origin)
        if os.path.basename(origin).startswith("__init__."):
            spec.submodule_search_locations = [os.path.dirname(origin)]
        spec.has_location = True
        return spec

    def create_module(self, _spec: object) -> None:
        return None

    def exec_module(self, module: "Any") -> None:
        exec(marshal.loads(self.held[module.__name__][2]), module.__dict__)  # noqa: S102, S302

    def get_data(self, path: str) -> bytes:
        data: bytes = _SPEC.loader.get_data(path)
        return data


def file(command: str) -> str:
    """Where the bundle of a command lies."""
    return f"{os.path.splitext(_SPEC.cached or __file__)[0]}.{command}"


def stamps(places: list[str]) -> dict[str, tuple[int, int]]:
    """Time and size of every source in some folders, and of some archives.

    A folder's list holds both, so that its files need not be asked one by one.

    Raises:
        OSError: One of them is not there.
    """
    found = {}
    for place in places:
        if place.endswith(".zip"):
            about = os.stat(place)
            found[place] = about.st_mtime_ns, about.st_size
        else:
            for entry in os.scandir(place):
                if entry.name.endswith(".py"):
                    about = entry.stat()
                    found[entry.path] = about.st_mtime_ns, about.st_size
    return found


def _place(origin: str) -> tuple[str, str]:
    """The folder or archive a module's file lies in, and where in it."""
    archive, ending, inner = origin.partition(".zip" + os.sep)
    return (archive + ".zip", inner) if ending else os.path.split(origin)


def _compiled(spec: "Any", now: dict[str, tuple[int, int]]) -> bytes:
    """The code of a module as it was compiled.

    Raises:
        OSError: There is none.
        ValueError: Its source has changed since.
    """
    if _place(spec.origin)[0].endswith(".zip"):
        whole: bytes = spec.loader.get_data(spec.origin)
        return whole[_HEAD:]
    kept: bytes = spec.loader.get_data(spec.cached)
    time, size = now[spec.origin]
    # PEP 552: no flags, then time and size of the source, each in 32 bits.
    numbers = (0, time // 10**9 & 0xFFFFFFFF, size & 0xFFFFFFFF)
    if kept[4:_HEAD] != b"".join(number.to_bytes(4, "little") for number in numbers):
        raise ValueError(spec.origin)
    return kept[_HEAD:]


def _can_be_held(spec: "Any") -> bool:
    origin = getattr(spec, "origin", None) or ""
    if not getattr(spec, "has_location", False) or isinstance(spec.loader, _Loader):
        return False
    return origin.startswith(_FOLDER + os.sep) or (".zip" + os.sep in origin and origin.endswith(".pyc"))


def _maker() -> tuple[str, int, str]:
    return sys.version, sys.flags.optimize, "" if _ARCHIVED else _FOLDER


class Bundle:
    """The bundle of a command.

    Args:
        command: Of ``COMMANDS``.

    Attributes:
        held: What it holds, by name; nothing before it is used, or where it does not count.
    """

    def __init__(self, command: str) -> None:
        self.file = file(command)
        self.held: dict[str, _Held] = {}
        self._stamps: dict[str, tuple[int, int]] = {}

    def use(self) -> None:
        """Load modules from it from now on, if it counts."""
        try:
            maker, places, then, held = marshal.loads(_SPEC.loader.get_data(self.file))  # noqa: S302
            if maker != _maker() or then != stamps(places):
                return
        except (OSError, EOFError, ValueError, TypeError):
            return
        self.held, self._stamps = held, then
        archives = {os.path.basename(place): place for place in sys.path} if _ARCHIVED else {}
        sys.meta_path.insert(0, _Loader(held, archives))

    def keep(self) -> None:
        """Make it anew where modules were loaded that it does not hold."""
        if sys.dont_write_bytecode or _ARCHIVED:
            return
        later = {*sys.modules} - _EARLIER - self.held.keys()
        specs: dict[str, Any] = {name: getattr(sys.modules[name], "__spec__", None) for name in later}
        missing = {name: spec for name, spec in specs.items() if _can_be_held(spec)}
        if not missing:
            return
        try:
            self._write(missing)
        except (OSError, ValueError):  # it is only a help
            return

    def _write(self, missing: "dict[str, Any]") -> None:
        new = {_place(spec.origin)[0] for spec in missing.values()}
        places = sorted(new | {one[0] for one in self.held.values()})
        now = stamps(places)
        if any(now.get(path) != stamp for path, stamp in self._stamps.items()):
            return  # a source changed while this ran: what is held is old
        held = dict(self.held)
        for name, spec in missing.items():
            held[name] = *_place(spec.origin), _compiled(spec, now)
        _write_whole(self.file, marshal.dumps([_maker(), places, now, held]))


def _write_whole(path: str, data: bytes) -> None:
    """Write a file whole or not at all: two runs may end together."""
    temporary = f"{path}.{os.getpid()}"
    try:
        with open(temporary, "xb") as out:
            out.write(data)
        os.replace(temporary, path)
    except OSError:
        if os.path.exists(temporary):
            os.unlink(temporary)
        raise
