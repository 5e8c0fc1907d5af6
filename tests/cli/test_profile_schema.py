"""``pcaudit profile schema`` through the real program."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

from jsonschema import Draft202012Validator

from pcaudit.core.json_text import dump_json
from pcaudit.core.profile_schema import profile_schema
from tests.cli.program import PROGRAM, SMALL, environ, pcaudit, refused


def test_the_schema_is_written_to_standard_output() -> None:
    """Without a file it is on standard output, as all JSON is written, with nothing beside it."""
    done = pcaudit("profile", "schema")
    assert (done.code, done.err) == (0, "")
    assert done.out == dump_json(profile_schema())


def test_the_schema_is_written_to_a_file(tmp_path: Path) -> None:
    """With --output it is a file that a validator can use, and a remark says where it is."""
    file = tmp_path / "profile.schema.json"
    done = pcaudit("profile", "schema", "--output", str(file))
    assert (done.code, done.out) == (0, "")
    assert str(file) in done.err
    validator = Draft202012Validator(json.loads(file.read_text(encoding="utf-8")))
    profile = {"format": 1, "title": "A profile", "cpu": {"cores": {"minimum": 4}}}
    assert validator.is_valid(profile)
    assert not validator.is_valid({**profile, "colour": "blue"})


def test_a_file_again_and_quietly(tmp_path: Path) -> None:
    """A schema of an earlier version is replaced, and --quiet leaves the remark out."""
    file = tmp_path / "profile.schema.json"
    file.write_text("{}", encoding="utf-8")
    done = pcaudit("profile", "schema", "--quiet", "--output", str(file))
    assert (done.code, done.out, done.err) == (0, "", "")
    assert json.loads(file.read_text(encoding="utf-8")) == profile_schema()


def test_a_folder_is_no_place_for_it(tmp_path: Path) -> None:
    """An output that cannot be written is wrong use, told in one block."""
    refused(pcaudit("profile", "schema", "--output", str(tmp_path)), "is a folder")


def test_a_profile_may_name_its_schema(tmp_path: Path) -> None:
    """The first line that tells an editor where the schema is means nothing to pcaudit."""
    file = tmp_path / "p.toml"
    text = Path(SMALL).read_text(encoding="utf-8")
    file.write_text(f"#:schema ./profile.schema.json\n{text}", encoding="utf-8")
    assert pcaudit("profile", "validate", str(file)).code == 0


def test_assess_does_not_load_it() -> None:
    """The schema costs nothing where it is not asked for."""
    code = (
        "import sys; from pcaudit.cli.commands import build; build('assess'); "
        "import pcaudit.app, pcaudit.loading; "
        "print([name for name in sys.modules if 'profile_schema' in name])"
    )
    command = [PROGRAM[0], "-c", code]
    done = subprocess.run(command, env=environ(), capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout == "[]\n"
