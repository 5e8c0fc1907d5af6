"""Reading and judging many snapshots on all cores: one that is broken costs nothing else.

Snapshots are found first, then judged in chunks; of each only what it came to is kept, so that memory
does not grow with what the files hold. Processes are started anew, as every system can do it.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, Final, NamedTuple, TypeVar

from pcaudit.core.choose import Asked, ask
from pcaudit.core.json_text import parse_json
from pcaudit.core.profile import ProfileSource
from pcaudit.core.survey import Heading, Survey, newest, words_of
from pcaudit.core.survey_changes import OneChange, changes_of
from pcaudit.core.survey_json import quick_json
from pcaudit.core.survey_pc import NotRead, Pc, Place, Surveyor
from pcaudit.core.visible import visible
from pcaudit.errors import PcauditError, UsageError
from pcaudit.files import JSON_LIMIT, read_bytes, read_source
from pcaudit.loading import needed_by, tables
from pcaudit.recorded import profiles_of

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future

CHUNK: Final = 50
"""Snapshots that a process is given at once."""

FEW: Final = 150
"""Snapshots up to which other processes would take longer to start than they save."""

GROUPS: Final = 200
"""Ways of falling short for which a change is looked for, the commonest first: each takes some 50 ms."""

_LINES: Final = (".jsonl", ".ndjson")
_GARBAGE_AFTER: Final = 500_000

Progress = Callable[[int, int], None]
"""Is told how many snapshots were judged, and of how many."""


class Edition(NamedTuple):
    """Profiles and what was chosen of them, so that another process can compile them anew.

    Attributes:
        sources: Every file, what another is based on too.
        asked: Positions of those that were asked for.
        options: Names chosen.
        values: Text of each parameter chosen.
    """

    sources: tuple[ProfileSource, ...]
    asked: tuple[int, ...]
    options: tuple[str, ...]
    values: dict[str, str]


class Job(NamedTuple):
    """What is held against what.

    Attributes:
        edition, against: The profiles; ``against`` is None without another edition.
        what_if: What is supposed, by reading.
        knowledge: Folder of knowledge files; empty for the shipped ones.
        changes: Whether to look for the one change with which PCs that nearly pass would pass.
    """

    edition: Edition
    against: Edition | None
    what_if: dict[str, Any]
    knowledge: str
    changes: bool = True


def edition(asked: Sequence[Asked], options: Sequence[str], values: dict[str, str]) -> Edition:
    """Profiles as another process is given them."""
    sources = {one.path: one for each in asked for one in each.profile.sources}
    places = {path: number for number, path in enumerate(sources)}
    return Edition(
        tuple(sources.values()), tuple(places[each.profile.path] for each in asked), tuple(options), values
    )


def _asked(one: Edition) -> tuple[Asked, ...]:
    return ask(profiles_of(one.sources, one.asked), one.options, one.values)


def surveyor(job: Job) -> Surveyor:
    """Compile what is asked, once for a process."""
    asked = _asked(job.edition)
    against = None if job.against is None else _asked(job.against)
    known = tables(needed_by((*asked, *(against or ()))), job.knowledge)
    return Surveyor(asked, against, job.what_if, known)


# -- finding snapshots


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def _of_folder(folder: str, broken: list[NotRead]) -> Iterator[str]:
    try:
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError as error:
        broken.append(NotRead(folder, f"the folder cannot be read: {_reason(error)}"))
        return
    for entry in entries:
        try:
            inside = entry.is_dir(follow_symlinks=False)
            linked = not inside and entry.is_dir()
        except OSError:  # a link that leads in a circle: reading it will say so
            inside = linked = False
        if linked:
            broken.append(NotRead(entry.path, "a link to a folder: links to folders are not followed"))
        elif inside:
            yield from _of_folder(entry.path, broken)
        else:
            yield entry.path


def _is_lines(path: str) -> bool:
    """Whether a file named alone has one snapshot in each line: its first line is one by itself."""
    if path.lower().endswith(_LINES):
        return True
    try:
        with open(path, "rb") as file:
            first = file.readline(JSON_LIMIT)
            return first.startswith(b"{") and quick_json(first) is not None and bool(file.readline(2))
    except OSError:
        return False


def _of_lines(path: str, broken: list[NotRead]) -> Iterator[Place]:
    try:
        with open(path, "rb") as file:
            if file.read(2) in (b"\xff\xfe", b"\xfe\xff"):
                broken.append(NotRead(path, "UTF-16: save lines of JSON as UTF-8"))
                return
            file.seek(0)
            start = number = 0
            while line := file.readline(JSON_LIMIT + 1):
                number += 1
                size = len(line)
                if size > JSON_LIMIT:
                    broken.append(NotRead(f"{path}:{number}", f"larger than {JSON_LIMIT >> 20} MiB"))
                    while not line.endswith(b"\n") and (line := file.readline(JSON_LIMIT)):
                        size += len(line)
                elif line.strip(b"\xef\xbb\xbf \t\r\n"):
                    yield Place(f"{path}:{number}", path, start, size)
                start += size
    except OSError as error:
        broken.append(NotRead(path, f"cannot be read: {_reason(error)}"))


def find(path: str) -> tuple[list[Place], list[NotRead]]:
    """Find the snapshots in a folder and the folders in it, or in a file.

    Args:
        path: A folder, a file of JSON Lines or one snapshot.

    Returns:
        Where they lie, and what cannot be looked into.

    Raises:
        UsageError: There is no such folder or file, or the folder holds no file.
    """
    broken: list[NotRead] = []
    found: list[Place] = []
    if os.path.isdir(path):
        for one in _of_folder(path, broken):
            if one.lower().endswith(_LINES):
                found += _of_lines(one, broken)
            else:
                found.append(Place(one, one))
    elif os.path.exists(path):
        found = list(_of_lines(path, broken)) if _is_lines(path) else [Place(path, path)]
    else:
        raise UsageError(
            f"{visible(path)}: no such folder or file", next_step="name a folder of snapshots, or a file"
        )
    if not found and not broken:
        raise UsageError(
            f"{visible(path)} holds no snapshot", next_step="fill it with: pcaudit probe --output FILE"
        )
    return found, broken


# -- reading one


def _bytes(place: Place) -> bytes:
    if place.start >= 0:
        with open(place.path, "rb") as file:
            file.seek(place.start)
            return file.read(place.size)
    seen = os.stat(place.path)
    if stat.S_ISFIFO(seen.st_mode):  # nobody waits for what may never come
        raise UsageError("a pipe, not a file")
    if seen.st_size > JSON_LIMIT:  # before half of it is in memory
        raise UsageError(f"larger than {JSON_LIMIT >> 20} MiB")
    return read_bytes(place.path, JSON_LIMIT)


def read(place: Place) -> Any:
    """Read a snapshot's JSON.

    Raises:
        UsageError: It cannot be read, or is no JSON.
        OSError: It cannot be read.
    """
    raw = _bytes(place)
    data = quick_json(raw)
    if data is not None:
        return data
    if place.start < 0:
        return parse_json(read_source(place.path, JSON_LIMIT).text, place.file)
    try:
        return parse_json(raw.decode("utf-8-sig"), place.file)
    except UnicodeDecodeError as error:
        raise UsageError(f"byte {error.start} of the line is not UTF-8") from None


def _why(error: Exception, place: Place) -> str:
    """Why a snapshot was not read, without the name that stands beside it."""
    if isinstance(error, PcauditError):
        text = error.message
        for lead in (f"{visible(place.file)}: ", f"{place.file}: ", f"{visible(place.file)} "):
            text = text.removeprefix(lead)
        at = error.place
        return f"line {at.line}, column {at.column}: {text}" if at and at.line and place.start < 0 else text
    if isinstance(error, OSError):
        return f"cannot be read: {_reason(error)}"
    return "too large to be read into memory here"


def _one(judge: Surveyor, place: Place) -> Pc | NotRead:
    try:
        return judge.judge(read(place), place)
    except (PcauditError, OSError, MemoryError) as error:
        return NotRead(place.file, _why(error, place))


# -- processes

_judge: Surveyor | None = None


def _start(job: Job) -> None:
    """Make a process ready: interrupts are for the one that started it."""
    import gc
    import signal

    global _judge
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(_GARBAGE_AFTER)
    _judge = surveyor(job)


def _chunk(places: Sequence[Place]) -> list[tuple[Any, ...] | str]:
    """What is sent back: without the place, which is known there; of what was not read only why."""
    assert _judge is not None
    found = [_one(_judge, place) for place in places]
    return [one.why if isinstance(one, NotRead) else tuple(one)[1:] for one in found]


class _Kept:
    """Makes results of what another process sent; equal texts are kept once, so that memory stays flat."""

    def __init__(self) -> None:
        self._texts: dict[str, str] = {}

    def made(self, places: Sequence[Place], sent: Sequence[tuple[Any, ...] | str]) -> list[Pc | NotRead]:
        once = self._texts
        return [
            NotRead(place.file, one)
            if isinstance(one, str)
            else Pc(
                place,
                one[0],
                one[1] and once.setdefault(one[1], one[1]),
                one[2],
                one[3],
                *[once.setdefault(each, each) for each in one[4:]],
            )
            for place, one in zip(places, sent, strict=True)
        ]


def _alike(places: Sequence[Place]) -> list[OneChange | None]:
    assert _judge is not None
    return _changes(_judge, places)


def _changes(judge: Surveyor, places: Sequence[Place]) -> list[OneChange | None]:
    try:
        return changes_of(judge.asked, judge.verdicts, map(read, places), judge.knowledge)
    except (PcauditError, OSError):  # it was there a moment ago
        return [None] * len(places)


_Given = TypeVar("_Given")
_Got = TypeVar("_Got")


def _streamed(
    pool: Executor, work: Callable[[_Given], _Got], given: Iterable[_Given], at_once: int
) -> Iterator[_Got]:
    """Results in the order of what was given, never more than a few waiting."""
    waiting: list[Future[_Got]] = []
    for one in given:
        waiting.append(pool.submit(work, one))
        if len(waiting) >= at_once:
            yield waiting.pop(0).result()
    while waiting:
        yield waiting.pop(0).result()


class Workers:
    """Judges snapshots, in this process or in several.

    Args:
        job: What is held against what.
        jobs: How many processes at most.
        number: How many snapshots there are.
    """

    def __init__(self, job: Job, jobs: int, number: int) -> None:
        self._jobs = min(jobs, -(-number // CHUNK)) if number > FEW else 1
        self._pool: Any = None
        self._judge: Surveyor | None = None
        if self._jobs > 1:
            from concurrent.futures import ProcessPoolExecutor
            from multiprocessing import get_context

            self._pool = ProcessPoolExecutor(self._jobs, get_context("spawn"), _start, (job,))
        else:
            self._judge = surveyor(job)

    def judged(self, places: Sequence[Place], progress: Progress) -> Iterator[Pc | NotRead]:
        """What each snapshot came to, in order."""
        chunks = [places[at : at + CHUNK] for at in range(0, len(places), CHUNK)]
        done, kept = 0, _Kept()
        if self._pool is None:
            results = ([_one(self._here, place) for place in one] for one in chunks)
        else:
            sent = self._map(_chunk, _chunk, chunks)
            results = (kept.made(one, found) for one, found in zip(chunks, sent, strict=True))
        for found in results:
            done += len(found)
            progress(done, len(places))
            yield from found

    def changes(self, groups: Sequence[Sequence[Place]]) -> Iterator[list[OneChange | None]]:
        """The one change for each PC of groups that fall short alike."""
        return self._map(_alike, lambda one: _changes(self._here, one), groups)

    @property
    def _here(self) -> Surveyor:
        assert self._judge is not None
        return self._judge

    def _map(
        self, there: Callable[[_Given], _Got], here: Callable[[_Given], _Got], given: Iterable[_Given]
    ) -> Iterator[_Got]:
        if self._pool is None:
            yield from map(here, given)
            return
        from concurrent.futures.process import BrokenProcessPool

        try:
            yield from _streamed(self._pool, there, given, self._jobs * 4)
        except BrokenProcessPool:
            raise UsageError(
                "a process that judges snapshots was ended from outside", next_step="try again with --jobs 1"
            ) from None

    def close(self) -> None:
        """End the processes; what they have not begun is left."""
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)

    def stop(self) -> None:
        """End the processes at once, whatever they are doing."""
        if self._pool is not None:
            from multiprocessing import active_children

            for process in active_children():
                process.terminate()
            self._pool.shutdown(wait=True, cancel_futures=True)


def cores() -> int:
    """How many processors this process may use."""
    try:
        return len(os.sched_getaffinity(0))  # type: ignore[attr-defined, unused-ignore]
    except AttributeError:  # Windows, macOS
        return os.cpu_count() or 1


def groups_of(pcs: Sequence[Pc]) -> list[list[int]]:
    """Positions of PCs that fall short alike and may be mended by one change, the largest group first."""
    found: dict[str, list[int]] = {}
    for index, pc in enumerate(pcs):
        if pc.near:
            found.setdefault(pc.codes, []).append(index)
    return sorted(found.values(), key=lambda group: (-len(group), group[0]))


def survey(path: str, job: Job, heading: Heading, jobs: int, progress: Progress) -> Survey:
    """Judge every snapshot of a folder or file.

    Args:
        path: The folder or file.
        job: What is held against what.
        heading: What the survey says of itself.
        jobs: Processes at most; 0 for as many as there are processors.
        progress: Is told how far it is.

    Raises:
        UsageError: There is nothing to judge, or what is asked cannot be used.
    """
    asked = _asked(job.edition)
    against = () if job.against is None else words_of(_asked(job.against))
    places, broken = find(path)
    workers = Workers(job, jobs or cores(), len(places))
    try:
        pcs = []
        for found in workers.judged(places, progress):
            if isinstance(found, NotRead):
                broken.append(found)
            else:
                pcs.append(found)
        kept, superseded = newest(pcs)
        changes, unsought = _sought(kept, workers, GROUPS if job.changes else 0)
        workers.close()
    except BaseException:
        workers.stop()
        raise
    broken.sort(key=lambda one: one.file)
    return Survey(
        heading,
        words_of(asked),
        against,
        tuple(kept),
        changes,
        tuple(superseded),
        tuple(broken),
        unsought,
    )


def _sought(pcs: Sequence[Pc], workers: Workers, most: int) -> tuple[tuple[OneChange | None, ...], int]:
    """The one change for each PC, and for how many none was looked for."""
    groups = groups_of(pcs)
    changes: list[OneChange | None] = [None] * len(pcs)
    looked = groups[:most]
    found = workers.changes([[pcs[index].place for index in group] for group in looked])
    for group, ones in zip(looked, found, strict=True):
        for index, one in zip(group, ones, strict=True):
            changes[index] = one
    return tuple(changes), sum(map(len, groups[most:]))
