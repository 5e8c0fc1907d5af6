"""Reading and writing every file: profiles, worksheets, snapshots, reports, knowledge.

What comes from outside is read with a limit and refused in one sentence that says where and
what would be right. What is written is written whole or not at all.
"""

from __future__ import annotations

import os
import stat
import sys
from typing import TYPE_CHECKING, Any, BinaryIO, Final, NamedTuple

from pcaudit.core.visible import visible
from pcaudit.errors import Place, UsageError

if TYPE_CHECKING:
    from pcaudit.core.places import Path, Places

TOML_LIMIT: Final = 1 << 20
"""Most bytes of a file that people write."""

JSON_LIMIT: Final = 64 << 20
"""Most bytes of a file that pcaudit writes: a snapshot of a crowded PC has one hundredth."""

PIPE_SECONDS: Final = 60.0
"""How long a named pipe may stay silent: a probe of another PC may be at its other end."""

_CHUNK: Final = 1 << 20
_SAVE_UTF8: Final = "save it as UTF-8 in the editor"


class Source(NamedTuple):
    """A file as it was read.

    Attributes:
        path: As the person gave it, ``-`` for standard input.
        raw: Its bytes.
        text: Its text without a byte-order mark, line ends as in the file.
    """

    path: str
    raw: bytes
    text: str


class Document(NamedTuple):
    """A TOML file as it was read.

    Attributes:
        path: As the person gave it, ``-`` for standard input.
        text: Its text without a byte-order mark, line ends as in the file.
        data: What ``tomllib`` makes of it.
        sha256: SHA-256 of its bytes, in hexadecimal.
        places: Where its keys stand.
    """

    path: str
    text: str
    data: dict[str, Any]
    sha256: str
    places: Places

    def place(self, path: Path) -> Place:
        """The place of a key or array item, or of its nearest parent.

        Args:
            path: As in ``data``: names, and indexes into arrays.
        """
        from pcaudit.core.places import place_in

        return place_in(self.places, name(self.path), self.places.offset(path))


# -- reading bytes


def name(path: str) -> str:
    """The name under which places speak of what is read from ``path``."""
    return "standard input" if path == "-" else path


def _shown(path: str) -> str:
    return visible(name(path))


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def _refuse_kind(path: str, mode: int) -> None:
    if stat.S_ISDIR(mode):
        raise UsageError(f"{_shown(path)} is a folder", next_step="name a file in it")
    if not (stat.S_ISREG(mode) or stat.S_ISFIFO(mode)):
        raise UsageError(
            f"{_shown(path)} is a device, not a file", next_step="name a file, or - for standard input"
        )


def _too_large(path: str, limit: int) -> UsageError:
    return UsageError(
        f"{_shown(path)} is larger than {limit >> 20} MiB", next_step="this is not a file pcaudit can use"
    )


def _wait(descriptor: int, path: str) -> None:
    if os.name == "nt":
        return  # select takes only sockets there
    import select

    if not select.select([descriptor], [], [], PIPE_SECONDS)[0]:
        raise UsageError(
            f"nothing came through the pipe {_shown(path)} in {PIPE_SECONDS:.0f} seconds",
            next_step="start what writes to it first",
        )


def _read_open(descriptor: int, path: str, limit: int) -> bytes:
    # Again on what is open now: between asking and opening it may have been exchanged.
    mode = os.fstat(descriptor).st_mode
    _refuse_kind(path, mode)
    parts: list[bytes] = []
    left = limit + 1
    while left > 0:
        if stat.S_ISFIFO(mode):
            _wait(descriptor, path)
        chunk = os.read(descriptor, min(left, _CHUNK))
        if not chunk:
            break
        parts.append(chunk)
        left -= len(chunk)
    return b"".join(parts)


def _read_path(path: str, limit: int) -> bytes:
    # Asked before it is opened: opening a device can do something, opening a pipe can wait.
    _refuse_kind(path, os.stat(path).st_mode)
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    descriptor = os.open(path, flags)
    try:
        return _read_open(descriptor, path, limit)
    finally:
        os.close(descriptor)


def _read_stream(stream: BinaryIO | None, limit: int) -> bytes:
    if stream is None:
        stream = sys.stdin.buffer if sys.stdin else None
    if stream is None:
        raise UsageError("there is no standard input here", next_step="name a file")
    parts: list[bytes] = []
    left = limit + 1
    while left > 0 and (chunk := stream.read(left)):
        parts.append(chunk)
        left -= len(chunk)
    return b"".join(parts)


def _missing(path: str) -> UsageError:
    if not path:
        return UsageError("the file name is empty", next_step="name a file")
    where = "" if os.path.isabs(path) else f", seen from the folder {visible(os.getcwd())}"
    return UsageError(f"{_shown(path)}: no such file", next_step=f"check the name{where}")


def read_bytes(path: str, limit: int, stdin: BinaryIO | None = None) -> bytes:
    """Read a file, a pipe or standard input, up to a limit.

    Args:
        path: A path, or ``-`` for standard input.
        limit: Most bytes it may have.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: It is missing, a folder or a device, may not be read, says nothing for
            ``PIPE_SECONDS`` or is larger than the limit.
    """
    try:
        raw = _read_stream(stdin, limit) if path == "-" else _read_path(path, limit)
    except FileNotFoundError:
        raise _missing(path) from None
    except PermissionError:
        raise UsageError(
            f"{_shown(path)} may not be read by this account",
            next_step="ask its owner for the right to read it",
        ) from None
    except OSError as error:
        raise UsageError(
            f"{_shown(path)} cannot be read: {_reason(error)}", next_step="name a file that can be read"
        ) from None
    except ValueError:
        raise UsageError(f'"{_shown(path)}" is not a file name', next_step="name a file") from None
    if len(raw) > limit:
        raise _too_large(path, limit)
    return raw


# -- reading text


def _not_text(path: str) -> UsageError:
    return UsageError(f"{_shown(path)} is not text", next_step="name a text file saved as UTF-8")


def _decode_utf16(path: str, raw: bytes) -> str:
    try:
        return raw.decode("utf-16")
    except UnicodeDecodeError as error:
        raise UsageError(
            f"{_shown(path)} is damaged UTF-16 at byte {error.start}", next_step=_SAVE_UTF8
        ) from None


def _decode(path: str, raw: bytes) -> str:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _decode_utf16(path, raw)
    if b"\0" in raw:
        raise _not_text(path)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        start = error.start + (3 if raw.startswith(b"\xef\xbb\xbf") else 0)
        line = raw.count(b"\n", 0, start) + 1
        column = len(raw[raw.rfind(b"\n", 0, start) + 1 : start].decode("utf-8", "replace")) + 1
        raise UsageError(
            f"byte {start} (0x{raw[start]:02x}) is not UTF-8", Place(name(path), line, column), _SAVE_UTF8
        ) from None


def read_source(path: str, limit: int, stdin: BinaryIO | None = None) -> Source:
    """Read a text file: UTF-8 with or without a byte-order mark, or UTF-16 with one.

    Args:
        path: A path, or ``-`` for standard input.
        limit: Most bytes it may have.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: As ``read_bytes``, and where it is empty or no such text.
    """
    raw = read_bytes(path, limit, stdin)
    text = _decode(path, raw)
    if "\0" in text:
        raise _not_text(path)
    if not text.strip():
        raise UsageError(f"{_shown(path)} is empty", next_step="name a file with something in it")
    return Source(path, raw, text)


def toml_document(source: Source) -> Document:
    """Read a source as TOML.

    Raises:
        UsageError: It is not TOML 1.0, or beyond the limits of ``pcaudit.core.places``.
        MistakesError: Values no such file may have, as ``pcaudit.core.toml_text`` says.
    """
    import hashlib

    from pcaudit.core.toml_text import parse_toml

    data, places = parse_toml(source.text, name(source.path))
    return Document(source.path, source.text, data, hashlib.sha256(source.raw).hexdigest(), places)


def read_toml(path: str, stdin: BinaryIO | None = None) -> Document:
    """Read a TOML file that a person wrote.

    Args:
        path: A path, or ``-`` for standard input.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: It cannot be read, is no text, or is not TOML 1.0.
        MistakesError: As ``toml_document``.
    """
    return toml_document(read_source(path, TOML_LIMIT, stdin))


def read_json(path: str, stdin: BinaryIO | None = None) -> Any:
    """Read a JSON file.

    Args:
        path: A path, or ``-`` for standard input.
        stdin: Standard input, if not the process's own.

    Raises:
        UsageError: It cannot be read, is no text, or is not JSON as ``pcaudit.core.json_text``
            takes it.
    """
    from pcaudit.core.json_text import parse_json

    return parse_json(read_source(path, JSON_LIMIT, stdin).text, name(path))


def is_toml(path: str) -> bool:
    """Whether a file that is not what was expected is a TOML file that says something."""
    from pcaudit.core.toml_text import parse_toml

    try:
        return bool(parse_toml(read_source(path, TOML_LIMIT, None).text, name(path))[0])
    except UsageError:
        return False


def is_json(path: str) -> bool:
    """Whether a file begins as a JSON document does; what cannot be read is none."""
    try:
        return read_source(path, JSON_LIMIT).text.lstrip().startswith("{")
    except UsageError:
        return False


def knowledge_file(file: str) -> bytes:
    """The bytes of a knowledge file that ships with pcaudit.

    Args:
        file: Its name, with ``/`` where it lies in a folder.

    Raises:
        OSError: There is no such file, which is a fault of the installation.
    """
    path = os.path.join(os.path.dirname(__file__), "knowledge", *file.split("/"))
    # The loader reads from folders and from zip archives alike (PEP 302, get_data).
    loader: Any = __spec__.loader
    data: bytes = loader.get_data(path)
    return data


# -- writing


def to_json(data: Any) -> str:
    """Write data the one way all JSON is written: see ``pcaudit.core.json_text.dump_json``."""
    from pcaudit.core.json_text import dump_json

    return dump_json(data)


def _write_stream(stream: BinaryIO | None, data: bytes) -> None:
    if stream is None and sys.stdout:
        sys.stdout.flush()
        stream = sys.stdout.buffer
    if stream is None:
        raise UsageError("there is no standard output here", next_step="name a file")
    # Under python -u the stream is unbuffered and may take less than it is given.
    rest = memoryview(data)
    while rest:
        rest = rest[stream.write(rest) :]
    stream.flush()


def _open_pipe(path: str) -> int:
    """Open a named pipe without waiting for its reader longer than ``PIPE_SECONDS``."""
    import errno
    import time

    until = time.monotonic() + PIPE_SECONDS
    while True:
        try:
            return os.open(path, os.O_WRONLY | getattr(os, "O_NONBLOCK", 0))
        except OSError as error:
            if error.errno != errno.ENXIO or time.monotonic() >= until:
                raise
        time.sleep(0.05)


def _write_direct(path: str, mode: int, data: bytes) -> None:
    # Appending, for /dev/stdout may be a file that holds something already.
    pipe = stat.S_ISFIFO(mode)
    descriptor = _open_pipe(path) if pipe else os.open(path, os.O_WRONLY | os.O_APPEND)
    with open(descriptor, "wb") as file:
        if pipe:
            os.set_blocking(descriptor, True)
        file.write(data)


def _replace(temporary: str, path: str) -> None:
    """Rename, trying again where a virus scanner holds the file for a moment (Windows)."""
    import time

    for wait in (0.05, 0.1, 0.2, 0.4, 0.8):
        try:
            os.replace(temporary, path)
        except PermissionError:
            time.sleep(wait)
        else:
            return
    os.replace(temporary, path)


def _write_whole(path: str, mode: int | None, data: bytes) -> None:
    temporary = os.path.join(os.path.dirname(path), f".pcaudit-{os.urandom(6).hex()}.tmp")
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    descriptor = os.open(temporary, flags, 0o666)
    try:
        with open(descriptor, "wb") as file:
            if mode is not None and hasattr(os, "fchmod"):
                os.fchmod(descriptor, stat.S_IMODE(mode))
            file.write(data)
            file.flush()
            os.fsync(descriptor)
        _replace(temporary, path)
    except BaseException:
        _remove(temporary)
        raise


def _remove(path: str) -> None:
    from contextlib import suppress

    with suppress(OSError):
        os.unlink(path)


def keep_record(path: str) -> None:
    """Refuse to write over a record, whatever its file is called, or what is called one.

    Raises:
        UsageError: There is one.
    """
    if path == "-" or not os.path.isfile(path) or not _is_record(path):
        return
    raise UsageError(
        f"{_shown(path)} is a record, and no record is written over", next_step="choose another file"
    )


def _is_record(path: str) -> bool:
    # One that is damaged is still somebody's record.
    if os.path.basename(path).lower().endswith(".record.json"):
        return True
    try:
        raw = read_bytes(path, JSON_LIMIT)
        if b"record" not in raw.replace(b"\0", b""):  # UTF-16 has a zero beside each letter
            return False
        data = read_json(path)
    except UsageError:
        return False
    return isinstance(data, dict) and data.get("kind") == "record"


def _write_path(path: str, data: bytes) -> None:
    if not path:
        raise UsageError("the file name is empty", next_step="name a file")
    keep_record(path)
    try:
        mode = os.stat(path).st_mode
    except FileNotFoundError:
        mode = None
    if mode is not None and stat.S_ISDIR(mode):
        raise UsageError(f"{_shown(path)} is a folder", next_step="name a file in it")
    if mode is not None and (not stat.S_ISREG(mode) or os.path.abspath(path).startswith(("/dev/", "/proc/"))):
        _write_direct(path, mode, data)
        return
    # A link stays one: what it points to is replaced.
    path = os.path.realpath(path)
    if mode is not None and not os.access(path, os.W_OK):
        raise UsageError(f"{_shown(path)} is write-protected", next_step="choose another file")
    _write_whole(path, mode, data)


def write_text(path: str, text: str, stdout: BinaryIO | None = None) -> None:
    """Write a text as UTF-8, whole or not at all.

    Devices and pipes are written as they are; a file is written under a temporary name in the
    same folder, flushed to the disk and renamed. An existing file keeps its permissions.

    Args:
        path: A path, or ``-`` for standard output.
        text: Line ends as they shall stand in the file.
        stdout: Standard output, if not the process's own.

    Raises:
        BrokenPipeError: Whoever read standard output went away.
        UsageError: It cannot be written; the message says why.
    """
    data = text.encode("utf-8", "backslashreplace")
    try:
        if path == "-":
            _write_stream(stdout, data)
        else:
            _write_path(path, data)
    except OSError as error:
        if path == "-" and isinstance(error, BrokenPipeError):
            raise
        raise _unwritable(path, error) from None
    except ValueError:
        raise UsageError(f'"{_shown(path)}" is not a file name', next_step="name a file") from None


def _unwritable(path: str, error: OSError) -> UsageError:
    target = "standard output" if path == "-" else _shown(path)
    folder = os.path.dirname(os.path.realpath(path))
    if isinstance(error, FileNotFoundError) and not os.path.isdir(folder):
        return UsageError(
            f"{target} cannot be written: there is no folder {visible(folder)}",
            next_step="make the folder first, or choose another",
        )
    return UsageError(
        f"{target} cannot be written: {_reason(error)}",
        next_step="choose another place" if path != "-" else "write to a file with --output",
    )
