"""What every part of a plan comes to: findings, figures with formula and inputs, tables, curves."""

from __future__ import annotations

from typing import Any, NamedTuple

from pcaudit.core.finding import Finding, Verdict


class Figure(NamedTuple):
    """A computed number, with what it was computed from.

    Attributes:
        id: ``backup.full.transfer``; unique in a plan.
        title: What it is, for people.
        value: In ``unit``; None where an input is missing.
        unit: Base unit, as ``core/units.py`` and ``core/site_units.py`` name them.
        shown: The value for people.
        formula: How it is computed, in the names of ``inputs``: ``size x 8 / (line rate x goodput)``.
        inputs: Each name in the formula, and its value for people.
        note: What limits it: "a lower bound: disks and protocols are slower".
        source: Published source of formula or constant, if there is one.
    """

    id: str
    title: str
    value: float | None
    unit: str
    shown: str
    formula: str
    inputs: tuple[tuple[str, str], ...] = ()
    note: str = ""
    source: str = ""


class Table(NamedTuple):
    """Rows for people, all of one shape; ``data`` holds the same for machines, a mapping for each row."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    data: tuple[dict[str, Any], ...] = ()
    note: str = ""


class Curve(NamedTuple):
    """Something that grows over time, and the lines it may not cross.

    Attributes:
        title: What is drawn.
        unit: Base unit of the amounts.
        points: ISO days and amounts, in order.
        limits: Each line's name and amount.
    """

    title: str
    unit: str
    points: tuple[tuple[str, float], ...]
    limits: tuple[tuple[str, float], ...]


class Section(NamedTuple):
    """One part of a plan.

    Attributes:
        name: backup, storage, place, network, arrangements, calendar.
        title: For people.
        findings: What was held against what; their ids begin with ``name`` and a dot. ``profile``
            and ``line`` say where in the worksheet, ``group`` is ``name``.
        figures, tables, curves: What was computed.
        notes: What a reader must know of it.
        cautions: What must be minded by whoever does the work.
        not_asked: What the worksheet leaves blank, one line each.
    """

    name: str
    title: str
    findings: tuple[Finding, ...] = ()
    figures: tuple[Figure, ...] = ()
    tables: tuple[Table, ...] = ()
    curves: tuple[Curve, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    not_asked: tuple[str, ...] = ()

    @property
    def asked(self) -> bool:
        """Whether the worksheet says anything of it."""
        return bool(self.findings) or not self.not_asked


def finding(
    section: str,
    name: str,
    title: str,
    verdict: Verdict,
    *,
    required: str,
    found: str,
    file: str,
    line: int,
    because: str = "",
    remedy: str = "",
    owner: str = "lab",
    why: str = "",
    source: str = "worksheet",
    binding: bool = True,
) -> Finding:
    """A finding of a plan; ``because``, ``remedy`` and ``why`` as in every finding."""
    return Finding(
        id=f"{section}.{name}",
        title=title,
        group=section,
        verdict=verdict,
        binding=binding,
        required=required,
        found=found,
        value=None,
        source=source,
        why=why,
        because=because,
        remedy=remedy,
        owner=owner,
        profile=file,
        line=line,
        digest="",
    )
