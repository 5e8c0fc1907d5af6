"""Remarks on version ranges that no Windows is in, or that keep none out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final

from pcaudit.core.conditions import Requirement
from pcaudit.core.versions import Clause, Range

# From Windows 10 on, Windows 11 and Windows Server 2016 and later among them, versions are 10.0
# and a build (Microsoft, "Operating System Version"; "Windows 11 release information").
_HEAD: Final = (10, 0)
_FIRST_OF_10: Final = 10240
_FIRST_OF_11: Final = 22000
# The same source: Windows 7 is 6.1, Windows 8 is 6.2, Windows 8.1 is 6.3.
_NO_MAJOR: Final = (7, 8, 9)

_SINCE_10: Final = f"since Windows 10 all report 10.0 and a build, Windows 11 from 10.0.{_FIRST_OF_11} on"
_WITHOUT_11: Final = f"to leave Windows 11 out write <10.0.{_FIRST_OF_11}"


_TELL_APART: Final = frozenset({"os.edition", "os.edition_id", "os.product"})


def shared(beside: frozenset[str]) -> Iterator[tuple[str, str]]:
    """Remarks on a version of Windows without what tells its editions apart.

    Args:
        beside: Readings that something is asked of beside the version.

    Yields:
        What was noticed, and what would be better.
    """
    if not _TELL_APART & beside:
        noticed = "Home and S mode have the same versions, and Windows Server some of them"
        yield noticed, 'add edition = ["pro", "enterprise"], or the product'


def is_windows(requirements: Iterable[Requirement]) -> bool:
    """Whether requirements make the operating system Windows."""
    return any(
        one.name == "os.type" and any(test.operand == ("windows",) for test in one.required)
        for one in requirements
    )


def _admits(clause: Clause) -> bool | None:
    """Whether a bound holds for every Windows since 10, for none of them, or says something (None)."""
    version, operator = clause.version, clause.operator
    if version[0] in _NO_MAJOR and operator in ("==", "!="):
        return operator == "!="
    head = version[:2]
    newest = _HEAD[: len(head)]
    if newest < head:
        return operator in ("<", "<=", "!=")
    if newest == head and len(version) <= len(_HEAD):
        return {"<=": True, "==": True, ">": False}.get(operator)
    return None


def _build(version: tuple[int, ...]) -> tuple[int, ...]:
    """The build that a version means which forgot, or mistook, the 10.0 before it."""
    if version[0] >= _FIRST_OF_10:
        return version
    if version[0] > _HEAD[0] and len(version) > 2 and version[2] >= _FIRST_OF_10:
        return version[2:]
    return ()


def _better(clause: Clause, admits: bool) -> str:
    version, operator = clause.version, clause.operator
    build = _build(version)
    if build:
        return f"write {operator}10.0.{'.'.join(map(str, build))}"
    if version[0] in _NO_MAJOR:
        return "Windows 7 reports 6.1, Windows 8 reports 6.2, Windows 8.1 reports 6.3"
    if version == _HEAD[: len(version)]:
        alone = f"Windows 10 alone is >=10.0.{_FIRST_OF_10},<10.0.{_FIRST_OF_11}"
        return alone if admits else f"from Windows 11 on is >=10.0.{_FIRST_OF_11}"
    if not admits:
        return f"from Windows 11 on is >=10.0.{_FIRST_OF_11}"
    if version[0] == 11 and operator in ("<", "!="):
        return _WITHOUT_11
    return f"leave it out, or write the last build tested; {_WITHOUT_11}"


def _of_range(allowed: Range) -> tuple[str, str] | None:
    judged: list[tuple[Clause, Any]] = [(clause, _admits(clause)) for clause in allowed.clauses]
    for wanted in (False, True):
        for clause, admits in judged:
            if admits is wanted:
                alone = len(judged) == 1
                bound = allowed.text.strip() if alone else f"{clause.operator}{clause.text}"
                says = "excludes nothing newer" if wanted else "is met by no Windows"
                return f"`{bound}` {says}: {_SINCE_10}", _better(clause, admits)
    return None


def remarks(requirement: Requirement) -> Iterator[tuple[str, str]]:
    """Remarks on what is asked of the version of Windows.

    Args:
        requirement: On ``os.version``, in a table that sets the type to Windows.

    Yields:
        What was noticed, and what would be better.
    """
    for test in requirement.tests(with_advised=True):
        if test.form.key != "version":
            continue
        for allowed in test.operand:
            found = _of_range(allowed) if allowed.scheme == "dotted" else None
            if found:
                yield found
