"""Whether what a record says holds together, where all its digests were worked out to fit.

It is looked at after the digests: a record whose content was changed says so by them.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from pcaudit.core.kept_report import KeptReport, read_report
from pcaudit.core.record import MEANINGS, file_fault
from pcaudit.core.texts import fold
from pcaudit.errors import UsageError


def _is_time(text: Any) -> bool:
    """Whether a text is a time as RFC 3339 writes it, with its offset from UTC."""
    if not isinstance(text, str) or not 20 <= len(text) <= 40 or text[10] not in "Tt":
        return False
    if text[-1] not in "Zz" and (text[-6] not in "+-" or text[-3] != ":"):
        return False
    try:
        return datetime.fromisoformat(text.upper()).tzinfo is not None
    except ValueError:
        return False


def _entered_fault(entered: Mapping[str, Any]) -> str:
    by, meaning = entered.get("by"), entered.get("meaning")
    if not isinstance(by, str) or not by.strip():
        return "it does not say who entered it (`by` in `entered`)"
    if meaning not in MEANINGS:
        return f"what entering it meant is none of: {', '.join(MEANINGS)} (`meaning` in `entered`)"
    if not _is_time(entered.get("at")):
        return (
            "when it was entered is no time with an offset from UTC, as RFC 3339 has it (`at` in `entered`)"
        )
    return ""


def _table_fault(document: Mapping[str, Any]) -> str:
    if not isinstance(document["tool"].get("version"), str):
        return "it does not say which version kept it (`tool`)"
    inputs = document["inputs"]
    if not isinstance(inputs, list) or not all(
        isinstance(one, dict) and all(isinstance(one.get(key), str) for key in ("role", "path", "sha256"))
        for one in inputs
    ):
        return "its `inputs` are no list of files with role, path and SHA-256"
    again = document.get("judged_again")
    if again is not None and not (isinstance(again, dict) and isinstance(again.get("differs"), list)):
        return "what came of judging its report again is no table with `differs` (`judged_again`)"
    return ""


def _concessions_fault(document: Mapping[str, Any], report: KeptReport) -> str:
    kept = document["concessions"]
    held = "" if kept is None else kept["sha256"]
    if report.conceded is not None and report.conceded != held:
        return "the concessions it holds are not those its report was made with (`concessions`)"
    return ""


def consistency_fault(document: Mapping[str, Any]) -> str:
    """Where a record contradicts itself first, with the place; empty where it does not.

    Args:
        document: Whose digests agree with its content.
    """
    if fault := _entered_fault(document["entered"]) or _table_fault(document):
        return fault
    if fault := file_fault(document, "worksheet"):
        return fault
    try:
        report = read_report(document["report"], "its report")
    except UsageError as error:
        return error.message
    return _concessions_fault(document, report)


def same_report(first: Mapping[str, Any], second: Mapping[str, Any]) -> bool:
    """Whether two records keep the same report, whoever entered them."""
    keys = ("snapshot", "profiles", "report")
    return all(first["digests"][key] == second["digests"][key] for key in keys)


def other_pc(first: Mapping[str, Any], second: Mapping[str, Any]) -> str:
    """How two records are of different PCs, in words; empty where they are not, or nobody can tell."""
    computers = [one["report"].get("computer") or {} for one in (first, second)]
    for key, words in (("serial_number", "serial number"), ("host_name", "host name")):
        one, other = (computer.get(key) for computer in computers)
        if isinstance(one, str) and isinstance(other, str):
            same = fold(one) == fold(other)
            return "" if same else f"it is of the PC with {words} {one}, and the report of {other}"
    return ""
