"""Versions: schemes that read them, ranges, and whether a range can be satisfied.

Nothing reaches a comparison but what a scheme has read: a version that does not follow the
scheme is neither inside nor outside a range, it is not known to be either.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, Final, NamedTuple

from pcaudit.core.truth import Answer, answer, cannot_tell, every, some

_CLAUSE = re.compile(r"\s*(>=|<=|==|!=|~=|<|>|=)?\s*(\S(?:.*\S)?)\s*", re.DOTALL)
_DOTTED = re.compile(r"[vV]?([0-9]{1,12}(?:\.[0-9]{1,12}){0,15})", re.ASCII)
_SEMVER = re.compile(  # Semantic Versioning 2.0.0, the expression of its own FAQ; a leading v is common
    r"v?(0|[1-9]\d{0,11})\.(0|[1-9]\d{0,11})\.(0|[1-9]\d{0,11})"
    r"(?:-((?:0|[1-9]\d*|\d*[a-zA-Z-][0-9a-zA-Z-]*)(?:\.(?:0|[1-9]\d*|\d*[a-zA-Z-][0-9a-zA-Z-]*))*))?"
    r"(?:\+([0-9a-zA-Z-]+(?:\.[0-9a-zA-Z-]+)*))?",
    re.ASCII,
)
_DEBIAN = re.compile(  # Debian Policy 5.6.12
    r"(?:([0-9]{1,9}):)?([0-9][A-Za-z0-9.+~:-]*?)(?:-([A-Za-z0-9.+~]+))?", re.ASCII
)
LIMIT: Final = 200
"""Characters of a version or range at most."""


class RangeError(ValueError):
    """Text that is no version range; the message says why, ``hint`` what would be right."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


class Clause(NamedTuple):
    """One bound: an operator and a version as its scheme read it."""

    operator: str
    version: Any
    text: str


class Range(NamedTuple):
    """Bounds that must all hold, read by one scheme."""

    text: str
    scheme: str
    clauses: tuple[Clause, ...]


class Scheme(NamedTuple):
    """A way to read and order versions.

    Attributes:
        name: As profiles write it.
        example: A version it reads.
        read: Text to an ordered value; None where the text is not of this scheme.
        holds: Whether a version satisfies one clause.
        unsatisfiable: Whether no version satisfies all clauses.
    """

    name: str
    example: str
    read: Callable[[str], Any]
    holds: Callable[[Clause, Any, bool], Answer]
    unsatisfiable: Callable[[tuple[Clause, ...]], bool]


_ORDER: Final[dict[str, Callable[[int], bool]]] = {
    ">=": lambda sign: sign >= 0,
    "<=": lambda sign: sign <= 0,
    "==": lambda sign: sign == 0,
    "!=": lambda sign: sign != 0,
    "<": lambda sign: sign < 0,
    ">": lambda sign: sign > 0,
}


def _sign(first: Any, second: Any) -> int:
    return int(first > second) - int(first < second)


# -- dotted: digits and dots, each bound compared only as far as it is written


def _read_dotted(text: str) -> tuple[int, ...] | None:
    match = _DOTTED.fullmatch(text.strip())
    return tuple(int(part) for part in match[1].split(".")) if match else None


def _dotted_holds(clause: Clause, version: tuple[int, ...], abbreviated: bool) -> Answer:
    bound = clause.version
    length = len(bound)
    decide = _ORDER[clause.operator]
    if abbreviated and len(version) < length and bound[: len(version)] == version:
        # What was left out may be anything from zero up, so the bound's own value is possible too.
        rest = bound[len(version) :]
        possible = {decide(sign) for sign in (_sign((0,) * len(rest), rest), 0, 1)}
        if len(possible) > 1:
            shown = ".".join(map(str, version))
            return cannot_tell(f"{shown} leaves out the parts that {clause.operator}{clause.text} compares")
        return answer(possible.pop())
    cut = version[:length] + (0,) * (length - len(version))
    return answer(decide(_sign(cut, bound)))


def _as_pep440(clause: Clause) -> str:
    parts = list(clause.version)
    shown = ".".join(map(str, parts))
    if clause.operator in ("==", "!="):
        return f"{clause.operator}{shown}.*"
    if clause.operator in (">", "<="):  # past every version that begins like the bound, or up to them
        parts[-1] += 1
        return f"{'>=' if clause.operator == '>' else '<'}{'.'.join(map(str, parts))}"
    return f"{clause.operator}{shown}"


def specifier(clauses: tuple[Clause, ...]) -> str:
    """A dotted range in the words of the Python version specifiers specification."""
    return ",".join(_as_pep440(clause) for clause in clauses)


def _trimmed(version: Any) -> tuple[int, ...]:
    """A version without trailing zeros, which mean nothing: tuples then order as versions do."""
    parts = tuple(version)
    while parts and parts[-1] == 0:
        parts = parts[:-1]
    return parts


def _next(version: Any) -> tuple[int, ...]:
    """The first version past every one that begins like this."""
    return (*version[:-1], version[-1] + 1)


def _dotted_unsatisfiable(clauses: tuple[Clause, ...]) -> bool:
    if any(clause.operator in ("==", "!=") for clause in clauses) and len(clauses) > 1:
        from packaging.specifiers import SpecifierSet

        if SpecifierSet(specifier(clauses), prereleases=False).is_unsatisfiable():
            return True
    # Half-open intervals, from the first version allowed to the first one past the last allowed.
    lower = [
        c.version if c.operator == ">=" else _next(c.version) for c in clauses if c.operator in (">=", ">")
    ]
    upper = [
        c.version if c.operator == "<" else _next(c.version) for c in clauses if c.operator in ("<", "<=")
    ]
    if not upper:
        return False
    return min(map(_trimmed, upper)) <= max(map(_trimmed, lower), default=())


# -- pep440, by the packaging library


def _read_pep440(text: str) -> Any:
    from packaging.version import InvalidVersion, Version

    try:
        return Version(text)
    except InvalidVersion:
        return None


def _pep440_holds(clause: Clause, version: Any, _abbreviated: bool) -> Answer:
    from packaging.specifiers import SpecifierSet

    return answer(
        SpecifierSet(f"{clause.operator}{clause.text}", prereleases=True).contains(version, prereleases=True)
    )


def _pep440_unsatisfiable(clauses: tuple[Clause, ...]) -> bool:
    from packaging.specifiers import SpecifierSet

    text = ",".join(f"{c.operator}{c.text}" for c in clauses)
    return SpecifierSet(text, prereleases=True).is_unsatisfiable()


# -- semver, Semantic Versioning 2.0.0, section 11


def _read_semver(text: str) -> Any:
    match = _SEMVER.fullmatch(text.strip())
    if not match:
        return None
    numbers = tuple(int(match[i]) for i in (1, 2, 3))
    if match[4] is None:
        return (numbers, (1,))
    before = tuple((0, int(p), "") if p.isdigit() else (1, 0, p) for p in match[4].split("."))
    return (numbers, (0, before))


# -- debian, Debian Policy 5.6.12


def _weight(character: str) -> int:
    if character == "~":
        return -1
    return ord(character) if character.isalpha() else ord(character) + 256


def _debian_key(text: str) -> tuple[Any, ...]:
    key: list[Any] = []
    for letters, digits in re.findall(r"([^0-9]*)([0-9]*)", text):
        if letters or digits:
            # The end of the letters sorts before every letter but after a tilde.
            key.append((*(_weight(c) for c in letters), 0))
            key.append(int(digits or 0))
    return (*key, (0,))


def _read_debian(text: str) -> Any:
    match = _DEBIAN.fullmatch(text.strip())
    # A colon may stand only behind an epoch's own, a hyphen only before a revision's own.
    if not match or (":" in match[2] and not match[1]) or ("-" in match[2] and not match[3]):
        return None
    return (int(match[1] or 0), _debian_key(match[2]), _debian_key(match[3] or "0"))


def _ordered_holds(clause: Clause, version: Any, _abbreviated: bool) -> Answer:
    return answer(_ORDER[clause.operator](_sign(version, clause.version)))


def _ordered_unsatisfiable(clauses: tuple[Clause, ...]) -> bool:
    """For a dense order: whether the bounds leave nothing between them."""
    lower = [c for c in clauses if c.operator in (">=", ">", "==")]
    upper = [c for c in clauses if c.operator in ("<=", "<", "==")]
    for low in lower:
        for high in upper:
            sign = _sign(low.version, high.version)
            if sign > 0 or (sign == 0 and (low.operator == ">" or high.operator == "<")):
                return True
    exact = [c.version for c in clauses if c.operator == "=="]
    return any(c.operator == "!=" and c.version in exact for c in clauses)


SCHEMES: Final = {
    scheme.name: scheme
    for scheme in (
        Scheme("dotted", "10.0.19045", _read_dotted, _dotted_holds, _dotted_unsatisfiable),
        Scheme("pep440", "2.1rc1", _read_pep440, _pep440_holds, _pep440_unsatisfiable),
        Scheme("semver", "1.4.0-beta.2", _read_semver, _ordered_holds, _ordered_unsatisfiable),
        Scheme("debian", "1:2.30-1+deb12u1", _read_debian, _ordered_holds, _ordered_unsatisfiable),
    )
}


def _clause(text: str, scheme: Scheme) -> Clause:
    match = _CLAUSE.fullmatch(text)
    if not match:
        raise RangeError("an empty bound", "write bounds such as >=10.0.19045,<11 with commas between them")
    operator, version = match[1] or "==", match[2]
    if operator == "=":
        raise RangeError(f"{text.strip()!r} has a single =", "write ==")
    if operator == "~=" and scheme.name != "pep440":
        raise RangeError(f"~= is no operator of the {scheme.name} scheme", "write both bounds: >=2.2,<3")
    if scheme.name == "pep440" and (match[1] or version.endswith(".*")):
        # The specification does not let every version follow every operator (>=1.0+local).
        _check_pep440(f"{operator}{version}")
    if operator == "~=" or (version.endswith(".*") and scheme.name == "pep440"):
        return Clause(operator, version, version)
    if version.endswith(".*"):
        raise RangeError(
            f"{version!r} ends in .*", "leave it out: a bound is compared only as far as written"
        )
    read = scheme.read(version)
    if read is None:
        raise RangeError(
            f"{version!r} is no version of the {scheme.name} scheme", _schemes_for(version, scheme.name)
        )
    return Clause(operator, read, version)


def _check_pep440(text: str) -> None:
    from packaging.specifiers import InvalidSpecifier, SpecifierSet

    try:
        SpecifierSet(text)
    except InvalidSpecifier:
        raise RangeError(f"{text!r} is no version specifier", "see PEP 440, for example ~=2.2") from None


def _reads_as_written(scheme: Scheme, version: str) -> bool:
    """Whether a scheme reads a version and means what is written.

    PEP 440 takes "9.0c" for a release candidate and "2.3-1" for a post-release.
    """
    read = scheme.read(version)
    if scheme.name == "pep440" and read is not None:
        return str(read) == version.strip().lower().removeprefix("v")
    return read is not None


def _schemes_for(version: str, but: str) -> str:
    from pcaudit.core.version_hints import RELEASE_HINT, is_release

    if is_release(version):
        return RELEASE_HINT
    able = [s.name for s in SCHEMES.values() if s.name != but and _reads_as_written(s, version)]
    if able:
        return f"a scheme that reads it: {' or '.join(able)}"
    return f"no scheme here reads it; {but} reads versions such as {SCHEMES[but].example}"


def _in_this_notation(text: str, error: RangeError) -> RangeError:
    from pcaudit.core.version_hints import meant

    hint = meant(text)
    return RangeError(f"{text!r} is no version range", hint) if hint else error


def _check_bare(text: str) -> None:
    """Refuse a bare version behind a comma: a decimal comma would make two bounds of one version."""
    parts = [part.strip() for part in text.split(",")]
    if any(part[0] not in "<>=!~" for part in parts[1:]):
        from pcaudit.core.version_hints import behind_comma

        raise RangeError(f"{text!r} has a bare version behind a comma", behind_comma(parts))


def read_range(text: str, scheme: str = "dotted") -> Range:
    """Read a version range.

    Args:
        text: Bounds with commas between them, all of which must hold; a bare version is ``==``.
        scheme: Name of the scheme that reads them.

    Returns:
        The range.

    Raises:
        RangeError: No such scheme, no range, or a range that no version satisfies.
    """
    if scheme not in SCHEMES:
        raise RangeError(f"{scheme!r} is no version scheme", f"schemes: {', '.join(SCHEMES)}")
    if len(text) > LIMIT:
        raise RangeError(f"a version range of {len(text)} characters", f"at most {LIMIT}")
    found = SCHEMES[scheme]
    try:
        clauses = tuple(_clause(part, found) for part in text.split(","))
    except RangeError as error:
        raise _in_this_notation(text, error) from None
    if len(clauses) > 1:
        _check_bare(text)
    if found.unsatisfiable(clauses):
        raise RangeError(f"no version satisfies {text!r}", "the bounds exclude each other")
    return Range(text, scheme, clauses)


def contains(allowed: Range, version: str, abbreviated: bool = False) -> Answer:
    """Whether a version lies in a range.

    Args:
        allowed: The range.
        version: The version as the PC gives it.
        abbreviated: The PC may have left out its last parts ("12" for "12.5").

    Returns:
        Yes, no, or cannot be known where the range's scheme does not read the version.
    """
    scheme = SCHEMES[allowed.scheme]
    read = scheme.read(version) if len(version) <= LIMIT else None
    if read is None:
        hint = _schemes_for(version, scheme.name) if len(version) <= LIMIT else "it is too long"
        return cannot_tell(f"{version[:60]!r} is no version of the {scheme.name} scheme: {hint}")
    return every(scheme.holds(clause, read, abbreviated) for clause in allowed.clauses)


def contained_in_any(ranges: tuple[Range, ...], version: str, abbreviated: bool = False) -> Answer:
    """Whether a version lies in one of several ranges (a range with holes)."""
    return some(contains(one, version, abbreviated) for one in ranges)


_OPPOSITE: Final = {">=": "<", "<": ">=", "<=": ">", ">": "<=", "==": "!=", "!=": "=="}


def within(inner: Range, outer: Range) -> bool:
    """Whether it is certain that every version in one range is in another.

    False where it cannot be told: ranges of different schemes, and those of PEP 440, whose operators
    have no opposites.
    """
    if inner.scheme != outer.scheme or inner.scheme == "pep440":
        return False
    impossible = SCHEMES[inner.scheme].unsatisfiable
    return all(
        impossible((*inner.clauses, clause._replace(operator=_OPPOSITE[clause.operator])))
        for clause in outer.clauses
    )


def both(first: Range, second: Range) -> bool:
    """Whether some version may lie in both of two ranges; ranges of different schemes always may."""
    if first.scheme != second.scheme:
        return True
    return not SCHEMES[first.scheme].unsatisfiable(first.clauses + second.clauses)
