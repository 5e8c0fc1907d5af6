"""Redacting: a snapshot or a report without what identifies the PC, its network or its users.

What is replaced wherever it stands, in any case and notation: user, host name, serial number,
domain, proxy, name servers, MAC and IP addresses, hosts that were asked, users in paths; and parts
of those names. What decides conditions is never touched: operating system, processor, sizes,
versions. A condition on a redacted value is not judged by its pseudonym (``pseudonyms.is_redacted``).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final

from pcaudit.core.redact_text import Names, learn, learn_listed
from pcaudit.core.report import Acceptance, Arrangement, Finding, Part, Report, WorksheetSource
from pcaudit.core.snapshot import Form, Observation, Snapshot

if TYPE_CHECKING:
    from pcaudit.core.plan.section import Figure, Section

_Replace = Callable[[str, bool], str]

_NAMED: Final = {
    "session.user": "user",
    "computer.host_name": "host",
    "computer.serial_number": "serial",
    "os.domain": "domain",
    "network.proxy": "proxy",
}
"""Readings whose whole value is a name, and of what."""

_ADDRESSED: Final = {"mac": "mac", "addresses": "ip", "gateway": "ip"}
"""Keys of network adapters that hold addresses."""

_NAMES_IN_ITEMS: Final = {
    "storage.volumes": ("mount",),
    "network.adapters": ("name",),
    "software.packages": ("name", "publisher"),
    "software.services": ("name",),
    "software.runtimes": ("name",),
    "software.antivirus": ("name",),
}
"""Keys of items in which somebody may have put a name, an account, a path or an address."""

_PATHS: Final = frozenset(("storage.volumes",))
"""Lists whose names are paths, which give away users and servers by themselves."""

_THINGS: Final = (*("computer.manufacturer", "computer.model", "computer.firmware_version", "power.plan"),)
"""Readings of what a thing is called, in which a whole name is replaced: a part of it is a word there."""

_THINGS_IN_ITEMS: Final = {
    "storage.drives": ("model",),
    "display.screens": ("name",),
    "display.graphics": ("model", "driver_version"),
}
"""Keys of items that say what a thing is called."""

NOTE: Final = (
    "redacted: names, addresses and serial numbers stand as pseudonyms; it was judged before that, "
    "and this is no report to keep as a record"
)
"""What a redacted report says of itself, among its warnings."""


# -- collecting


def _collect_adapter(item: dict[str, Any], names: Names) -> None:
    for key, kind in _ADDRESSED.items():
        value = item.get(key)
        for one in value if isinstance(value, list) else [value]:
            if isinstance(one, str) and one:
                names.add_address(kind, one)


def _collect_item(name: str, item: dict[str, Any], names: Names) -> None:
    if name == "network.adapters":
        _collect_adapter(item, names)
    elif name == "network.endpoints" and isinstance(item.get("host"), str):
        names.add_address("ip", item["host"])
    note = learn if name in _PATHS else learn_listed
    for key in _NAMES_IN_ITEMS.get(name, ()):
        if isinstance(item.get(key), str):
            note(item[key], names)


def _collect_name(name: str, value: str, names: Names) -> None:
    domain, backslash, user = value.partition("\\")
    if _NAMED[name] == "user" and backslash:
        names.add("domain", domain)
        names.add("user", user)
    names.add(_NAMED[name], value)


def _collect_value(name: str, value: Any, names: Names) -> None:
    if name in _NAMED and isinstance(value, str):
        _collect_name(name, value, names)
    elif name == "network.name_servers":
        for one in value:
            names.add_address("ip", one)
    elif name in _NAMES_IN_ITEMS or name == "network.endpoints":
        for item in value:
            _collect_item(name, item, names)


def _names(snapshot: Snapshot, key: bytes) -> Names:
    names = Names(key, {}, set())
    for name, seen in snapshot.readings.items():
        if seen.form is Form.KNOWN:
            _collect_value(name, seen.value, names)
    for seen in snapshot.readings.values():
        learn(seen.source, names)
        learn(seen.why, names)
    return names


# -- replacing in a snapshot


def _adapter(item: dict[str, Any], names: Names) -> dict[str, Any]:
    out = dict(item)
    for key, kind in _ADDRESSED.items():
        value = out.get(key)
        if isinstance(value, str) and value:
            out[key] = names.add_address(kind, value)
        elif isinstance(value, list):
            out[key] = [names.add_address(kind, one) for one in value]
    return out


def _items(name: str, items: list[dict[str, Any]], names: Names, replace: _Replace) -> list[dict[str, Any]]:
    out = []
    for item in items:
        one = _adapter(item, names) if name == "network.adapters" else dict(item)
        if name == "network.endpoints" and isinstance(one.get("host"), str):
            one["host"] = names.add_address("ip", one["host"])
        for key in _NAMES_IN_ITEMS.get(name, ()):
            if isinstance(one.get(key), str):
                one[key] = replace(one[key], name in _PATHS)
        out.append(one)
    return out


def _things(name: str, value: Any, whole: _Replace) -> Any:
    """What things are called, whole names in it replaced."""
    if isinstance(value, str):
        return whole(value, False)
    keys = _THINGS_IN_ITEMS[name]
    return [
        {key: whole(one, False) if key in keys and isinstance(one, str) else one for key, one in item.items()}
        for item in value
    ]


def _value(name: str, value: Any, names: Names, replace: _Replace) -> Any:
    if name in _NAMED and isinstance(value, str):
        return names.add(_NAMED[name], value)
    if name == "network.name_servers":
        return [names.add_address("ip", one) for one in value]
    if name in _NAMES_IN_ITEMS or name == "network.endpoints":
        return _items(name, value, names, replace)
    return value


def _observation(
    name: str, seen: Observation, names: Names, replace: _Replace, whole: _Replace
) -> Observation:
    value = seen.value
    if seen.form is Form.KNOWN:
        thing = name in _THINGS or name in _THINGS_IN_ITEMS
        value = _things(name, value, whole) if thing else _value(name, value, names, replace)
    return seen._replace(value=value, source=replace(seen.source, True), why=replace(seen.why, True))


def _snapshot(snapshot: Snapshot, names: Names, replace: _Replace) -> Snapshot:
    whole = names.replacer(whole=True)
    readings = {
        name: _observation(name, seen, names, replace, whole) for name, seen in snapshot.readings.items()
    }
    return snapshot._replace(readings=readings)


def redact_snapshot(snapshot: Snapshot, key: bytes) -> Snapshot:
    """A snapshot with pseudonyms for what identifies the PC, its network and its users.

    Args:
        snapshot: As it was taken.
        key: Secret bytes; pseudonyms are the same for the same key and can be compared, and
            whoever has it can find out by trying what they stand for.
    """
    names = _names(snapshot, key)
    return _snapshot(snapshot, names, names.replacer())


# -- replacing in a report


def _acceptance(one: Acceptance | None, replace: _Replace) -> Acceptance | None:
    if one is None:
        return None
    return one._replace(because=replace(one.because, False), by=replace(one.by, False))


def _part(part: Part, replace: _Replace) -> Part:
    return part._replace(
        required=replace(part.required, False),
        because=replace(part.because, False),
        owner=replace(part.owner, False),
        profile=replace(part.profile, True),
        acceptance=_acceptance(part.acceptance, replace),
    )


def _finding(one: Finding, replace: _Replace, free: bool = False) -> Finding:
    return one._replace(
        title=replace(one.title, free),
        required=replace(one.required, free),
        found=replace(one.found, free or one.group == "network"),
        value=replace(one.value, free) if isinstance(one.value, str) else one.value,
        source=replace(one.source, True),
        why=replace(one.why, True),
        because=replace(one.because, free),
        remedy=replace(one.remedy, free),
        owner=replace(one.owner, free),
        profile=replace(one.profile, True),
        parts=tuple(_part(part, replace) for part in one.parts),
        acceptance=_acceptance(one.acceptance, replace),
    )


def _arrangement(one: Arrangement, replace: _Replace) -> Arrangement:
    return one._replace(
        title=replace(one.title, False),
        because=replace(one.because, False),
        remedy=replace(one.remedy, False),
        owner=replace(one.owner, False),
        profile=replace(one.profile, True),
        holder=replace(one.holder, True),
        deputy=replace(one.deputy, True),
        kept=replace(one.kept, True),
        found=replace(one.found, False),
        why=replace(one.why, True),
        note=replace(one.note, True),
    )


# -- replacing what a worksheet says


def _learn_worksheet(sheet: WorksheetSource, names: Names) -> None:
    from pcaudit.core.redact_people import learn_people
    from pcaudit.core.toml_text import parse_toml

    learn_people(parse_toml(sheet.text, sheet.path)[0], names)
    learn(sheet.path, names)


def _unescaped(text: str) -> str:
    """TOML with letters as themselves that were written as escape sequences, so that names are found."""
    import re

    def letter(found: re.Match[str]) -> str:
        code = int(found[1] or found[2], 16)
        return chr(code) if code < _CODES and chr(code).isalnum() else found[0]

    return re.sub(r"\\u([0-9A-Fa-f]{4})|\\U([0-9A-Fa-f]{8})", letter, text)


_CODES: Final = 0x110000
"""Unicode has no code points from here on."""


def _worksheet(sheet: WorksheetSource | None, replace: _Replace) -> WorksheetSource | None:
    if sheet is None:
        return None
    return sheet._replace(
        title=replace(sheet.title, True),
        path=replace(sheet.path, True),
        text=replace(_unescaped(sheet.text), True),
    )


def _section(section: Section, replace: _Replace) -> Section:
    """A part of a plan, all of whose words may come from a worksheet."""
    return section._replace(
        title=replace(section.title, True),
        findings=tuple(_finding(one, replace, free=True) for one in section.findings),
        figures=tuple(_figure(one, replace) for one in section.figures),
        tables=tuple(
            one._replace(
                title=replace(one.title, True),
                rows=tuple(tuple(replace(text, True) for text in row) for row in one.rows),
                data=tuple(_plain(row, replace) for row in one.data),
                note=replace(one.note, True),
            )
            for one in section.tables
        ),
        notes=tuple(replace(line, True) for line in section.notes),
        cautions=tuple(replace(line, True) for line in section.cautions),
        not_asked=tuple(replace(line, True) for line in section.not_asked),
    )


def _figure(one: Figure, replace: _Replace) -> Figure:
    return one._replace(
        title=replace(one.title, True),
        inputs=tuple((name, replace(value, True)) for name, value in one.inputs),
        note=replace(one.note, True),
    )


def _plain(value: Any, replace: _Replace) -> Any:
    if isinstance(value, str):
        return replace(value, True)
    if isinstance(value, dict):
        return {key: _plain(one, replace) for key, one in value.items()}
    return [_plain(one, replace) for one in value] if isinstance(value, list | tuple) else value


def redact_report(report: Report, key: bytes) -> Report:
    """A report with pseudonyms for what identifies the PC, its network and its users.

    Verdicts, ids and digests stay. The text of a profile that names this PC is changed too, and
    its SHA-256 stays that of the file: such a report cannot be checked against it.

    Args:
        report: As it was judged.
        key: As in ``redact_snapshot``.
    """
    names = _names(report.snapshot, key)
    computer = {
        k: v and names.add(_NAMED.get(f"computer.{k}", "name"), v)
        for k, v in report.computer.items()
        if k != "model"
    }
    model = report.computer.get("model")
    for source in report.profiles:
        learn(source.path, names)
    if report.worksheet is not None:
        _learn_worksheet(report.worksheet, names)
    replace = names.replacer()
    backup = report.backup
    items = tuple(
        one._replace(what=replace(one.what, True), basis=replace(one.basis, True)) for one in backup.items
    )
    return report._replace(
        profiles=tuple(
            source._replace(
                title=replace(source.title, False),
                path=replace(source.path, True),
                text=replace(source.text, False),
            )
            for source in report.profiles
        ),
        computer={
            **report.computer,
            **computer,
            **({"model": names.replacer(whole=True)(model, False)} if model else {}),
        },
        findings=tuple(_finding(one, replace) for one in report.findings),
        arrangements=tuple(_arrangement(one, replace) for one in report.arrangements),
        backup=backup._replace(items=items),
        not_asked=tuple(replace(line, True) for line in report.not_asked),
        warnings=(*(replace(line, True) for line in report.warnings), NOTE),
        snapshot=_snapshot(report.snapshot, names, replace),
        sections=tuple(_section(section, replace) for section in report.sections),
        worksheet=_worksheet(report.worksheet, replace),
    )
