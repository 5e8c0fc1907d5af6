"""Results that are being written while the program is killed."""

from __future__ import annotations

import os
import random
import signal
import time
from pathlib import Path

import pytest

from pcaudit.files import write_text


@pytest.mark.skipif(os.name == "nt", reason="needs POSIX signals")
def test_a_result_is_whole_whenever_the_program_is_killed(tmp_path: Path) -> None:
    """Killed a hundred times while it writes over a result, it leaves the old one or the new one, whole."""
    path = tmp_path / "report.json"
    whole = [f"{letter * 999}\n" * 1000 for letter in "ab"]
    path.write_text(whole[0], encoding="utf-8")
    chance = random.Random(9)  # noqa: S311
    seen = set()
    for _ in range(100):
        child = os.fork()
        if not child:
            while True:
                for text in whole:
                    write_text(str(path), text)
        time.sleep(chance.uniform(0.0, 0.03))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        text = path.read_text(encoding="utf-8")
        assert text in whole
        seen.add(text[0])
        others = {one.name for one in tmp_path.iterdir()} - {path.name}
        assert all(name.startswith(".pcaudit-") and name.endswith(".tmp") for name in others)
    # Else nothing was ever written while it was killed.
    assert seen == {"a", "b"}
    assert others
