"""Volumes: which there are, and how large, without waiting for a server that is gone."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable
from typing import Final, NamedTuple, TypeVar

from pcaudit.probes.windows.calls.storage import NoMediumError
from pcaudit.probes.windows.host import Host

# GetDriveTypeW, fileapi.h.
UNKNOWN, NO_ROOT, REMOVABLE, FIXED, REMOTE, OPTICAL, MEMORY = range(7)
# A drive letter for a folder (subst): QueryDosDeviceW names the folder itself after this.
_FOLDER: Final = "\\??\\"
_SAME: Final = 0.98
"""How much of its place on the drives a file system gives out: the rest is its own. Common practice,
no source."""

_Given = TypeVar("_Given")


class Space(NamedTuple):
    """Bytes of a volume: in all, still free for an ordinary user, and taken; None where unknown."""

    size: int | None = None
    free: int | None = None
    used: int | None = None


class Place(NamedTuple):
    r"""Where files can be kept.

    Attributes:
        mount: Letter or folder it is mounted at, such as ``D:\``.
        device: To be opened to ask about its drives, empty where there is none.
        kind: As GetDriveTypeW says.
        file_system: Empty where it gives none.
        space: Its sizes.
        doubt: Why it could not be read, empty where it was.
    """

    mount: str
    device: str = ""
    kind: int = UNKNOWN
    file_system: str = ""
    space: Space = Space()
    doubt: str = ""


def space(given: tuple[int, int, int], taken: int) -> Space:
    """Sizes from what GetDiskFreeSpaceExW answers.

    Args:
        given: Bytes free for the caller, in all for the caller, free for anybody.
        taken: Bytes the volume takes on its drives, 0 where unknown.

    Returns:
        Under a disk quota the caller's size is the quota: then size and used are unknown, unless
        the place on the drives shows that the size is the volume's own.
    """
    available, total, free = given
    if not total or available > total:
        return Space()
    whole = taken > 0 and total >= taken * _SAME
    if available != free and not whole:
        return Space(None, available, None)
    return Space(total, available, total - free if 0 <= free <= total else None)


def in_time(ask: Callable[[], _Given], patience: float) -> Callable[[], _Given | None]:
    """Start asking in a thread of its own; what comes back gives the answer, None if it is late.

    Nobody can be called back from a question to a dead server: the thread is left behind.

    Args:
        ask: The question. What it raises counts as no answer.
        patience: Seconds from now.
    """
    answers: list[_Given] = []
    end = time.monotonic() + patience

    def keep() -> None:
        try:
            answers.append(ask())
        except Exception:  # the reason is told by whoever knows what was asked
            return

    thread = threading.Thread(target=keep, daemon=True)
    thread.start()

    def answer() -> _Given | None:
        thread.join(max(0.0, end - time.monotonic()))
        return answers[0] if answers else None

    return answer


def _shortest(points: Iterable[str]) -> str:
    return min(points, key=lambda point: (len(point), point), default="")


class Mounted(NamedTuple):
    """The local volumes that are mounted.

    Attributes:
        devices: Of each volume by the letter or folder it is mounted at, the shortest counting.
        points: Everything volumes are mounted at.
        missing: What may not be among them, and why; empty where nothing is.
    """

    devices: dict[str, str]
    points: frozenset[str]
    missing: str


def mounted(host: Host) -> Mounted:
    """The local volumes that the mount manager knows and has given a place."""
    devices: dict[str, str] = {}
    points: set[str] = set()
    missing: list[str] = []
    try:
        names = host.storage.volumes()
    except OSError as error:
        return Mounted({}, frozenset(), f"volumes in folders may be missing: {error}")
    for name in names:
        try:
            own = host.storage.mount_points(name)
        except OSError as error:
            missing.append(f"{name} may be missing: {error}")
            continue
        points.update(own)
        if own:
            devices[_shortest(own)] = name.rstrip("\\")
    return Mounted(devices, frozenset(points), "; ".join(missing))


def _read(host: Host, mount: str, device: str, kind: int, taken: int) -> Place | None:
    """One place; None where it holds no files: no medium, an optical disc, memory."""
    if kind in {OPTICAL, MEMORY}:
        return None
    if kind == NO_ROOT:
        return Place(mount, device, UNKNOWN, doubt="nothing answers there")
    place = Place(mount, device, kind)
    try:
        file_system = host.storage.file_system(mount)
        sizes = space(host.storage.space(mount), taken)
    except NoMediumError:
        return None
    except OSError as error:
        return place._replace(doubt=str(error))
    return place._replace(file_system=file_system, space=sizes)


def _share(target: str) -> str:
    """The same text for letters of the same share: without the letter a redirector keeps with it."""
    redirector, semicolon, rest = target.partition(";")
    return redirector + rest.partition("\\")[2] if semicolon else target


def _other_letters(host: Host, known: frozenset[str]) -> list[str]:
    """Letters that are no mount points of local volumes: network drives, and what drivers make up.

    Raises:
        OSError: Windows does not list its letters.
    """
    found: dict[str, str] = {}
    for letter in host.storage.letters():
        if letter in known:
            continue
        try:
            target = host.storage.device(letter.rstrip("\\"))
        except OSError:
            target = letter
        # The same space under a second name (subst) is listed already.
        if not target.startswith(_FOLDER):
            found.setdefault(_share(target), letter)
    return list(found.values())


def _asked(
    host: Host, mount: str, device: str, taken: Callable[[str], int], patience: float
) -> Callable[[], Place | None]:
    """Start asking about one place; what comes back gives it."""
    kinds: list[int] = []

    def ask() -> tuple[Place | None]:
        # The kind alone is quick; it is kept at once, so that a dead server is at least known as one.
        kinds.append(host.storage.kind(mount))
        return (_read(host, mount, device, kinds[0], taken(device) if device else 0),)

    rest = in_time(ask, patience)

    def answer() -> Place | None:
        given = rest()
        if given is not None:
            return given[0]
        kind = kinds[0] if kinds else UNKNOWN
        return Place(mount, device, kind, doubt=f"no answer within {patience:g} s")

    return answer


def places(
    host: Host, local: Mounted, taken: Callable[[str], int], patience: float
) -> tuple[list[Place], str]:
    r"""Every place files can be kept, the same space once, and what may be missing.

    Args:
        host: The host.
        local: The volumes that are mounted.
        taken: Bytes a volume takes on its drives, by its device.
        patience: Seconds for all places together; each is asked in a thread of its own.
    """
    missing = local.missing
    asked = dict(local.devices)
    try:
        asked.update((letter, "") for letter in _other_letters(host, local.points))
    except OSError as error:
        missing = f"{missing}; network drives may be missing: {error}".removeprefix("; ")
    waiting = [_asked(host, mount, device, taken, patience) for mount, device in asked.items()]
    return [place for place in (answer() for answer in waiting) if place is not None], missing


def protections(host: Host, mounts: Iterable[str], patience: float) -> Callable[[], dict[str, int]]:
    """Start asking for the shell's word on BitLocker; what comes back gives it, late ones left out.

    Args:
        host: The host.
        mounts: Letters, the most important first: they are asked one after the other.
        patience: Seconds from now, all letters together.
    """
    found: dict[str, int] = {}

    def ask() -> bool:
        for mount in mounts:
            try:
                found[mount] = host.storage.protection(mount)
            except OSError:
                continue
        return True

    wait = in_time(ask, patience)

    def answer() -> dict[str, int]:
        wait()
        return dict(found)

    return answer
