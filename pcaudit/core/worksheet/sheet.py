"""Worksheets: what only the lab knows, read from TOML section by section."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from pcaudit.core.places import Path
from pcaudit.core.worksheet.arrangements import Answers, read_arrangements
from pcaudit.core.worksheet.installation import Installation, Use, read_installation, read_use
from pcaudit.core.worksheet.people import People, read_people
from pcaudit.core.worksheet.reader import Reader
from pcaudit.errors import Mistake, MistakesError, Place

if TYPE_CHECKING:
    from pcaudit.core.worksheet.backup import Backup
    from pcaudit.core.worksheet.calendar import WorkCalendar
    from pcaudit.core.worksheet.data import Data
    from pcaudit.core.worksheet.network import Network
    from pcaudit.core.worksheet.place import Site
    from pcaudit.core.worksheet.tasks import Tasks

FORMAT: Final = 1
"""Newest worksheet format this version reads."""

_HEAD: Final = ("format", "title", "note")
SECTIONS: Final = (
    "installation",
    "use",
    "people",
    "calendar",
    "arrangements",
    "data",
    "backup",
    "place",
    "network",
    "tasks",
)
"""Sections of a worksheet."""


class Worksheet(NamedTuple):
    """A worksheet as it was read.

    Attributes:
        path: As given.
        title: Its own.
        sha256: SHA-256 of its file, in hexadecimal.
        text: Its text.
        installation: Day, site, service life.
        use: Profiles and choices.
        people: Whom it names.
        arrangements: Its answers to arrangements.
        data, backup: What is acquired, and how it is backed up.
        place, network: What surrounds the PC.
        calendar, tasks: Working days, and work to be done.
    """

    path: str
    title: str
    sha256: str
    text: str
    installation: Installation
    use: Use
    people: People
    arrangements: Answers
    data: Data
    backup: Backup
    place: Site
    network: Network
    calendar: WorkCalendar
    tasks: Tasks


def read_worksheet(
    data: Mapping[str, Any],
    path: str,
    place: Callable[[Path], Place],
    *,
    sha256: str = "",
    text: str = "",
) -> Worksheet:
    """Make a worksheet of a parsed document.

    Args:
        data: The document as ``tomllib`` gives it.
        path: Its file name as the person gave it.
        place: Finds the place of a key in the file.
        sha256: Digest of the file.
        text: The file's text.

    Returns:
        The worksheet; what it leaves blank is unanswered.

    Raises:
        MistakesError: Every mistake of meaning in it, at once.
    """
    # Imported here so that who reads no worksheet pays for none of them.
    from pcaudit.core.worksheet.backup import read_backup
    from pcaudit.core.worksheet.calendar import read_calendar
    from pcaudit.core.worksheet.data import read_data
    from pcaudit.core.worksheet.network import read_network
    from pcaudit.core.worksheet.place import read_place
    from pcaudit.core.worksheet.tasks import read_tasks

    reader = Reader(path, place)
    title = _head(reader, data)
    people = read_people(reader, data)
    sheet = Worksheet(
        path=path,
        title=title,
        sha256=sha256,
        text=text,
        installation=read_installation(reader, data),
        use=read_use(reader, data),
        people=people,
        arrangements=read_arrangements(reader, data, people),
        data=read_data(reader, data),
        backup=read_backup(reader, data),
        place=read_place(reader, data),
        network=read_network(reader, data),
        calendar=read_calendar(reader, data),
        tasks=read_tasks(reader, data),
    )
    if reader.mistakes:
        raise MistakesError(path, sorted(reader.mistakes, key=_position))
    return sheet


def _head(reader: Reader, data: Mapping[str, Any]) -> str:
    form = data.get("format")
    if "format" not in data:
        reader.wrong((), "a worksheet begins with its format", f"write format = {FORMAT} as its first line")
    elif not isinstance(form, int) or isinstance(form, bool) or form < 1:
        reader.wrong(("format",), "the format is a number from 1 up", f"write format = {FORMAT}")
    elif form > FORMAT:
        hint = f"this version of pcaudit reads up to format {FORMAT}: use a newer one"
        reader.wrong(("format",), f"worksheet format {form} is newer than this version", hint)
    title = reader.text(data, (), "title")
    if "title" not in data:
        reader.wrong((), "a worksheet has a title", 'write title = "..." near its top')
    reader.text(data, (), "note")
    reader.known(data, (), (*_HEAD, *SECTIONS))
    return title


def _position(mistake: Mistake) -> tuple[int, int]:
    return (mistake.place.line, mistake.place.column) if mistake.place else (0, 0)
