"""What a double-click does: reads this PC, keeps what was read, and says where it is.

    python -m double_click assess|snapshot [--do-not-open]

``assess`` takes a profile from the folder ``profiles`` beside the starters, and asks which where there are
several. Results go into the user's own Documents folder, since the stick may be write-protected. Nothing else
on the PC is written to. The exit code is that of ``pcaudit assess``; 2 where nothing could be done.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Final

FORMATS: Final = (("text", "txt"),)
"""Formats of the report and their file endings; the last one written is opened."""

_DONE: Final = (0, 3, 4)
_OUTCOMES: Final = {0: "READY", 3: "NOT READY", 4: "INCONCLUSIVE"}
_TRIES: Final = 5


def say(text: str) -> None:
    """Tell the person at the window."""
    print(text, flush=True)  # noqa: T201


def profiles(folder: Path) -> list[Path]:
    """The profiles in a folder, in the order of their names; those in folders below are left alone."""
    if not folder.is_dir():
        return []
    found = [path for path in folder.iterdir() if path.suffix.lower() == ".toml" and path.is_file()]
    return sorted(found, key=lambda path: path.name.casefold())


def title(path: Path) -> str:
    """The title of a profile; empty where it cannot be read, which ``assess`` will say in full."""
    import tomllib

    from pcaudit.core.visible import visible

    try:
        found = tomllib.loads(path.read_text(encoding="utf-8-sig")).get("title")
    except (OSError, ValueError, RecursionError):
        return ""
    return visible(found, 60) if isinstance(found, str) else ""


def choose(found: list[Path], ask: Callable[[str], str]) -> Path | None:
    """The profile a person chooses by its number; the only one without asking.

    Args:
        found: The profiles, at least one.
        ask: Shows a question and gives the answer; raises EOFError where there is nobody to ask.
    """
    from pcaudit.core.visible import visible

    if len(found) == 1:
        return found[0]
    for number, path in enumerate(found, 1):
        say(f"  {number}  {title(path) or 'profile that cannot be read'} ({visible(path.name)})")
    for _ in range(_TRIES):
        try:
            answer = ask(f"Which profile (1 to {len(found)})? ").strip()
        except EOFError:
            break
        if answer.isascii() and answer.isdigit() and 1 <= int(answer) <= len(found):
            return found[int(answer) - 1]
    return None


def results_folder(environ: Mapping[str, str]) -> Path | None:
    """The first folder the user may write to: Documents, else the one for temporary files."""
    candidates = []
    if environ.get("USERPROFILE"):
        candidates.append(Path(environ["USERPROFILE"]) / "Documents")
    candidates += [Path(environ[name]) for name in ("TEMP", "TMP") if environ.get(name)]
    for folder in candidates:
        try:
            with tempfile.TemporaryFile(dir=folder):
                return folder
        except OSError:
            continue
    return None


def stem(environ: Mapping[str, str], now: datetime) -> str:
    """Name of the results: the PC's own and the moment, in characters every file system takes."""
    computer = "".join(c if c.isalnum() or c in "-_" else "-" for c in environ.get("COMPUTERNAME", ""))
    return f"pcaudit {computer or 'PC'} {now:%Y-%m-%d %H%M%S}"


def _open(path: Path) -> None:
    opener: Callable[[Path], None] | None = getattr(os, "startfile", None)
    try:
        if opener:
            opener(path)
    except OSError:
        say("Windows has no program for this file: open it with an editor.")


def _report(profile: Path, snapshot: Path) -> tuple[int, Path | None]:
    from pcaudit.cli.main import run

    code, written = 2, None
    for name, ending in FORMATS:
        report = snapshot.with_suffix(f".{ending}")
        code = run(["assess", str(profile), str(snapshot), "--format", name, "-o", str(report), "-q"])
        if code not in _DONE:
            return code, None
        written = report
    return code, written


def work(what: str, top: Path, ask: Callable[[str], str], show: Callable[[Path], None]) -> int:
    """Do what a starter is for.

    Args:
        what: ``assess`` or ``snapshot``.
        top: The folder of the starters.
        ask: As for ``choose``.
        show: Opens a file for the person.

    Returns:
        The exit code.
    """
    from pcaudit.cli.main import run

    profile = None
    if what == "assess":
        found = profiles(top / "profiles")
        if not found:
            say(f"There is no profile in {top / 'profiles'}.")
            say("Put the requirements profile (a .toml file) there; examples are in the folder examples.")
            return 2
        profile = choose(found, ask)
        if profile is None:
            say("No profile was chosen, so nothing was done.")
            return 2
    folder = results_folder(os.environ)
    if folder is None:
        say("Neither Documents nor the folder for temporary files can be written to.")
        return 2
    snapshot = folder / f"{stem(os.environ, datetime.now())}.json"
    say("Reading this PC. Nothing on it is changed.")
    code = run(["probe", "-o", str(snapshot), "-q"])
    if code:
        return code
    report = None
    if profile:
        code, report = _report(profile, snapshot)
    say("")
    if report:
        say(f"{_OUTCOMES[code]}, by {profile.name if profile else ''}")
        say(f"Report:   {report}")
    say(f"Snapshot: {snapshot}")
    if report:
        show(report)
    return code


def main() -> None:
    """Entry point."""
    from pcaudit.bundle import Bundle

    Bundle("assess").use()
    from pcaudit.cli.streams import ready

    ready()
    what = sys.argv[1]
    show = (lambda _path: None) if "--do-not-open" in sys.argv[2:] else _open
    # python.exe lies in the folder python beside the starters.
    sys.exit(work(what, Path(sys.executable).parent.parent, input, show))


if __name__ == "__main__":
    main()
