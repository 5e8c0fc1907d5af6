"""Parts that would be fitted, and what a PC then reads."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.choose import ask
from pcaudit.core.hypothesis import Plan, Setting, next_part, realise, sort_of
from pcaudit.core.parts import FITTINGS, TITLES, Bought, Wants, name_of
from pcaudit.core.profile import Items, Scalar
from pcaudit.core.snapshot import Form, Snapshot
from tests.core.builders import GB, absent, profile_of, unknown, value
from tests.core.candidates import ADAPTER, TB, mending, mending_of_asked, parts, pc, settings


def _wants(text: str, prefix: str = "") -> Wants:
    """What a condition asks, as a part is asked for it."""
    (condition,) = profile_of(text).conditions
    if isinstance(condition, Items):
        return Wants(tuple((prefix + key.name, key) for key in condition.keys))
    assert isinstance(condition, Scalar)
    return Wants(((prefix, condition.requirement),))


def _fitted(part: str, wants: Wants, snapshot: Snapshot | None = None) -> tuple[Bought, Snapshot] | None:
    world = realise(Plan().wanting(part, wants), snapshot or pc())
    return None if world is None else (world.bought[part], world.snapshot)


def _drives(*sizes_and_media: tuple[int, str]) -> dict[str, Any]:
    return value([{"model": "m", "size": size, "media": media} for size, media in sizes_and_media])


def test_every_part_has_a_title() -> None:
    """Each part that can be fitted says what it is for."""
    assert set(TITLES) == set(FITTINGS)


def test_nothing_else_changes() -> None:
    """A part changes the readings it is about, and no other."""
    before = pc()
    fitted = _fitted("memory", _wants('memory.installed.minimum = "16 GB"\n', "installed"))
    assert fitted is not None
    changed = {name for name in before.readings if fitted[1].get(name) != before.get(name)}
    assert changed == {f"memory.{key}" for key in ("installed", "usable", "modules", "slots_free")}
    assert not any(CATALOGUE[name].derived for name in fitted[1].readings)


def test_more_memory_than_is_sold_is_not_had() -> None:
    """Where no amount that is sold will do there is no part."""
    assert _fitted("memory", _wants('memory.installed.minimum = "90 TB"\n', "installed")) is None


def test_modules_of_unequal_types_leave_the_type_open() -> None:
    """What new modules are is not known where those fitted differ."""
    mixed = value([{"size": 4 * GB, "speed": 3200, "type": "DDR4"}, {"size": 4 * GB, "type": "DDR5"}])
    fitted = _fitted(
        "memory", _wants('memory.installed.minimum = "16 GB"\n', "installed"), pc(memory__modules=mixed)
    )
    assert fitted is not None
    assert fitted[1].get("memory.modules").value == [{"size": 8 * GB, "speed": None, "type": None}] * 2


@pytest.mark.parametrize(
    ("drives", "after"),
    [
        (_drives((500 * 10**9, "hdd")), [(500 * 10**9, "ssd")]),
        # The other drive is too small for the system, or of another kind: it stays.
        (_drives((500 * 10**9, "hdd"), (10**11, "hdd")), [(10**11, "hdd"), (500 * 10**9, "ssd")]),
        (_drives((500 * 10**9, "hdd"), (TB, "ssd")), [(TB, "ssd"), (500 * 10**9, "ssd")]),
        # Two alike: either goes.
        (_drives((TB, "hdd"), (TB, "hdd")), [(TB, "hdd"), (500 * 10**9, "ssd")]),
        # The system lies on both.
        (_drives((3 * 10**11, "hdd"), (3 * 10**11, "hdd"), (10**11, "ssd")), [(500 * 10**9, "ssd")]),
        (_drives((3 * 10**11, "hdd"), (3 * 10**11, "hdd")), [(500 * 10**9, "ssd")]),
        # Two that differ, and either may be the system's: neither is counted on.
        (_drives((TB, "hdd"), (2 * TB, "hdd")), [(500 * 10**9, "ssd")]),
    ],
)
def test_which_drive_goes(drives: dict[str, Any], after: list[tuple[int, str]]) -> None:
    """The system's drive is replaced where it can be told, and a drive that may be it is not counted on."""
    wants = _wants('storage.system_media = "ssd"\n', "media")
    fitted = _fitted("system drive", wants, pc(storage__drives=drives))
    assert fitted is not None
    assert [(one["size"], one["media"]) for one in fitted[1].get("storage.drives").value] == after


def test_a_new_system_drive_changes_its_volume() -> None:
    """Size, space and kind of the system's volume are those of the new drive, what is used stays."""
    fitted = _fitted("system drive", _wants('storage.system_free.minimum = "1 TB"\n', "free"))
    assert fitted is not None
    bought, snapshot = fitted
    assert name_of(bought) == "ssd 2 TB"
    (volume,) = snapshot.get("storage.volumes").value
    size = snapshot.get("storage.system_size").value
    assert volume["size"] == size == int(2 * TB * 0.98)
    assert volume["free"] == snapshot.get("storage.system_free").value == size - 450 * 10**9
    assert volume["media"] == snapshot.get("storage.system_media").value == "ssd"


def test_space_that_is_reserved_moves_too() -> None:
    """What is neither free nor counted as used goes over with the system."""
    reserved = pc(storage__system_used=value(400 * 10**9))
    fitted = _fitted("system drive", _wants('storage.system_media = "ssd"\n', "media"), reserved)
    assert fitted is not None
    assert fitted[1].get("storage.system_free").value == int(500 * 10**9 * 0.98) - 450 * 10**9


def test_without_the_free_space_the_whole_volume_moves() -> None:
    """Where only the size is known, all of it must fit."""
    blind = pc(storage__system_free=unknown(), storage__system_used=unknown(), storage__drives=unknown())
    fitted = _fitted("system drive", _wants('storage.system_media = "ssd"\n', "media"), blind)
    assert fitted is not None
    assert fitted[1].get("storage.system_free").value == 0
    assert fitted[1].get("storage.drives").form is Form.UNKNOWN


@pytest.mark.parametrize(
    ("part", "wants"),
    [
        ("drive 1", _wants('[[storage.volumes]]\nid = "v"\nkind = "network"\n', "volume.")),
        ("drive 1", _wants('[[storage.volumes]]\nid = "v"\nsystem = true\n', "volume.")),
        ("drive 1", _wants('[[storage.drives]]\nid = "d"\nsize.minimum = "90 TB"\n')),
        ("network card 1", _wants('[[network.adapters]]\nid = "a"\nmedium = "virtual"\n')),
        ("network card 1", _wants('[[network.adapters]]\nid = "a"\nmac = "00:00:5e:00:53:01"\n')),
        ("network card 1", _wants('[[network.adapters]]\nid = "a"\ncapable_speed.minimum = "1 Tbit/s"\n')),
        ("screen 1", _wants('[[display.screens]]\nid = "s"\nprimary = true\n')),
        ("screen 1", _wants('[[display.screens]]\nid = "s"\nwidth.minimum = 90000\n')),
        ("primary screen", _wants("display.primary_width.minimum = 90000\n", "width")),
        ("graphics card 1", _wants('[[display.graphics]]\nid = "g"\nmemory.minimum = "1 TB"\n')),
        ("system drive", _wants('storage.system_size.minimum = "90 TB"\n', "system.size")),
    ],
)
def test_what_cannot_be_had(part: str, wants: Wants) -> None:
    """No part is made up for what none that is sold, and none that is added, will do."""
    assert _fitted(part, wants) is None


def test_a_contradiction_cannot_be_had() -> None:
    """A part of which two things are asked that exclude each other is none."""
    both = (
        *_wants('storage.system_media = "ssd"\n', "media").of,
        *_wants('storage.system_media = "hdd"\n', "media").of,
    )
    assert _fitted("system drive", Wants(both)) is None
    assert _fitted("drive 1", Wants(both)) is None


def test_a_wireless_card_is_one() -> None:
    """A card for a row that asks for a wireless one is bought and priced as such."""
    fitted = _fitted("network card 1", _wants('[[network.adapters]]\nid = "a"\nmedium = "wireless"\n'))
    assert fitted is not None and name_of(fitted[0]) == "wireless card 1 Gbit/s"


def test_a_removable_volume_says_so() -> None:
    """A drive of which more is asked than its size says it in its name."""
    wants = _wants('[[storage.volumes]]\nid = "v"\nkind = "removable"\n', "volume.")
    fitted = _fitted("drive 1", wants)
    assert fitted is not None and name_of(fitted[0]) == "ssd 250 GB kind removable"


def test_a_screen_by_its_diagonal_and_sharpness() -> None:
    """Resolution and diagonal are chosen together, and named."""
    text = '[[display.screens]]\nid = "s"\nppi.minimum = 100\ndiagonal.minimum = "24 in"\n'
    fitted = _fitted("screen 1", _wants(text))
    assert fitted is not None
    assert fitted[0].amounts == (2560, 1440) and len(fitted[0].extras) == 2
    (_, new) = fitted[1].get("display.screens").value
    assert (new["diagonal"], new["primary"]) == (24, False)


def test_a_primary_screen_that_was_not_in_the_list_is_added() -> None:
    """Where no screen is marked as the primary one the new one is."""
    unmarked = value([{"name": "Osier", "width": 1280, "height": 1024}])
    fitted = _fitted(
        "primary screen",
        _wants("display.primary_width.minimum = 1900\n", "width"),
        pc(display__screens=unmarked, display__primary_scaling=unknown()),
    )
    assert fitted is not None
    assert [one.get("primary") for one in fitted[1].get("display.screens").value] == [None, True]
    assert fitted[1].get("display.primary_scaling").form is Form.UNKNOWN


def test_logical_pixels_need_a_scaling() -> None:
    """Where the scaling is not known no screen is said to show enough after it."""
    wants = _wants("display.primary_logical_width.minimum = 1200\n", "logical_width")
    assert _fitted("primary screen", wants, pc(display__primary_scaling=unknown())) is None


def test_parts_are_numbered() -> None:
    """Parts of which there may be several are told apart by a number, the others have none."""
    plan = Plan().wanting("drive 1", Wants())
    assert (next_part(plan, "drive"), next_part(plan, "memory")) == ("drive 2", "memory")
    assert (sort_of("network card 12"), sort_of("memory")) == ("network card", "memory")


def test_a_setting_on_a_list_that_is_absent_makes_one() -> None:
    """Something installed where there was no list at all is the only item."""
    setting = Setting("software.packages", {"name": "x"}, "x", title="X")
    world = realise(Plan().having(setting), pc(software__packages=absent("none")))
    assert world is not None and world.snapshot.get("software.packages").value == [{"name": "x"}]


# -- ways to mend items


@pytest.mark.parametrize(
    ("asked", "state", "becomes"),
    [("running", "running", "stopped"), ("stopped", "stopped", "running")],
)
def test_a_service_that_must_not_be_so_is_set_otherwise(asked: str, state: str, becomes: str) -> None:
    """A service that may not run is stopped, one that may not be stopped is started."""
    text = f'[[software.services]]\nid = "s"\ncount = 0\nname = "logger"\nstate = "{asked}"\n'
    found = mending(text, pc(software__services=value([{"name": "logger", "state": state}])))
    assert settings(found) == {"Software: logger: state": becomes} and found.passes


def test_adapters_that_may_not_be_powered_down_are_all_set() -> None:
    """Where there may be none, every one that counts is set otherwise."""
    adapters = value([{**ADAPTER, "name": name} for name in ("eth0", "eth1")])
    text = '[[network.adapters]]\nid = "a"\ncount = 0\npower_saving = true\n'
    found = mending(text, pc(network__adapters=adapters))
    assert list(settings(found).values()) == ["no", "no"] and found.passes


def test_an_adapter_too_many_is_not_taken_out() -> None:
    """Hardware that there may be no more of is not said to be mended by a setting."""
    text = '[[network.adapters]]\nid = "a"\ncount = 0\nmedium = "wired"\n'
    assert [one.id for one in mending(text, pc()).left] == ["network.adapters[a]"]


def test_one_program_fewer_where_one_may_stay() -> None:
    """Of two programs of which one may stay one is removed."""
    two = value([{"name": "Old 1"}, {"name": "Old 2"}])
    text = '[[software.packages]]\nid = "o"\ncount.maximum = 1\nname.matches = "Old*"\n'
    assert list(settings(mending(text, pc(software__packages=two))).values()) == ["removed"]


def test_two_programs_of_one_name_are_installed_apart() -> None:
    """Two that are asked for are two settings, told apart by a number."""
    text = '[[software.runtimes]]\nid = "r"\ntitle = "Runtime"\ncount.minimum = 2\nname = "Runtime"\n'
    assert list(settings(mending(text, pc()))) == ["Software: Runtime", "Software: Runtime (no. 2)"]


def test_tables_under_one_id_ask_for_one_item() -> None:
    """What a base and an option ask of the same items is met by one card."""
    text = (
        '[[network.adapters]]\nid = "a"\ncapable_speed.minimum = "2.5 Gbit/s"\n'
        '[[options.x.network.adapters]]\nid = "a"\naddressing = "static"\n'
    )
    found = mending_of_asked(ask([profile_of(text)], ["x"]), pc())
    assert parts(found) == ["network card 2.5 Gbit/s"] and found.passes


def test_an_endpoint_that_was_not_asked_is_not_made_to_answer() -> None:
    """An endpoint that did not answer is a setting, one that was not asked is not known."""
    text = '[[network.endpoints]]\nid = "e"\nhost = "h.example"\nport.equal = 443\nreachable = true\n'
    item = {"host": "h.example", "port": 443, "reachable": False}
    found = mending(text, pc(network__endpoints=value([item])))
    assert settings(found) == {"Network: h.example: reachable": "yes"} and found.passes
    assert mending(text, pc(network__endpoints=value([]))).changes == ()


def test_an_alternative_for_other_pcs_is_no_way() -> None:
    """An alternative that is not about this PC is not taken, however cheap."""
    text = (
        '[[power.any_of]]\nsleep_after = "never"\n'
        'when = { "os.type" = "windows" }\n[[power.any_of]]\nusb_suspend = false\nsource = "mains"\n'
    )
    found = mending(text, pc(power__source=value("battery")))
    assert settings(found) == {"Power: USB suspend": "no", "Power: Power source": "mains"}


def test_an_alternative_that_stays_unknown_is_the_last_resort() -> None:
    """An alternative of which something would still not be known is taken only where no other is."""
    unsure = '[[power.any_of]]\nsleep_after = "never"\nplan = "Quiet"\n'
    sure = '[[power.any_of]]\nusb_suspend = false\nsource = "mains"\n'
    battery = pc(power__source=value("battery"))
    assert settings(mending(unsure + sure, battery)) == {
        "Power: USB suspend": "no",
        "Power: Power source": "mains",
    }
    found = mending(unsure, battery)
    assert settings(found) == {"Power: Sleep after": "never"} and not found.passes
    assert [one.id for one in found.unread] == ["power.any_of"]
