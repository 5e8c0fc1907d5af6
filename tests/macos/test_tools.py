"""Running utilities: limited in time and output, and once for all who ask."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

from pcaudit.probes.decode import macos_documents, macos_text
from pcaudit.probes.macos import tools
from pcaudit.probes.macos.tools import ToolError, execute, once

pytestmark = pytest.mark.skipif(os.name != "posix", reason="utilities of macOS are run as on any Unix")

_PATIENCE = 20.0


def _python(code: str) -> tuple[str, ...]:
    return (sys.executable, "-S", "-c", code)


def test_a_utility_gives_what_it_prints_in_the_c_locale(monkeypatch: pytest.MonkeyPatch) -> None:
    """Standard input is closed, the locale is C, and the version is no stand-in."""
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    monkeypatch.setenv("SECRET", "word")
    code = (
        "import os,sys; e=os.environ; "
        "print(e['LC_ALL'], e['SYSTEM_VERSION_COMPAT'], 'SECRET' in e, repr(sys.stdin.read()))"
    )
    assert execute(_python(code), _PATIENCE) == b"C 0 False ''\n"


def test_a_utility_has_nobody_to_ask() -> None:
    """Whatever the probe's own standard input is, a utility's is closed."""
    reading, writing = os.pipe()
    kept = os.dup(0)
    try:
        os.dup2(reading, 0)
        assert execute(_python("import sys; print(len(sys.stdin.read()))"), _PATIENCE) == b"0\n"
    finally:
        os.dup2(kept, 0)
        for descriptor in (kept, reading, writing):
            os.close(descriptor)


def test_a_missing_utility_is_named() -> None:
    """A utility that is not there is an error with its path."""
    with pytest.raises(ToolError, match="this system has no /nowhere/pmset"):
        execute(("/nowhere/pmset",), _PATIENCE)


def test_a_failure_keeps_what_was_printed() -> None:
    """A utility that ends without success may still have answered in part."""
    with pytest.raises(ToolError, match="status 3") as caught:
        execute(_python("import sys; print('part', flush=True); sys.exit(3)"), _PATIENCE)
    assert caught.value.output == b"part\n"


def test_a_utility_that_hangs_is_ended_with_all_it_started(tmp_path: Path) -> None:
    """After its time the utility and its children are gone, and the caller has not waited for them."""
    note = tmp_path / "child"
    code = (
        "import subprocess,sys,time; "
        "p=subprocess.Popen([sys.executable,'-S','-c','import time; time.sleep(60)']); "
        f"open({str(note)!r},'w').write(str(p.pid)); time.sleep(60)"
    )
    began = time.monotonic()
    with pytest.raises(ToolError, match="in time"):
        execute(_python(code), 3.0)
    assert time.monotonic() - began < _PATIENCE
    child = note.read_text()
    for _ in range(100):
        state = subprocess.run(
            ["ps", "-o", "stat=", "-p", child], capture_output=True, text=True
        ).stdout.strip()
        if not state or state.startswith("Z"):
            return
        time.sleep(0.1)
    pytest.fail(f"the child still runs: {state}")


def test_a_flood_is_cut_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """A utility that prints without end is ended at the limit."""
    monkeypatch.setattr(tools, "LIMIT", 1 << 20)
    with pytest.raises(ToolError, match="wrote more"):
        execute(_python("while True: print('x' * 9999)"), _PATIENCE)


def test_a_command_is_run_once_for_many_who_ask_together() -> None:
    """Threads that ask at the same time share one run and one answer."""
    ran: list[str] = []

    def slow(command: Sequence[str], seconds: float) -> bytes:
        time.sleep(0.05)
        ran.append(command[0])
        return b"answer"

    run, answers = once(slow), []
    threads = [threading.Thread(target=lambda: answers.append(run(("a",), 1))) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (answers, ran) == ([b"answer"] * 8, ["a"])


def test_a_failure_is_shared_too() -> None:
    """A command that failed is not run again for the next who asks."""
    ran: list[str] = []

    def broken(command: Sequence[str], seconds: float) -> bytes:
        ran.append(command[0])
        raise ToolError("broken")

    run = once(broken)
    for _ in range(3):
        with pytest.raises(ToolError, match="broken"):
            run(("a",), 1)
    assert ran == ["a"]


_DEEP = b"[" * 200 + b"]" * 200


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\xff",
        b"[]",
        b'{"SPHardwareDataType": {}}',
        b"[" * 100_000,
        b'{"SPHardwareDataType": ' + _DEEP + b"}",
    ],
)
def test_json_of_another_shape_is_refused(data: bytes) -> None:
    """Neither rubbish nor another shape nor endless nesting passes for a profile."""
    with pytest.raises(ValueError, match="system_profiler"):
        macos_documents.profile(data, "SPHardwareDataType")


_BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE plist [<!ENTITY a "aaaa">]>'
    b'<plist version="1.0"><dict><key>b</key><string>&a;</string></dict></plist>'
)


@pytest.mark.parametrize(
    "data",
    [b"", b"bplist00\xff", b"<plist><array/></plist>", _BOMB, b"<plist><dict><key>a</key></dict></plist>"],
)
def test_a_property_list_of_another_shape_is_refused(data: bytes) -> None:
    """Neither rubbish nor entities nor another shape passes for a table."""
    with pytest.raises(ValueError, match="diskutil gave"):
        macos_documents.table(data, "diskutil")


def test_numbers_are_plain() -> None:
    """Only decimal digits are a number, and only JEDEC's units are an amount of memory."""
    assert [macos_text.whole(text) for text in ("17", "-1", "1e3", "²", "", None)] == [17] + [None] * 5
    sizes = [macos_text.memory_size(text) for text in ("16 GB", "1536 MB", "16,0 GB", "empty")]
    assert sizes == [16 << 30, 1536 << 20, None, None]
