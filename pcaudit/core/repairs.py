"""Ways to mend one condition that falls short: each a plan with one step more.

Whoever tries them judges the PC anew after every step. A way that is not in here is only not
found; one that does not mend is found out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Final, NamedTuple

from pcaudit.core import update_paths
from pcaudit.core.catalogue import CATALOGUE, Reading
from pcaudit.core.changes import MEANS, SETTABLE, Means
from pcaudit.core.concessions import Judged
from pcaudit.core.conditions import Requirement, judge, judge_value
from pcaudit.core.context import Context, applies, resolve
from pcaudit.core.derive import Knowledge
from pcaudit.core.fitting_values import choices
from pcaudit.core.free_drives import free_drives, volume_on
from pcaudit.core.hypothesis import Plan, Setting, next_part
from pcaudit.core.judge_items import judge_lists
from pcaudit.core.judge_scalar import binds, judge_scalar
from pcaudit.core.parts import Wants
from pcaudit.core.primary_screen import others, shown
from pcaudit.core.profile import Alternative, AnyOf, Items, Scalar
from pcaudit.core.report import Verdict
from pcaudit.core.snapshot import Form, Snapshot
from pcaudit.core.truth import Truth
from pcaudit.core.union import merged
from pcaudit.core.wording import show_value

Move = Callable[[Plan], Plan]
"""One step more on a plan."""


class Now(NamedTuple):
    """Where a plan has come to.

    Attributes:
        plan: The plan.
        judged: What every condition comes to under it.
        contexts: Of each product, under it.
        snapshot: The PC under it.
        knowledge: As it is judged with.
        listed: Number of items of each list as the PC is, before anything is added.
        strict: Leave out what would still not be known to be met.
    """

    plan: Plan
    judged: Sequence[Judged]
    contexts: Sequence[Context]
    snapshot: Snapshot
    knowledge: Knowledge
    listed: Mapping[str, int]
    strict: bool


def words(requirements: Sequence[Requirement]) -> str:
    """What is required, in words, what is only recommended left out."""
    texts = {one._replace(advised=()).says(): None for one in requirements}
    return " and ".join(texts)


# -- one reading

_PARTS: Final = {
    "memory.installed": ("memory", "installed"),
    "memory.usable": ("memory", "usable"),
    "storage.system_size": ("system drive", "system.size"),
    "storage.system_free": ("system drive", "free"),
    "storage.system_media": ("system drive", "media"),
    "display.primary_width": ("primary screen", "width"),
    "display.primary_height": ("primary screen", "height"),
    "display.primary_logical_width": ("primary screen", "logical_width"),
    "display.primary_logical_height": ("primary screen", "logical_height"),
}
"""The part that mends a reading, and the key that stands for it there."""

_MORE: Final = {"network.wired_count": "network card", "display.screen_count": "screen"}
"""The part of which one more raises a count."""


def _part_move(part: str, wants: Wants) -> Move:
    return lambda plan: plan.wanting(part, wants)


def _more_move(sort: str, wants: Wants) -> Move:
    return lambda plan: plan.wanting(next_part(plan, sort), wants)


def _settings_move(*settings: Setting) -> Move:
    return lambda plan: plan.having(*settings)


def _scaling_moves(name: str, requirement: Requirement, context: Context) -> Iterator[Move]:
    """Show more on the screen there is, by making everything smaller."""
    side = name.rpartition("_")[2]
    pixels, scaling = context.get(f"display.primary_{side}"), context.get("display.primary_scaling")
    if pixels.form is not Form.KNOWN or scaling.form is not Form.KNOWN or scaling.value <= 100:
        return
    if judge_value(requirement, int(pixels.value)).truth is Truth.TRUE:
        yield _settings_move(Setting("display.primary_scaling", 100, "100 %"))


def _primary_moves(name: str, requirement: Requirement, now: Now) -> Iterator[Move]:
    """Make another screen of those there are the primary one."""
    spec = CATALOGUE["display.screens"].items["primary"]
    for index, screen in others(now.snapshot.readings):
        value = shown(name, screen)
        if value is None or index >= now.listed["display.screens"]:
            continue
        if judge_value(requirement, value).truth is Truth.TRUE:
            title = f"{_name_of(screen, index, CATALOGUE['display.screens'])}: {spec.title.lower()}"
            text = show_value(True, spec)
            yield _settings_move(Setting("display.screens", True, text, (), index, "primary", title))


def _setting_moves(condition: Scalar, requirement: Requirement, now: Now, context: Context) -> Iterator[Move]:
    name = condition.record.name
    before = now.plan.settings.get(Setting(name, None, "").name)
    asked = (*(before.wants if before else ()), requirement)
    seen = context.get(name)
    for value in choices(asked, seen.value if seen.form is Form.KNOWN else None):
        yield _settings_move(Setting(name, value, words(asked), asked))


def _scalar_moves(condition: Scalar, now: Now, context: Context) -> list[Move]:
    name = condition.record.name
    if MEANS[name] is Means.NONE:
        return []
    if any(judge(guard, context.get(guard.name)).truth is not Truth.TRUE for guard in condition.guards):
        return []
    if name in _ONLY_WHERE and context.get(_ONLY_WHERE[name]).value is not True:
        return []
    requirement = resolve(condition.requirement, context)
    if name in update_paths.READINGS:
        version = update_paths.update(condition, context, now.snapshot, now.knowledge)
        return [_settings_move(Setting("os.version", version, version))] if version else []
    if name in _PARTS:
        part, key = _PARTS[name]
        found = [_part_move(part, Wants(((key, requirement),)))]
        if part == "primary screen":
            found = [*_primary_moves(name, requirement, now), *found]
        if "_logical_" in name:
            found = [*_scaling_moves(name, requirement, context), *found]
        return found
    if name in _MORE:
        return [_more_move(_MORE[name], Wants())] if _raises(requirement) else []
    # One value that will do is as good as another: the first keeps the search short.
    return list(_setting_moves(condition, requirement, now, context))[:1]


_ONLY_WHERE: Final = {"computer.secure_boot": "computer.secure_boot_capable"}
"""What must be known to be so for a setting to be possible."""


def _raises(requirement: Requirement) -> bool:
    return all(test.form.key in ("minimum", "equal") for test in requirement.required)


# -- items of a list


def _wants(keys: Sequence[Requirement], prefix: str = "") -> Wants:
    return Wants(tuple((prefix + key.name, key) for key in keys))


_SYSTEM_KEYS: Final = frozenset({"size", "free", "media"})
_SCREEN_KEYS: Final = frozenset({"width", "height", "refresh", "diagonal", "ppi", "colour_depth", "name"})


def _replaced(
    keys: Sequence[Requirement], free: frozenset[str], items: Sequence[dict[str, Any]], mark: str
) -> bool:
    """Whether the item that is marked would do, were these keys of it other ones."""
    own = next((item for item in items if item.get(mark) is True), None)
    rest = [key for key in keys if key.name not in free]
    return own is not None and all(_holds(key, own) for key in rest)


def _holds(key: Requirement, item: Mapping[str, Any]) -> bool:
    value = item.get(key.name)
    return value is not None and judge_value(key, value).truth is Truth.TRUE


def _module_moves(table: Items, _now: Now, _items: Sequence[dict[str, Any]]) -> Iterator[Move]:
    wants = _wants(table.keys, "module.")
    yield _part_move("memory", wants._replace(pieces=table.minimum or 1))


def _one_more(sort: str, wants: Wants, now: Now) -> Iterator[Move]:
    """A part that is in the plan already, asked for more; or one part more."""
    for part in now.plan.fitted(sort):
        if any(one not in now.plan.parts[part].of for one in wants.of):
            yield _part_move(part, wants)
    yield _more_move(sort, wants)


def _drive_moves(table: Items, now: Now, _items: Sequence[dict[str, Any]]) -> Iterator[Move]:
    yield _part_move("system drive", _wants(table.keys))
    yield from _one_more("drive", _wants(table.keys), now)


def _free_drive_moves(table: Items, now: Now, items: Sequence[dict[str, Any]]) -> Iterator[Move]:
    """Make a volume on a drive that is there and that no volume needs."""
    listed = {name: now.listed.get(name, 0) for name in ("storage.volumes", "storage.drives")}
    volumes = now.snapshot.get("storage.volumes")
    drives = now.snapshot.get("storage.drives")
    volumes = volumes._replace(value=items[: listed["storage.volumes"]])
    for free in free_drives(volumes, drives):
        if not free.sure or free.drive not in drives.value[: listed["storage.drives"]]:
            continue
        setting = Setting("storage.volumes", None, "", title=f"New volume on the drive {free.label}")
        before = now.plan.settings.get(setting.name)
        wanted = before.wants if before else ()
        asked = (*wanted, *(key for key in table.keys if key not in wanted))
        made = volume_on(free, asked, now.snapshot.readings)
        if made is not None:
            text = ", ".join(f"{key.spec.title.lower()} {words([key])}" for key in asked)
            yield _settings_move(setting._replace(value=made, to=text, wants=asked))


def _volume_moves(table: Items, now: Now, items: Sequence[dict[str, Any]]) -> Iterator[Move]:
    wants = _wants(table.keys, "volume.")
    yield from _free_drive_moves(table, now, items)
    if _replaced(table.keys, _SYSTEM_KEYS, items, "system"):
        yield _part_move("system drive", wants)
    yield from _one_more("drive", wants, now)


def _screen_moves(table: Items, now: Now, items: Sequence[dict[str, Any]]) -> Iterator[Move]:
    wants = _wants(table.keys)
    if _replaced(table.keys, _SCREEN_KEYS, items, "primary"):
        yield _part_move("primary screen", wants)
    yield from _one_more("screen", wants, now)


def _card_moves(table: Items, now: Now, _items: Sequence[dict[str, Any]]) -> Iterator[Move]:
    yield from _one_more("network card", _wants(table.keys), now)


def _graphics_moves(table: Items, now: Now, _items: Sequence[dict[str, Any]]) -> Iterator[Move]:
    yield from _one_more("graphics card", _wants(table.keys), now)


def _install_moves(table: Items, now: Now, _items: Sequence[dict[str, Any]]) -> Iterator[Move]:
    """Something more that is installed, as it is asked."""
    if table.record.lookup:  # what was not asked for cannot be made to answer
        return
    item = {}
    for key in table.keys:
        good = choices([key])
        if not good:
            return
        item[key.name] = good[0]
    title = table.meta.title or table.record.value.title
    number = sum(one.title.partition(" (no. ")[0] == title for one in now.plan.settings.values())
    title += f" (no. {number + 1})" if number else ""
    text = ", ".join(f"{key.spec.title.lower()} {words([key])}" for key in table.keys)
    yield _settings_move(Setting(table.record.name, item, text, title=title))


_NEW: Final[dict[str, Callable[[Items, Now, Sequence[dict[str, Any]]], Iterator[Move]]]] = {
    "memory.modules": _module_moves,
    "storage.drives": _drive_moves,
    "storage.volumes": _volume_moves,
    "display.screens": _screen_moves,
    "display.graphics": _graphics_moves,
    "network.adapters": _card_moves,
    "network.endpoints": _install_moves,
    "software.packages": _install_moves,
    "software.runtimes": _install_moves,
    "software.antivirus": _install_moves,
    "software.services": _install_moves,
}
"""How each list gets an item it has not."""


def _name_of(item: Mapping[str, Any], index: int, record: Reading) -> str:
    for key in ("name", "mount", "model", "host", "size"):
        if item.get(key) is not None and key in record.items:
            return show_value(item[key], record.items[key])
    return f"item {index + 1}"


def _set_item(
    table: Items, index: int, item: Mapping[str, Any], keys: Sequence[Requirement]
) -> list[Setting] | None:
    """Settings that make an item meet these keys of a table; None where none do."""
    settings = []
    label = _name_of(item, index, table.record)
    for key in keys:
        good = choices([key])
        if key.name not in SETTABLE[table.record.name] or not good:
            return None
        if key.name == "primary" and good[0] is not True:
            return None  # one screen is always the primary one
        title = f"{label}: {key.spec.title.lower()}"
        settings.append(Setting(table.record.name, good[0], words([key]), (key,), index, key.name, title))
    return settings


def _fast_enough(table: Items, item: Mapping[str, Any]) -> bool:
    """An adapter's link is no faster than the adapter."""
    asked = [key._replace(name="capable_speed") for key in table.keys if key.name == "speed"]
    return table.record.name != "network.adapters" or all(_holds(key, item) for key in asked)


def _same_thing(table: Items, item: Mapping[str, Any]) -> bool:
    """Of what is installed only the thing asked for can be changed to meet the rest."""
    names = [key for key in table.keys if key.name not in SETTABLE[table.record.name]]
    return all(_holds(key, item) for key in names)


def _change_moves(table: Items, now: Now, items: Sequence[dict[str, Any]]) -> Iterator[Move]:
    """Settings on an item that is there."""
    for index, item in enumerate(items[: now.listed.get(table.record.name, 0)]):
        failing = [key for key in table.keys if not _holds(key, item)]
        if not failing or not _same_thing(table, item) or not _fast_enough(table, item):
            continue
        settings = _set_item(table, index, item, failing)
        if settings:
            yield _settings_move(*settings)


def _unlike(key: Requirement) -> tuple[Any, str] | None:
    """A value that a key does not admit, and the value in words."""
    states: tuple[Any, ...] = ("stopped", "running") if key.spec.title == "State" else (True, False)
    other = next((one for one in states if judge_value(key, one).truth is Truth.FALSE), None)
    return None if other is None else (other, show_value(other, key.spec))


def _remove(table: Items, index: int, item: Mapping[str, Any]) -> list[Setting]:
    """Make an item one that a table does not count: changed, or removed."""
    name = table.record.name
    label = _name_of(item, index, table.record)
    for key in table.keys:
        changeable = key.name in SETTABLE[name] and key.spec.title in (
            "State",
            "Link up",
            "May be powered down",
        )
        other = _unlike(key) if changeable else None
        if other is not None:
            title = f"{label}: {key.spec.title.lower()}"
            return [Setting(name, other[0], other[1], (), index, key.name, title)]
    return [Setting(name, None, "removed", (), index, "", label)] if name.startswith("software.") else []


def _removal_moves(table: Items, now: Now, items: Sequence[dict[str, Any]]) -> Iterator[Move]:
    """One item fewer of those there may be none, or fewer, of."""
    for index, item in enumerate(items[: now.listed.get(table.record.name, 0)]):
        if all(_holds(key, item) for key in table.keys):
            settings = _remove(table, index, item)
            if settings:
                yield _settings_move(*settings)


def _item_moves(table: Items, now: Now, context: Context) -> list[Move]:
    table = table._replace(keys=tuple(resolve(key, context) for key in table.keys))
    seen = context.get(table.record.name)
    items = seen.value if seen.form is Form.KNOWN else []
    counted = [item for item in items if all(_holds(key, item) for key in table.keys)]
    if table.maximum is not None and len(counted) > table.maximum:
        found = list(_removal_moves(table, now, items))
        # Where all must go, which goes first does not matter.
        return found[:1] if table.maximum == 0 else found
    if table.minimum is None:
        return []
    return [*_change_moves(table, now, items), *_NEW[table.record.name](table, now, items)]


def _same_items(judged: Judged, now: Now) -> Items:
    """The tables that ask for the same items as this one, as one."""
    assert isinstance(judged.condition, Items)
    tables = [
        one.condition
        for one in now.judged
        if (one.id, one.number) == (judged.id, judged.number)
        and isinstance(one.condition, Items)
        and one.condition.minimum is not None
        and one.result.verdict is not Verdict.NOT_APPLICABLE
    ]
    if judged.condition.minimum is None or len(tables) < 2:
        return judged.condition
    return merged(tables)._replace(maximum=None)


# -- alternatives


def _part_result(condition: Scalar | Items, context: Context) -> Verdict:
    if isinstance(condition, Scalar):
        return judge_scalar(condition, context).verdict
    return judge_lists([condition], [context])[0].verdict


def _alternative_moves(alternative: Alternative, now: Now, context: Context) -> list[Move]:
    """The first step towards an alternative, where every step can be made."""
    if applies(alternative.meta.when, context).truth is not Truth.TRUE:
        return []
    verdicts = [(one, _part_result(one, context)) for one in alternative.conditions]
    if now.strict and any(v is Verdict.UNVERIFIED and binds(one) for one, v in verdicts):
        return []
    steps = [condition_moves(one, now, context) for one, v in verdicts if v is Verdict.UNMET]
    return steps[0] if steps and all(steps) else []


def condition_moves(condition: Scalar | Items, now: Now, context: Context) -> list[Move]:
    """Ways to mend a condition that is unmet."""
    if isinstance(condition, Scalar):
        return _scalar_moves(condition, now, context)
    return _item_moves(condition, now, context)


def moves(judged: Judged, now: Now) -> list[Move]:
    """Ways to mend what is unmet.

    Args:
        judged: A condition that is unmet.
        now: Where the plan has come to.

    Returns:
        Steps of which one is needed; none where no setting and no part known here mends it.
    """
    context = now.contexts[judged.number]
    condition = judged.condition
    if isinstance(condition, AnyOf):
        return [m for one in condition.alternatives for m in _alternative_moves(one, now, context)]
    if isinstance(condition, Items):
        condition = _same_items(judged, now)
    return condition_moves(condition, now, context)
