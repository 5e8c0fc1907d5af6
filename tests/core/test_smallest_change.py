"""The smallest set of changes with which a PC passes."""

from __future__ import annotations

from itertools import combinations, product
from typing import Any, Final

import pytest
from hypothesis import given, settings as settings_of, strategies as st

from pcaudit.core.changes import Means
from pcaudit.core.choose import ask
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.prices import Priced, Prices
from pcaudit.core.report import Outcome, outcome_of
from pcaudit.core.smallest_change import Question, Search
from pcaudit.core.snapshot import from_mapping, to_mapping
from tests.core.builders import GB, absent, at_least, profile_of, unknown, value
from tests.core.candidates import ADAPTER, KNOWLEDGE, ON, TB, mending, mending_of, only, parts, pc, settings

WIRED = '[[network.adapters]]\nid = "{id}"\nmedium = "wired"\ncapable_speed.minimum = "1 Gbit/s"\n'
EURO = Prices(
    "EUR",
    (
        Priced("memory 16 GB", "memory", (16 * GB,), 6000),
        Priced("memory 32 GB", "memory", (32 * GB,), 11000),
        Priced("ssd 2 TB", "ssd", (2 * TB,), 9000),
        Priced("network card 1 Gbit/s", "network card", (10**9,), 2500),
    ),
)


def test_a_pc_that_passes_needs_nothing() -> None:
    """What is met needs no change, and the PC passes as it is."""
    found = mending("cpu.cores.minimum = 4\n", pc())
    assert (found.changes, found.passes) == ((), True)


def test_settings_are_settings() -> None:
    """Each unmet setting is one change, with what it is and what it must be."""
    found = mending('[power]\nsleep_after = "never"\nusb_suspend = false\n', pc())
    assert settings(found) == {"Power: Sleep after": "never", "Power: USB suspend": "no"}
    assert [one.now for one in found.changes] == ["30 min", "yes"]
    assert [one.mends for one in found.changes] == [("power.sleep_after",), ("power.usb_suspend",)]
    assert found.passes


def test_one_part_mends_several_conditions() -> None:
    """Memory is bought once, by its tightest minimum; a drive serves space, media and size."""
    text = (
        '[memory]\ninstalled.minimum = "12 GB"\nusable.minimum = "16 GB"\n'
        '[storage]\nsystem_media = "ssd"\nsystem_free.minimum = "100 GB"\nsystem_size.minimum = "800 GB"\n'
        '[[storage.drives]]\nid = "fast"\nmedia = "ssd"\nbus = "nvme"\n'
    )
    found = mending(text, pc())
    # 16 GB fitted are less usable: firmware keeps 200 MB, so the next size up it is.
    assert parts(found) == ["memory 24 GB", "ssd 1 TB bus nvme"]
    assert found.changes[0].mends == ("memory.installed", "memory.usable")
    assert set(found.changes[1].mends) == {
        *("storage.system_media", "storage.system_free", "storage.system_size", "storage.drives[fast]"),
    }
    assert found.passes


def test_the_system_moves_to_the_new_drive_as_it_is() -> None:
    """What is on the system volume must fit on the new drive and leave the space asked."""
    assert parts(mending('storage.system_free.minimum = "30 GB"\nstorage.system_media = "ssd"\n', pc())) == [
        "ssd 500 GB"
    ]
    assert parts(mending('storage.system_free.minimum = "60 GB"\n', pc())) == ["ssd 1 TB"]


def test_without_knowing_what_is_used_no_drive_is_chosen() -> None:
    """Where the space in use cannot be known, no drive is said to be large enough."""
    blind = pc(storage__system_used=unknown(), storage__system_size=unknown())
    found = mending('storage.system_free.minimum = "60 GB"\n', blind)
    assert not found.passes and [one.id for one in found.left] == ["storage.system_free"]


def test_memory_of_which_some_is_kept_back_unknown() -> None:
    """Where what is kept back is not known, no amount is said to leave enough usable."""
    found = mending('memory.usable.minimum = "8 GB"\n', pc(memory__installed=at_least(7 * GB)))
    assert not found.passes
    assert [one.id for one in found.unread] == ["memory.usable"]
    assert "with the changes made" in only(found.unread).why


def test_one_network_card_serves_one_row() -> None:
    """Each adapter row that none serves needs a card of its own."""
    rows = "".join(WIRED.format(id=name) for name in "abc")
    found = mending(rows, pc())
    assert parts(found) == ["network card 1 Gbit/s"] * 2
    assert found.passes


def test_a_card_for_a_row_counts_as_a_wired_adapter() -> None:
    """One card serves the number of adapters and the row that asks more of one of them."""
    text = "network.wired_count.minimum = 2\n" + WIRED.format(id="a") + WIRED.format(id="b")
    found = mending(text + 'addressing = "static"\npower_saving = false\n', pc())
    assert parts(found) == ["network card 1 Gbit/s"]
    assert found.of(Means.SETTING) == ()
    assert "addressing static" in only(found.of(Means.PART)).caveat
    assert found.passes


def test_a_setting_goes_before_a_part() -> None:
    """An adapter that is there and only set otherwise is set, not bought."""
    found = mending(WIRED.format(id="a") + 'addressing = "static"\npower_saving = false\n', pc())
    assert settings(found) == {
        "Network: eth0: addressing": "static",
        "Network: eth0: may be powered down": "no",
    }
    assert parts(found) == [] and found.passes


STATIC = WIRED.format(id="a") + 'addressing = "static"\n'
SITE = {**ADAPTER, "name": "Ethernet", "gateway": "192.0.2.1"}
IDLE = {**ADAPTER, "name": "Ethernet 2", "link_up": False, "gateway": None}
IDLE_TITLE = "Network: Ethernet 2: addressing"


@pytest.mark.parametrize(
    "other",
    [
        SITE,
        {**SITE, "link_up": None},
        {**SITE, "gateway": None},
        {**SITE, "gateway": None, "link_up": None},
    ],
    ids=["gateway and link", "gateway", "link", "link not known"],
)
def test_the_adapter_in_use_is_left_alone(other: dict[str, Any]) -> None:
    """Of two adapters equally short the one is set that has no gateway and no link, wherever it stands."""
    for adapters in ([other, IDLE], [IDLE, other]):
        found = mending(STATIC, pc(network__adapters=value(adapters)))
        assert settings(found) == {IDLE_TITLE: "static"}
        assert only(found.changes).caveat == "" and found.passes


def test_the_way_out_is_left_alone_at_the_cost_of_a_setting() -> None:
    """An idle adapter that needs one setting more is set before the one that leads to the gateway."""
    idle = {**IDLE, "power_saving": True}
    site = {**SITE, "power_saving": False}
    found = mending(STATIC + "power_saving = false\n", pc(network__adapters=value([site, idle])))
    assert settings(found) == {IDLE_TITLE: "static", "Network: Ethernet 2: may be powered down": "no"}


def test_setting_the_only_way_out_has_a_caveat() -> None:
    """Where only the adapter with the gateway can be set it is said that the PC may be cut off."""
    found = mending(STATIC + "power_saving = false\n", pc(network__adapters=value([SITE])))
    caveats = {one.what: one.caveat for one in found.changes}
    assert "leads to the gateway" in caveats["Network: Ethernet: addressing"]
    assert caveats["Network: Ethernet: may be powered down"] == ""


def test_the_link_that_goes_down_is_not_the_way_out() -> None:
    """Where one link too many is up, the one without a gateway is to go down."""
    text = '[[network.adapters]]\nid = "one"\nmedium = "wired"\nlink_up = true\ncount.maximum = 1\n'
    second = {**ADAPTER, "name": "Ethernet 2"}
    for adapters in ([SITE, second], [second, SITE]):
        found = mending(text, pc(network__adapters=value(adapters)))
        assert settings(found) == {"Network: Ethernet 2: link up": "no"}


def test_scaling_goes_before_a_screen() -> None:
    """Pixels that only scaling takes away are given back by a setting."""
    small = mending("display.primary_logical_width.minimum = 1200\n", pc())
    assert settings(small) == {"Display: Primary screen scaling": "100 %"}
    large = mending("display.primary_logical_width.minimum = 1500\n", pc())
    assert parts(large) == ["screen 1920x1080"] and large.passes


def test_an_alternative_is_the_cheapest() -> None:
    """Of alternatives the one with the fewest parts is taken, then the one with the fewest settings."""
    three = '[[power.any_of]]\nsleep_after = "never"\nusb_suspend = false\n'
    assert len(mending(three, pc()).changes) == 2
    found = mending(three + '[[power.any_of]]\nsleep_after = "never"\n', pc())
    assert settings(found) == {"Power: Sleep after": "never"}
    either = '[[storage.any_of]]\nsystem_media = "ssd"\n[[storage.any_of]]\nsystem_encrypted = true\n'
    found = mending(either, pc(storage__system_encrypted=value(False)))
    assert settings(found) == {"Storage: System volume encrypted": "yes"} and parts(found) == []


def test_an_alternative_is_chosen_with_all_else_in_view() -> None:
    """An alternative whose part is needed anyway costs nothing more."""
    text = (
        '[[memory.any_of]]\ninstalled.minimum = "16 GB"\n'
        '[[memory.any_of]]\nslots_free.minimum = 1\ninstalled.minimum = "12 GB"\n'
        '[memory]\nusable.minimum = "15 GB"\n'
    )
    assert parts(mending(text, pc())) == ["memory 16 GB"]


def test_with_prices_the_cheaper_of_equal_parts_is_taken() -> None:
    """Between one part and one part the price decides, and a part that has one goes before one without."""
    either = (
        '[[memory.any_of]]\ninstalled.minimum = "32 GB"\n[[memory.any_of]]\ninstalled.minimum = "16 GB"\n'
    )
    assert only(mending(either, pc(), EURO).of(Means.PART)).price == 6000
    larger = only(mending('memory.installed.minimum = "24 GB"\n', pc(), EURO).changes)
    assert (larger.part, larger.price, larger.priced_as) == ("memory 24 GB", 11000, "memory 32 GB")


def test_what_a_price_does_not_cover_has_none() -> None:
    """A part of which more is asked than a price says has no price."""
    text = '[[storage.drives]]\nid = "fast"\nmedia = "ssd"\nbus = "nvme"\nsize.minimum = "1 TB"\n'
    found = mending(text, pc(), EURO)
    assert only(found.changes).price is None


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("cpu.cores.minimum = 8\n", "cpu.cores"),
        ('computer.chassis = "laptop"\n', "computer.chassis"),
        ('[[os.any_of]]\ntype = "windows"\nedition = "pro"\n', "os.any_of"),
        ("memory.slots.minimum = 4\n", "memory.slots"),
        ('storage.system_filesystem = "NTFS"\n', "storage.system_filesystem"),
    ],
)
def test_what_cannot_be_mended(text: str, left: str) -> None:
    """A processor, a chassis, another system and slots are left, and the rest is still told."""
    found = mending('power.sleep_after = "never"\n' + text, pc(computer__chassis=value("desktop")))
    assert [one.id for one in found.left] == [left]
    assert settings(found) == {"Power: Sleep after": "never"}
    assert not found.passes


def test_more_modules_than_slots_are_not_fitted() -> None:
    """Memory is not mended by more modules than the board has slots for."""
    text = '[[memory.modules]]\nid = "m"\ncount.minimum = {}\nsize.minimum = "8 GB"\n'
    assert parts(mending(text.format(2), pc())) == ["memory 16 GB"]
    assert [one.id for one in mending(text.format(4), pc()).left] == ["memory.modules[m]"]


def test_modules_that_were_met_stay_met() -> None:
    """New memory is of the type that was fitted, or of what is asked besides."""
    text = '[memory]\ninstalled.minimum = "16 GB"\n[[memory.modules]]\nid = "m"\nspeed.minimum = "{} MT/s"\n'
    assert parts(mending(text.format(3000), pc())) == ["memory 16 GB"]
    faster = mending(text.format(4800), pc())
    assert parts(faster) == ["memory 16 GB speed at least 4800 MT/s"] and faster.passes


def test_a_newer_release_of_the_same_product_is_a_setting() -> None:
    """An update within the product mends version and support; another product does not."""
    guarded = '[os]\ntype = "linux"\nproduct = "Debian GNU/Linux"\nversion = ">=13,<14"\n'
    found = mending(guarded + "support_ends.minimum = 2028-01-01\n", pc())
    assert settings(found) == {"Operating system: Version": "13"} and found.passes
    ubuntu = mending('[os]\ntype = "linux"\nproduct = "Ubuntu"\nversion = "24.04"\n', pc())
    assert {one.id for one in ubuntu.left} == {"os.product", "os.version"}
    older = mending(guarded.replace(">=13,<14", "<12"), pc())
    assert [one.id for one in older.left] == ["os.version"]


WINDOWS: dict[str, Any] = {
    "os__type": value("windows"),
    "os__product": value("Windows 11"),
    "os__version": value("10.0.22631.1"),
    "os__edition": value("pro"),
    "os__edition_id": value("Professional"),
}
NEWER = '[os]\ntype = "windows"\nversion = ">=10.0.26100,<=10.0.26200"\n'


def test_windows_is_updated_within_its_product_and_servicing() -> None:
    """Windows 11 goes to its next release; Windows 10 and a long-term release do not."""
    assert settings(mending(NEWER, pc(**WINDOWS))) == {"Operating system: Version": "10.0.26100"}
    ten = {**WINDOWS, "os__product": value("Windows 10"), "os__version": value("10.0.19045.1")}
    assert [one.id for one in mending(NEWER, pc(**ten)).left] == ["os.version"]
    long_term = {
        **WINDOWS,
        "os__product": value("Windows 10"),
        "os__version": value("10.0.17763.1"),
        "os__edition": value("enterprise"),
        "os__edition_id": value("EnterpriseS"),
    }
    asked = '[os]\ntype = "windows"\nversion = ">=10.0.19044,<10.0.22000"\n'
    assert [one.id for one in mending(asked, pc(**long_term)).left] == ["os.version"]


def test_software_is_installed_and_removed() -> None:
    """Missing software is installed, unwanted software removed, a stopped service started."""
    text = (
        '[[software.packages]]\nid = "old"\ncount = 0\nname.matches = "Halvorsel*"\n'
        '[[software.runtimes]]\nid = "net"\ntitle = "Runtime 8"\nname = "Runtime"\nversion = ">=8"\n'
        '[[software.services]]\nid = "log"\nname = "logger"\nstate = "running"\n'
    )
    found = mending(text, pc())
    assert settings(found) == {
        "Software: Halvorsel Control": "removed",
        "Software: Runtime 8": "name Runtime, version >=8",
        "Software: logger: state": "running",
    }
    assert found.passes


def test_a_list_that_may_be_longer_is_not_called_mended() -> None:
    """With what was seen removed, what was not seen may still be there."""
    text = '[[software.packages]]\nid = "old"\ncount = 0\nname.matches = "Halvorsel*"\n'
    packages = value([{"name": "Halvorsel Control"}], complete=False, why="others are not seen")
    found = mending(text, pc(software__packages=packages))
    assert settings(found) == {"Software: Halvorsel Control": "removed"}
    assert not found.passes and [one.id for one in found.unread] == ["software.packages[old]"]


def test_what_is_not_known_is_neither_setting_nor_part() -> None:
    """An unverified condition is listed with its reason, and the PC does not pass."""
    text = 'power.sleep_after = "never"\ncpu.cores.minimum = 2\n'
    found = mending(text, pc(cpu__cores=unknown("needs administrator rights")))
    assert [(one.id, one.why) for one in found.unread] == [("cpu.cores", "needs administrator rights")]
    assert settings(found) == {"Power: Sleep after": "never"}
    assert not found.passes and found.left == ()


def test_no_drive_more_than_needed_for_data_and_system() -> None:
    """A data volume beside the system's needs its own drive; one for both needs one."""
    apart = '[[storage.volumes]]\nid = "data"\nsystem = false\nmedia = "ssd"\nfree.minimum = "250 GB"\n'
    either = apart.replace("system = false\n", "")
    assert parts(mending('storage.system_media = "ssd"\n' + apart, pc())) == ["ssd 500 GB", "ssd 500 GB"]
    assert parts(mending('storage.system_media = "ssd"\n' + either, pc())) == ["ssd 1 TB"]


def test_a_replaced_system_drive_serves_no_other_row() -> None:
    """The drive the system leaves is not counted on."""
    text = '[storage]\nsystem_media = "ssd"\n[[storage.drives]]\nid = "old"\nmedia = "hdd"\n'
    assert parts(mending(text, pc())) == ["ssd 500 GB", "hdd 250 GB"]


def test_what_applies_only_after_a_change_is_mended_too() -> None:
    """A condition that a change brings into force is judged and mended as well."""
    text = (
        'memory.installed.minimum = "16 GB"\n'
        '[power]\nsleep_after = { equal = "never", when = { "memory.installed" = { minimum = "16 GB" } } }\n'
    )
    found = mending(text, pc())
    assert len(found.changes) == 2 and found.passes


def test_what_a_change_makes_needless_is_left_out() -> None:
    """A condition that a change puts out of force needs no change of its own."""
    text = (
        '[power]\nsleep_after = { equal = "never", when = { "memory.installed" = { maximum = "12 GB" } } }\n'
        '[memory]\ninstalled.minimum = "16 GB"\n'
    )
    found = mending(text, pc())
    assert parts(found) == ["memory 16 GB"] and settings(found) == {} and found.passes


def test_what_one_reading_cannot_meet_is_left_alone() -> None:
    """Two conditions on one reading that exclude each other are left; the rest is still told."""
    profiles = [
        profile_of('[power]\nusb_suspend = false\nplan = "Quiet"\n'),
        profile_of('power.plan = "Loud"\n'),
    ]
    found = mending_of(profiles, pc(power__plan=value("Balanced")))
    assert [one.id for one in found.left] == ["power.plan"] and not found.passes
    assert settings(found) == {"Power: USB suspend": "no"}


def test_what_can_be_mended_but_not_together_is_said_so() -> None:
    """Where each can be mended and all together cannot, all are left and nothing is called enough."""
    # 32 GB in modules of at most 8 GB are four, and the board has two slots.
    text = (
        '[memory]\ninstalled.minimum = "32 GB"\n'
        '[[memory.modules]]\nid = "m"\ncount.minimum = 2\nsize.maximum = "8 GB"\n'
    )
    found = mending(text, pc())
    assert {one.id for one in found.left} == {"memory.installed", "memory.modules[m]"}
    assert all("together" in one.why for one in found.left)
    assert found.changes == () and not found.passes


def test_an_advised_condition_asks_for_nothing() -> None:
    """What does not bind needs no change."""
    assert mending("cpu.cores = { minimum = 16, advised = true }\n", pc()).passes


def test_screens_and_graphics() -> None:
    """Screens are replaced or added, and a graphics card is added with its memory."""
    text = (
        "[display]\nscreen_count.minimum = 2\nprimary_width.minimum = 2560\n"
        '[[display.graphics]]\nid = "g"\nmemory.minimum = "4 GB"\n'
        '[[display.screens]]\nid = "s"\ncount.minimum = 2\nwidth.minimum = 1280\nppi.minimum = 80\n'
    )
    found = mending(text, pc())
    assert found.passes and len(parts(found)) == 3
    assert sorted(name.split()[0] for name in parts(found)) == ["graphics", "screen", "screen"]


_TWO_SCREENS: Final = value(
    [
        {"name": "Osier 19", "width": 1280, "height": 1024, "scaling": 125, "primary": True},
        {"name": "Osier 24", "width": 1920, "height": 1080, "scaling": 100, "primary": False},
    ]
)


@pytest.mark.parametrize(
    "text",
    [
        "[display]\nprimary_width.minimum = 1920\nprimary_height.minimum = 1080\n",
        "[display]\nprimary_logical_width.minimum = 1900\nprimary_scaling.maximum = '100 %'\n",
        '[[display.screens]]\nid = "s"\nprimary = true\nwidth.minimum = 1920\n',
        '[display]\nprimary_width.minimum = 1920\n[[display.screens]]\nid = "s"\nprimary = true\n',
    ],
)
def test_a_screen_that_is_there_is_made_primary_and_none_is_bought(text: str) -> None:
    """A second screen that does what is asked of the primary one only has to be made primary."""
    found = mending(text, pc(display__screens=_TWO_SCREENS))
    assert settings(found) == {"Display: Osier 24: primary": "yes"} and parts(found) == []
    assert found.passes and found.changes[0].caveat == "programs and the task bar open on that screen then"


def test_the_scaling_of_a_new_primary_screen_is_its_own() -> None:
    """What is set on the primary screen is set on the one that is made primary."""
    large = value([{**one, "scaling": 125} for one in _TWO_SCREENS["value"]])
    text = "[display]\nprimary_width.minimum = 1920\nprimary_scaling.equal = '100 %'\n"
    found = mending(text, pc(display__screens=large))
    assert settings(found) == {
        "Display: Osier 24: primary": "yes",
        "Display: Primary screen scaling": "exactly 100 %",
    }
    assert found.passes


@pytest.mark.parametrize(
    "second",
    [
        {"name": "Osier 24", "width": 1900, "height": 1080, "scaling": 100, "primary": False},
        {"name": "Osier 24", "width": None, "height": None, "scaling": 100, "primary": False},
        {"name": "Osier 24", "width": 1920, "height": 1080, "scaling": 100, "primary": None},
    ],
)
def test_a_screen_that_would_not_do_is_not_made_primary(second: dict[str, Any]) -> None:
    """A second screen that is too small, or not known to be another, leaves a screen to buy."""
    screens = value([_TWO_SCREENS["value"][0], second])
    found = mending("[display]\nprimary_width.minimum = 1920\n", pc(display__screens=screens))
    assert parts(found) == ["screen 1920x1080"] and settings(found) == {}


def test_the_only_screen_cannot_cease_to_be_primary() -> None:
    """A condition on a screen beside the primary one is mended by one more screen."""
    text = '[[display.screens]]\nid = "s"\nprimary = false\nwidth.minimum = 1280\n'
    found = mending(text, pc())
    assert [name.split()[0] for name in parts(found)] == ["screen"] and settings(found) == {}


_DATA: Final = '[[storage.volumes]]\nid = "data"\nsystem = false\nfree.minimum = "250 GB"\n'
_SYSTEM_DRIVE: Final = {"model": "Corvane", "size": 500 * 10**9, "media": "hdd", "bus": "sata"}
_SPARE: Final = {"model": "Wendle", "size": TB, "media": "ssd", "bus": "nvme"}
_ON_SPARE: Final = "Storage: New volume on the drive Wendle, 1 TB"


def test_a_volume_is_made_on_a_drive_that_is_there_and_none_is_bought() -> None:
    """A fitted drive that no volume needs gets one; that it erases the drive stands beside it."""
    found = mending(_DATA, pc(storage__drives=value([_SYSTEM_DRIVE, _SPARE])))
    assert list(settings(found)) == [_ON_SPARE] and parts(found) == []
    assert found.passes
    assert found.changes[0].caveat.startswith("it erases what is on the drive: find out first")
    assert "LVM" in found.changes[0].caveat


def test_one_volume_serves_every_condition_on_it() -> None:
    """Two tables that one volume can meet lead to one volume on the drive."""
    text = _DATA + '[[storage.volumes]]\nid = "fast"\nmedia = "ssd"\nfilesystem = "ext4"\n'
    found = mending(text, pc(storage__drives=value([_SYSTEM_DRIVE, _SPARE])))
    assert list(settings(found)) == [_ON_SPARE] and found.passes


@pytest.mark.parametrize(
    ("drives", "told"),
    [
        ([_SYSTEM_DRIVE, _SPARE, {**_SPARE, "model": "Wendle II"}], True),  # may be a RAID
        ([{**_SYSTEM_DRIVE, "size": 2 * TB}, {**_SPARE, "media": "hdd", "size": 4 * TB}], True),  # either
        ([_SYSTEM_DRIVE, {**_SPARE, "bus": "usb"}], False),
        ([_SYSTEM_DRIVE, {**_SPARE, "size": 128 * 10**9}], False),
        ([_SYSTEM_DRIVE], False),
        ([_SYSTEM_DRIVE, {**_SPARE, "size": None}], False),
        ([{**_SPARE, "size": 2 * TB}], False),  # no drive the system could be on
    ],
)
def test_a_drive_that_may_be_in_use_is_not_counted_on(drives: list[dict[str, Any]], told: bool) -> None:
    """Where it cannot be told that a drive is free one is bought, and the doubt is said."""
    found = mending(_DATA, pc(storage__drives=value(drives)))
    assert parts(found) == ["ssd 500 GB"] and settings(found) == {}
    caveat = found.of(Means.PART)[0].caveat
    assert caveat.startswith("a drive that may be free is there already (Wendle") == told
    assert (caveat == "") == (not told)


def test_a_list_of_drives_that_is_not_whole_frees_none() -> None:
    """Where more drives or volumes may be there, nothing is said of what they are for."""
    drives = value([_SYSTEM_DRIVE, _SPARE], complete=False, why="some need administrator rights")
    assert parts(mending(_DATA, pc(storage__drives=drives))) == ["ssd 500 GB"]


def test_what_one_setting_changes_in_two_readings_is_one() -> None:
    """The scaling of the primary screen, and encryption of the system's volume, are set once."""
    text = (
        '[display]\nprimary_scaling.equal = "100 %"\n'
        '[[display.screens]]\nid = "s"\nprimary = true\nscaling.equal = "100 %"\n'
        "[storage]\nsystem_encrypted = true\n"
        '[[storage.volumes]]\nid = "v"\nsystem = true\nencrypted = true\n'
    )
    found = mending(text, pc(storage__system_encrypted=value(False)))
    assert found.passes and len(found.changes) == 2


def test_secure_boot_only_where_the_firmware_offers_it() -> None:
    """Secure Boot is a setting where the firmware is known to offer it, else it is not mended."""
    text = "computer.secure_boot = true\n"
    off = {"computer__secure_boot": value(False)}
    assert mending(text, pc(**off, computer__secure_boot_capable=value(True))).passes
    for capable in (value(False), unknown()):
        found = mending(text, pc(**off, computer__secure_boot_capable=capable))
        assert [one.id for one in found.left] == ["computer.secure_boot"]


def test_large_frames_need_a_card_that_has_them() -> None:
    """Whether an adapter takes larger frames is not known, so a card that does is bought, without a price."""
    plain = pc(network__adapters=value([{**ADAPTER, "mtu": 1500}]))
    found = mending('[[network.adapters]]\nid = "a"\nmtu.minimum = 9000\n', plain, EURO)
    assert parts(found) == ["network card 1 Gbit/s mtu at least 9000"]
    assert only(found.changes).price is None


def test_an_adapter_is_not_set_faster_than_it_is() -> None:
    """A link may be set to no more than the adapter is capable of."""
    text = '[[network.adapters]]\nid = "a"\nspeed.minimum = "{}"\n'
    slow = pc(network__adapters=value([{**ADAPTER, "speed": 10**8}]))
    assert parts(mending(text.format("1 Gbit/s"), slow)) == []
    assert parts(mending(text.format("2.5 Gbit/s"), slow)) == ["network card 2.5 Gbit/s"]


def test_absence_that_falls_short_is_mended_by_a_setting() -> None:
    """A domain that the PC is not joined to is joined."""
    found = mending('os.domain = "lab.example"\n', pc(os__domain=absent("in no domain")))
    assert settings(found) == {"Operating system: Domain": "lab.example"} and found.passes


def test_a_search_without_end_is_said_to_be_one() -> None:
    """With more ways than are tried one that is enough is told, and that a smaller one may exist."""
    # Of 12 adapters any 6 may be set.
    rows = "".join(
        f'[[network.adapters]]\nid = "r{n}"\naddressing = "static"\npower_saving = false\n' for n in range(6)
    )
    adapters = value([{**ADAPTER, "name": f"eth{n}"} for n in range(12)])
    found = mending(rows, pc(network__adapters=adapters))
    assert found.passes and not found.searched
    assert parts(found) == [] and len(found.changes) == 12


# -- against every subset

POOL = (
    'power.sleep_after = "never"\n',
    "power.usb_suspend = false\n",
    'memory.installed.minimum = "16 GB"\n',
    'memory.installed = { minimum = "32 GB", when = { "power.usb_suspend" = false } }\n',
    '[[power.any_of]]\nusb_suspend = false\n[[power.any_of]]\nsleep_after = "never"\nsource = "mains"\n',
    (
        '[[memory.any_of]]\ninstalled.minimum = "32 GB"\n'
        '[[memory.any_of]]\ninstalled.minimum = "16 GB"\nslots_free.minimum = 1\n'
    ),
    "network.wired_count.minimum = 2\n",
    "network.wired_count.minimum = 3\n",
    WIRED.format(id="a") + "power_saving = false\n",
    WIRED.format(id="b"),
    "display.primary_logical_width.minimum = 1200\n",
    "display.primary_width.minimum = 1900\n",
    '[[network.any_of]]\nwired_count.minimum = 2\n[[network.any_of]]\nproxy = "p.example"\n',
)


def _worlds() -> list[tuple[int, int, dict[str, Any]]]:
    """Every way to change the PC by what the pool may ask: parts, settings, and the readings."""
    free = [
        ("power__sleep_after", value("never")),
        ("power__usb_suspend", value(False)),
        ("power__source", value("mains")),
        ("display__primary_scaling", value(100)),
        ("network__proxy", value("p.example")),
        ("saving", False),
    ]
    worlds = []
    chosen = [one for size in range(len(free) + 1) for one in combinations(free, size)]
    for memory, cards, wide in product((8, 16, 32), range(3), (False, True)):
        for made in chosen:
            readings = dict(made)
            mine = {**ADAPTER, "power_saving": "saving" not in readings}
            readings.pop("saving", None)
            new = [{**ADAPTER, "name": f"new{n}", "power_saving": False} for n in range(cards)]
            readings["network__adapters"] = value([mine, *new])
            if memory > 8:
                modules = [{"size": memory * GB, "speed": 3200, "type": "DDR4"}]
                readings["memory__modules"] = value(modules)
            readings["memory__installed"] = value(memory * GB)
            if wide:
                readings |= {"display__primary_width": value(1920), "display__primary_height": value(1080)}
            worlds.append(((memory > 8) + cards + wide, len(made), readings))
    return sorted(worlds, key=lambda world: world[:2])


WORLDS = _worlds()
BASE = {"power__source": value("battery"), "network__proxy": absent("none set")}


@settings_of(max_examples=40)
@given(st.lists(st.sampled_from(POOL), min_size=1, max_size=4, unique=True))
def test_no_smaller_set_is_enough(conditions: list[str]) -> None:
    """Of all the ways to change the PC, tried one by one, none with fewer parts or settings passes."""
    profiles = [profile_of(text) for text in conditions]
    asked = ask(profiles)
    found = mending_of(profiles, pc(**BASE))
    least = next(
        (
            world[:2]
            for world in WORLDS
            if outcome_of(
                evaluate_all(asked, pc(**{**BASE, **world[2]}), knowledge=KNOWLEDGE, on=ON).findings
            )
            is Outcome.READY
        ),
        None,
    )
    assert least is not None and found.passes
    assert (len(found.of(Means.PART)), len(found.of(Means.SETTING))) == least


@settings_of(max_examples=40)
@given(st.lists(st.sampled_from(POOL), min_size=1, max_size=4, unique=True))
def test_what_is_enough_was_judged_so(conditions: list[str]) -> None:
    """The PC with the changes made, judged from the start, is ready wherever it is said to pass."""
    asked = ask([profile_of(text) for text in conditions])
    found = Search(Question(asked, pc(**BASE), KNOWLEDGE, (), ON)).run()
    snapshot = from_mapping(to_mapping(found.trial.world.snapshot))  # as if it were read from a file
    findings = evaluate_all(asked, snapshot, knowledge=KNOWLEDGE, on=ON).findings
    assert not found.hopeless and outcome_of(findings) is Outcome.READY
