"""Invented PCs, assessed by the real program on a real Windows Python, against what was written down."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.cli.program import verdicts
from tests.render.schemas import read
from tests.windows.lab.machines import NAMES, PROFILE, expected
from tests.windows.lab.wine import Machine, windows_path

Invented = Callable[[str], Machine]
DAY = "2026-12-07"


@pytest.fixture(scope="module")
def reports(invented: Invented) -> Callable[[str], tuple[int, dict[str, Any]]]:
    """Gives exit code and report of an invented PC, assessed once."""

    @cache
    def get(name: str) -> tuple[int, dict[str, Any]]:
        arguments = ("assess", windows_path(PROFILE), "--on", DAY, "--as-of", DAY, "--format", "json")
        done = invented(name).pcaudit(*arguments)
        assert done.err == ""
        return done.code, json.loads(done.text)

    return get


Reports = Callable[[str], tuple[int, dict[str, Any]]]


@pytest.mark.parametrize("name", NAMES)
def test_every_verdict_is_what_was_written_down(reports: Reports, name: str) -> None:
    """Each finding of each PC has the verdict that was written down before, and there are no others."""
    _, report = reports(name)
    assert verdicts(report) == expected(name).verdicts


@pytest.mark.parametrize("name", NAMES)
def test_the_exit_code_is_what_was_written_down(reports: Reports, name: str) -> None:
    """The exit code of each PC is the one written down before."""
    assert reports(name)[0] == expected(name).code


@pytest.mark.parametrize("name", NAMES)
def test_values_are_what_the_registry_says(reports: Reports, name: str) -> None:
    """What the snapshot holds is what the PC's file says, each with what it was read from."""
    readings = reports(name)[1]["snapshot"]["readings"]
    wanted = expected(name).values
    assert {reading: readings[reading].get("value") for reading in wanted} == wanted
    assert all(readings[reading]["source"] for reading in wanted)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_not_known_says_why(reports: Reports, name: str) -> None:
    """No reading is left without a value and without a reason, and no probe failed or was too slow."""
    readings = reports(name)[1]["snapshot"]["readings"]
    whys = {reading: form.get("why", "") for reading, form in readings.items() if form.get("value") is None}
    assert all(why or "at_least" in readings[reading] for reading, why in whys.items())
    broken = {r: why for r, why in whys.items() if "the probe of" in why or "cannot be used" in why}
    assert broken == {}


@pytest.mark.parametrize("name", NAMES)
def test_snapshots_are_what_their_schema_says(reports: Reports, name: str) -> None:
    """The snapshot in each report is valid by the schema that ships, and so is the report."""
    _, report = reports(name)
    Draft202012Validator(read("report")).validate(report)
    Draft202012Validator(read("snapshot")).validate(report["snapshot"])


def test_program_names_outside_the_code_page_are_kept(reports: Reports) -> None:
    """A program's name and publisher come through whole though the PC's code page lacks some of it."""
    packages = reports("home-laptop")[1]["snapshot"]["readings"]["software.packages"]["value"]
    names = {(package["name"], package["publisher"]) for package in packages}
    assert ("Gerätetreiber für Prüfstände Ω", "Söhne & Töchter 測定 (erfunden)") in names


def test_both_registry_views_and_the_users_own_are_read(reports: Reports) -> None:
    """A program in the 32-bit view and one of this user alone are both named as what is too many."""
    packages = reports("conflicting-software")[1]["snapshot"]["readings"]["software.packages"]["value"]
    names = {package["name"] for package in packages}
    assert {"Old Acquisition Suite 3", "Old Acquisition Suite Viewer"} <= names


def test_a_program_whose_files_are_gone_proves_nothing(reports: Reports) -> None:
    """An entry left behind is named as the reason why the exclusion is unverified."""
    reading = reports("iot-ltsc-2021")[1]["snapshot"]["readings"]["software.packages"]
    assert "Old Acquisition Suite 2" in reading["why"]
    assert "Old Acquisition Suite 2" not in {package["name"] for package in reading["value"]}


def test_group_policy_is_named_as_what_makes_the_pc_sleep(reports: Reports) -> None:
    """Where Group Policy overrules the plan, the source says so: changing the plan would not help."""
    reading = reports("domain-pending")[1]["snapshot"]["readings"]["power.sleep_after"]
    assert "Group Policy" in reading["source"]
