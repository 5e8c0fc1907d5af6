"""Files read and written, good and bad."""

from __future__ import annotations

import hashlib
import io
import os
import stat
import sys
import threading
import zipfile
from pathlib import Path
from typing import BinaryIO, NoReturn, cast

import pytest

from pcaudit import files
from pcaudit.errors import MistakesError, Place, UsageError

BOTH = pytest.mark.parametrize("read", [files.read_toml, files.read_json])
POSIX = pytest.mark.skipif(os.name == "nt", reason="needs POSIX files")


def refused(path: str | Path, read: object = files.read_toml, raw: bytes = b"") -> UsageError:
    """The error that reading gives; ``raw`` is standard input."""
    assert callable(read)
    with pytest.raises(UsageError) as caught:
        read(str(path), io.BytesIO(raw))
    return caught.value


# -- reading


def test_a_document_knows_its_file(tmp_path: Path) -> None:
    """A TOML file gives its path, text, data, digest and the places of its keys."""
    path = tmp_path / "p.toml"
    raw = b"\xef\xbb\xbfformat = 1\r\n[os]\r\ntype = 'linux'\r\n"
    path.write_bytes(raw)
    document = files.read_toml(str(path))
    assert document.path == str(path)
    assert document.text == raw.decode("utf-8-sig")
    assert document.data == {"format": 1, "os": {"type": "linux"}}
    assert document.sha256 == hashlib.sha256(raw).hexdigest()
    assert document.place(("os", "type")) == Place(str(path), 3, 1, "type = 'linux'")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le-bom", "utf-16-be-bom"])
def test_byte_order_marks_are_understood(tmp_path: Path, encoding: str) -> None:
    """UTF-8 with and without a mark and UTF-16 with one are read, TOML and JSON alike."""
    for name, text, value in (
        ("p.toml", "t = 'Gerät 液'\n", {"t": "Gerät 液"}),
        ("s.json", '["Gerät 液"]', ["Gerät 液"]),
    ):
        mark = "\ufeff" if encoding.endswith("-bom") else ""
        path = tmp_path / name
        path.write_bytes((mark + text).encode(encoding.removesuffix("-bom")))
        read = files.read_json(str(path)) if name == "s.json" else files.read_toml(str(path)).data
        assert read == value


def test_standard_input_is_read_for_a_dash() -> None:
    """``-`` reads standard input, and places call it so."""
    document = files.read_toml("-", io.BytesIO(b"a = 1\n"))
    assert (document.path, document.data) == ("-", {"a": 1})
    assert document.place(("a",)) == Place("standard input", 1, 1, "a = 1")
    assert files.read_json("-", io.BytesIO(b"[1]")) == [1]


def test_the_process_input_is_the_default(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a stream given, ``-`` is the process's own; where there is none, that is said."""
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"[2]")))
    assert files.read_json("-") == [2]
    monkeypatch.setattr(sys, "stdin", None)
    with pytest.raises(UsageError, match="no standard input"):
        files.read_json("-")


@BOTH
def test_a_missing_file_is_said_so(tmp_path: Path, read: object, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that is not there is named, with the folder it was looked for from."""
    error = refused(tmp_path / "none.toml", read)
    assert error.message == f"{tmp_path / 'none.toml'}: no such file"
    monkeypatch.chdir(tmp_path)
    assert str(tmp_path) in refused("none.toml", read).next_step
    assert refused("", read).message == "the file name is empty"


@BOTH
def test_an_impossible_file_name_is_said_so(read: object) -> None:
    """A name no file can have is refused and shown safely."""
    assert refused("a\0b", read).message == '"a\\x00b" is not a file name'
    assert "cannot be read: " in refused("x" * 5000, read).message


@BOTH
@pytest.mark.parametrize("raw", [b"", b" \r\n\n", b"\xef\xbb\xbf", b"\xff\xfe"])
def test_an_empty_file_is_said_so(tmp_path: Path, read: object, raw: bytes) -> None:
    """A file without anything in it is refused as empty."""
    path = tmp_path / "empty"
    path.write_bytes(raw)
    assert refused(path, read).message == f"{path} is empty"


@BOTH
@pytest.mark.parametrize(
    "raw",
    [b"PK\x03\x04\0\0", b"\0" * 100, "a = 1".encode("utf-16-le"), b"\xff\xfe\0\0a\0\0\0"],
    ids=["archive", "zeros", "UTF-16 without mark", "UTF-32"],
)
def test_binary_files_are_no_text(tmp_path: Path, read: object, raw: bytes) -> None:
    """A file with zero bytes in it is refused as not being text."""
    path = tmp_path / "binary"
    path.write_bytes(raw)
    error = refused(path, read)
    assert error.message == f"{path} is not text"
    assert "UTF-8" in error.next_step


@BOTH
@pytest.mark.parametrize(
    ("raw", "offset", "line", "column"),
    [
        (b"a = 1\nb = 'Ger\xe4t'\n", 14, 2, 9),
        (b"\xef\xbb\xbfa = 1\nb = '\xc3\xa9\xff'", 16, 2, 7),
        (b"\x80", 0, 1, 1),
        (b"a = '\xe2\x82", 5, 1, 6),
    ],
)
def test_other_encodings_are_refused_at_the_byte(
    tmp_path: Path, read: object, raw: bytes, offset: int, line: int, column: int
) -> None:
    """A file that is not UTF-8 is refused with the place of the first bad byte, and the cure."""
    path = tmp_path / "latin"
    path.write_bytes(raw)
    error = refused(path, read)
    assert error.message == f"byte {offset} (0x{raw[offset]:02x}) is not UTF-8"
    assert error.place == Place(str(path), line, column)
    assert error.next_step == "save it as UTF-8 in the editor"


def test_damaged_utf16_is_refused(tmp_path: Path) -> None:
    """UTF-16 cut in the middle of a character is refused, with the byte."""
    path = tmp_path / "cut"
    path.write_bytes(b"\xff\xfea\0b")
    assert refused(path).message == f"{path} is damaged UTF-16 at byte 4"


def test_a_huge_profile_is_refused_unread(tmp_path: Path) -> None:
    """A file of 10 MB is no profile; the limit is 1 MiB to the byte."""
    path = tmp_path / "huge.toml"
    path.write_bytes(b"#" * 10_000_000)
    assert refused(path).message == f"{path} is larger than 1 MiB"
    path.write_bytes(b"#" * files.TOML_LIMIT)
    assert files.read_toml(str(path)).data == {}
    assert refused("-", raw=b"#" * (files.TOML_LIMIT + 1)).message == "standard input is larger than 1 MiB"


def test_a_huge_snapshot_is_refused(tmp_path: Path) -> None:
    """A JSON file over 64 MiB is refused, however large it says it is."""
    path = tmp_path / "huge.json"
    with path.open("wb") as file:
        file.truncate(files.JSON_LIMIT + (1 << 40 if os.name != "nt" else 1))
    assert refused(path, files.read_json).message == f"{path} is larger than 64 MiB"


@BOTH
def test_a_folder_is_no_file(tmp_path: Path, read: object) -> None:
    """A folder is named as one."""
    assert refused(tmp_path, read).message == f"{tmp_path} is a folder"


@POSIX
@BOTH
def test_devices_are_not_read(read: object) -> None:
    """A device that never ends is refused without reading it."""
    assert refused("/dev/zero", read).message == "/dev/zero is a device, not a file"


@POSIX
def test_a_silent_pipe_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A named pipe nobody writes to is given up after a while."""
    monkeypatch.setattr(files, "PIPE_SECONDS", 0.01)
    path = tmp_path / "pipe"
    os.mkfifo(path)
    assert refused(path).message.startswith(f"nothing came through the pipe {path}")


@POSIX
def test_a_pipe_is_read_to_its_end(tmp_path: Path) -> None:
    """A named pipe is read until its writer closes it, in however many pieces it comes."""
    path = tmp_path / "pipe"
    os.mkfifo(path)

    def write() -> None:
        with path.open("wb", buffering=0) as pipe:
            pipe.write(b"a = [")
            pipe.write(b"1]\n")

    writer = threading.Thread(target=write)
    writer.start()
    try:
        assert files.read_toml(str(path)).data == {"a": [1]}
    finally:
        writer.join()


def test_a_file_that_may_not_be_read_is_said_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file without the right to read it is told apart from a missing one."""
    path = tmp_path / "secret.toml"
    path.write_text("a = 1")

    def deny(*_arguments: object) -> NoReturn:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", deny)
    assert refused(path).message == f"{path} may not be read by this account"


def test_file_names_are_shown_safely() -> None:
    """An escape sequence in a file name does not reach the terminal."""
    assert refused("a\x1b[2J.toml").message == "a\\x1b[2J.toml: no such file"


def test_mistakes_name_file_and_line(tmp_path: Path) -> None:
    """Syntax and value mistakes carry the path as given and the line."""
    path = tmp_path / "p.toml"
    path.write_text("a = 1\nb = 16 GB\n")
    error = refused(path)
    assert error.place == Place(str(path), 2, 8, "b = 16 GB")
    path.write_text("a = 1\nb = inf\n")
    error = refused(path)
    assert isinstance(error, MistakesError)
    assert error.mistakes[0].place == Place(str(path), 2, 1, "b = inf")
    path.write_text('{"a": 1,\n"a": 2}')
    assert refused(path, files.read_json).place == Place(str(path), 2, 1, '"a": 2}')


# -- knowledge


def test_knowledge_ships_with_the_package() -> None:
    """A file of the knowledge folder is found beside the code."""
    folder = Path(files.__file__).parent / "knowledge"
    assert files.knowledge_file("__init__.py") == (folder / "__init__.py").read_bytes()


def test_missing_knowledge_is_a_fault(tmp_path: Path) -> None:
    """A knowledge file that is not there is a fault of the installation, not of use."""
    with pytest.raises(OSError, match=r"none\.toml"):
        files.knowledge_file("none.toml")


def test_knowledge_is_found_in_an_archive(tmp_path: Path) -> None:
    """The package can run from a zip archive and still reads its knowledge."""
    import subprocess

    package = Path(files.__file__).parent
    archive = tmp_path / "pcaudit.zip"
    with zipfile.ZipFile(archive, "w") as packed:
        for path in [*package.glob("*.py"), *package.glob("core/*.py"), *package.glob("knowledge/*.py")]:
            packed.write(path, path.relative_to(package.parent))
    code = "from pcaudit import files; print(len(files.knowledge_file('__init__.py')), files.__file__)"
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONPATH": str(archive)},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    size, place = done.stdout.strip().split(" ", 1)
    assert int(size) == (package / "knowledge" / "__init__.py").stat().st_size
    assert str(archive) in place


# -- writing


def unwritable(path: str | Path) -> UsageError:
    """The error that writing gives."""
    with pytest.raises(UsageError) as caught:
        files.write_text(str(path), "new\n")
    return caught.value


def test_text_is_written_as_it_is(tmp_path: Path) -> None:
    """Text is UTF-8 with its own line ends, and what UTF-8 cannot hold is escaped."""
    path = tmp_path / "out.txt"
    files.write_text(str(path), "é\r\n\udc80\n")
    assert path.read_bytes() == b"\xc3\xa9\r\n\\udc80\n"
    assert list(tmp_path.iterdir()) == [path]


def test_standard_output_is_written_for_a_dash(monkeypatch: pytest.MonkeyPatch) -> None:
    """``-`` writes UTF-8 to standard output, after what was printed before."""
    stream = io.BytesIO()
    files.write_text("-", "é\n", stream)
    assert stream.getvalue() == b"\xc3\xa9\n"
    own = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(own, encoding="ascii"))
    sys.stdout.write("first ")
    files.write_text("-", "é\n")
    assert own.getvalue() == b"first \xc3\xa9\n"
    monkeypatch.setattr(sys, "stdout", None)
    assert unwritable("-").message == "there is no standard output here"


class _Narrow(io.RawIOBase):
    """A stream that takes and gives three bytes at a time."""

    def __init__(self, raw: bytes = b"") -> None:
        super().__init__()
        self.raw = raw

    def write(self, data: object) -> int:
        """Take three bytes at most."""
        assert isinstance(data, memoryview)
        self.raw += bytes(data[:3])
        return min(3, len(data))

    def read(self, size: int = -1) -> bytes:
        """Give three bytes at most."""
        piece, self.raw = self.raw[:3], self.raw[3:]
        return piece


def test_streams_may_go_in_small_steps() -> None:
    """An unbuffered stream that moves a few bytes at a time loses none of them."""
    stream = _Narrow()
    files.write_text("-", "abcdefgh", cast("BinaryIO", stream))
    assert stream.raw == b"abcdefgh"
    assert files.read_json("-", cast("BinaryIO", _Narrow(b"[1, 2, 3]"))) == [1, 2, 3]


def test_a_reader_that_went_away_is_told_apart() -> None:
    """Standard output nobody reads any more is told apart from output that cannot be written."""
    read, write = os.pipe()
    os.close(read)
    with io.FileIO(write, "w") as stream, pytest.raises(BrokenPipeError):
        files.write_text("-", "x", stream)


@POSIX
def test_permissions_follow_the_umask_or_the_file_before(tmp_path: Path) -> None:
    """A new file gets what the umask leaves; an existing one keeps its permissions."""
    path = tmp_path / "out.txt"
    before = os.umask(0o027)
    try:
        files.write_text(str(path), "one")
    finally:
        os.umask(before)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    path.chmod(0o604)
    files.write_text(str(path), "two")
    assert stat.S_IMODE(path.stat().st_mode) == 0o604
    assert path.read_text() == "two"


@POSIX
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Writing through a symbolic link replaces what it points to, also where nothing is yet."""
    link = tmp_path / "link"
    link.symlink_to("target")
    for text in ("one", "two"):
        files.write_text(str(link), text)
        assert link.is_symlink()
        assert (tmp_path / "target").read_text() == text


@pytest.mark.parametrize("step", ["fsync", "replace", "fchmod"])
def test_a_failure_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    """Where writing fails at any step, the old file is whole and nothing else is left."""
    if not hasattr(os, step):
        pytest.skip(f"no {step} here")
    path = tmp_path / "out.txt"
    path.write_text("old")

    def full(*_arguments: object) -> NoReturn:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, step, full)
    error = unwritable(path)
    assert error.message == f"{path} cannot be written: no space left on device"
    assert error.next_step == "choose another place"
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_an_interrupt_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl+C while writing leaves the old file and no temporary one."""
    path = tmp_path / "out.txt"
    path.write_text("old")

    def interrupt(*_arguments: object) -> NoReturn:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        files.write_text(str(path), "new")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(("failures", "written"), [(2, True), (99, False)])
def test_a_held_file_is_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failures: int, written: bool
) -> None:
    """A virus scanner's short hold on the file is waited out, a long one is told."""
    path = tmp_path / "out.txt"
    path.write_text("old")
    replace = os.replace
    left = [failures]
    waits: list[float] = []

    def held(source: str, target: str) -> None:
        if left[0]:
            left[0] -= 1
            raise PermissionError(13, "Access is denied")
        replace(source, target)

    monkeypatch.setattr(os, "replace", held)
    monkeypatch.setattr("time.sleep", waits.append)
    if written:
        files.write_text(str(path), "new\n")
        assert len(waits) == failures
    else:
        assert unwritable(path).message == f"{path} cannot be written: access is denied"
        assert len(waits) == 5
    assert path.read_text() == ("new\n" if written else "old")
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_is_not_overwritten(tmp_path: Path) -> None:
    """Writing to a folder is refused, and so is the empty name."""
    assert unwritable(tmp_path).message == f"{tmp_path} is a folder"
    assert unwritable("").message == "the file name is empty"
    assert unwritable("a\0b").message == '"a\\x00b" is not a file name'


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    """Where the folder does not exist, it is named and not made."""
    error = unwritable(tmp_path / "none" / "out.txt")
    assert error.message.endswith(f"there is no folder {tmp_path / 'none'}")
    assert error.next_step == "make the folder first, or choose another"
    assert list(tmp_path.iterdir()) == []


def test_a_file_as_folder_is_refused(tmp_path: Path) -> None:
    """A file where a folder should be is told in one line."""
    (tmp_path / "file").write_text("x")
    assert "cannot be written: " in unwritable(tmp_path / "file" / "out.txt").message


def test_a_write_protected_file_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file without the right to write it is not replaced, though its folder would allow it."""
    path = tmp_path / "out.txt"
    path.write_text("old")
    # Administrators may write everything, so the answer is put in the system's mouth.
    monkeypatch.setattr(os, "access", lambda _path, mode: mode != os.W_OK)
    assert unwritable(path).message == f"{path} is write-protected"
    assert path.read_text() == "old"


@POSIX
def test_devices_are_written_as_they_are() -> None:
    """A device is written, never replaced by a file."""
    files.write_text("/dev/null", "x")
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)
    if os.path.exists("/dev/full"):
        assert unwritable("/dev/full").message == "/dev/full cannot be written: no space left on device"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="needs /dev/fd to reopen files")
def test_a_descriptor_path_is_appended_to(tmp_path: Path) -> None:
    """A path to an open file, such as /dev/stdout, adds to what is in it already."""
    path = tmp_path / "log"
    with path.open("wb", buffering=0) as file:
        file.write(b"before\n")
        files.write_text(f"/dev/fd/{file.fileno()}", "after\n")
    assert path.read_bytes() == b"before\nafter\n"


@POSIX
def test_a_pipe_is_written_whole(tmp_path: Path) -> None:
    """A named pipe gets all of the text, more than it holds at once."""
    path = tmp_path / "pipe"
    os.mkfifo(path)
    got: list[bytes] = []
    reader = threading.Thread(target=lambda: got.append(path.read_bytes()))
    reader.start()
    try:
        files.write_text(str(path), "x" * 300_000)
    finally:
        reader.join()
    assert got == [b"x" * 300_000]
    assert stat.S_ISFIFO(path.stat().st_mode)


@POSIX
def test_a_pipe_without_a_reader_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A named pipe nobody reads from is given up after a while."""
    monkeypatch.setattr(files, "PIPE_SECONDS", 0.0)
    path = tmp_path / "pipe"
    os.mkfifo(path)
    assert f"{path} cannot be written: " in unwritable(path).message


def test_json_is_written_the_one_way() -> None:
    """JSON from here is the one form of all JSON files."""
    assert files.to_json({"b": 1, "a": "é"}) == '{\n  "a": "é",\n  "b": 1\n}\n'
