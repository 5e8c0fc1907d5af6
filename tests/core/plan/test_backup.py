"""A plan for backup and recovery held against its objectives."""

from __future__ import annotations

import re
from datetime import date, timedelta
from fractions import Fraction
from time import process_time

import pytest
from hypothesis import given, settings, strategies as st

from pcaudit.core.derive import Readings
from pcaudit.core.plan.backup import backup_sections
from pcaudit.core.plan.route import Times, held
from pcaudit.core.report import Verdict
from pcaudit.core.worksheet.backup import Recovery
from tests.core.builders import MARGINAL, MET, UNMET, UNVERIFIED, snapshot_of, unknown, value
from tests.core.plan.backup_plans import (
    BACKUP,
    CLOUD,
    DATA,
    DAY,
    DISK,
    SERVER,
    WHOLE,
    changed,
    figure_of,
    finding_of,
    plan_of,
    rows_of,
    sections_of,
    verdicts,
)
from tests.core.worksheet.backup_sheets import backup_of, data_of

GB = 10**9


def test_a_plan_that_holds_is_met_throughout() -> None:
    """With three destinations, small data and everything answered, nothing is short or unknown."""
    section, storage = sections_of(WHOLE)
    assert set(verdicts(section).values()) == {MET}
    assert [one.verdict for one in storage.findings] == [MET]
    assert section.not_asked == ()
    assert len({one.id for one in section.findings}) == len(section.findings)
    assert len({one.id for one in (*section.figures, *storage.figures)}) == len(
        [*section.figures, *storage.figures]
    )


def test_without_the_section_nothing_is_judged() -> None:
    """A worksheet without [backup] has the forecast alone, and says what was not asked."""
    backup, storage = sections_of(DATA)
    assert (backup.findings, len(backup.not_asked)) == ((), 1)
    assert storage.findings


def test_an_empty_section_is_unverified_throughout() -> None:
    """With every key blank no finding is met or unmet, and each says which key would answer it."""
    section = plan_of("[backup]\n")
    assert set(verdicts(section).values()) == {UNVERIFIED}
    assert all("is blank in the worksheet" in one.why for one in section.findings)
    assert "`backup.destinations` is blank in the worksheet" in section.not_asked


# -- what is lost


def test_worst_loss_is_the_interval_and_the_copy() -> None:
    """Until the next copy has ended, only the one before it can be restored.

    By hand: from 2027-03-15 a year has 366 days, 52 weeks and 2 days, 262 with runs. 65 GB and 262 x
    0.1 GB are 91.2 GB; at a measured 80 Mbit/s (10 MB/s) they take 9120 s. 86400 + 9120 = 95520 s.
    """
    text = DATA + BACKUP + SERVER + 'measured = "80 Mbit/s"\n'
    section = plan_of(text)
    assert figure_of(section, "server.transfer") == 9120
    assert figure_of(section, "server.loss") == 95520
    finding = finding_of(section, "rpo")
    assert finding.found == "26 h 32 min at the measured rate, from File server"
    assert finding.verdict is UNMET


def test_a_daily_copy_alone_does_not_give_a_day() -> None:
    """An RPO of 24 h is short of a day and the time of the copy, and the finding says of how much."""
    finding = finding_of(plan_of(changed(WHOLE, rpo='"24 h"')), "rpo")
    assert finding.verdict is UNMET
    assert "at least 24 h 12 min" in finding.found


def test_the_off_site_copy_once_a_week_alone_does_not_give_a_day() -> None:
    """With the weekly disk as the only copy the worst loss is a week and more."""
    finding = finding_of(plan_of(DATA + BACKUP + DISK), "rpo")
    assert finding.verdict is UNMET
    assert finding.found.count("7 d") == 2


def test_the_loss_of_the_site_is_advised() -> None:
    """Where only the weekly disk survives the site, the RPO is marginal, not unmet, and does not bind."""
    section = plan_of(DATA + BACKUP + SERVER + DISK)
    assert (finding_of(section, "rpo").verdict, finding_of(section, "rpo").binding) == (MET, True)
    assert (finding_of(section, "rpo_site").verdict, finding_of(section, "rpo_site").binding) == (
        MARGINAL,
        False,
    )


def test_fulls_alone_come_only_as_often_as_fulls() -> None:
    """A destination that takes only fulls is no safer for being reached each day."""
    only_fulls = changed(DISK, every='"day"')
    assert figure_of(plan_of(DATA + BACKUP + only_fulls), "disk.loss") > 7 * 86400


def test_days_without_runs_lose_nothing() -> None:
    """Between two weekly copies five days of runs are acquired, not seven."""
    section = plan_of(DATA + BACKUP + DISK)
    assert figure_of(section, "disk.loss_data") == 5 * 100 * 10**6


def test_an_interval_longer_than_the_objective_needs_no_sizes() -> None:
    """A weekly copy is short of 26 h whatever its size, even where nothing of the data is known."""
    section = plan_of(BACKUP + DISK)
    assert finding_of(section, "rpo").verdict is UNMET
    assert finding_of(section, "rto").verdict is UNVERIFIED


# -- restore


@pytest.mark.parametrize(
    ("scheme", "full_every", "sets", "size"),
    [
        # By hand: 91.2 GB after a year, as above. Six days hold five with runs: 0.5 GB, and 10 % of 5 GB
        # each day: 3 GB. A month of 31 days has 30 copies, 22 days with runs.
        ("incremental", "week", "7", 91_200 + 500 + 3000),
        ("differential", "week", "2", 91_200 + 500 + 3000),
        ("incremental", "month", "31", 91_200 + 2200 + 15_000),
        ("differential", "month", "2", 91_200 + 2200 + 5000),
        ("incremental", "day", "1", 91_200),
    ],
)
def test_a_restore_reads_the_full_and_what_is_built_on_it(
    scheme: str, full_every: str, sets: str, size: int
) -> None:
    """Sets to read and megabytes follow from scheme and interval; a change never exceeds what there is."""
    text = changed(DATA + BACKUP, scheme=f'"{scheme}"', full_every=f'"{full_every}"') + SERVER
    section = plan_of(text + 'measured = "80 Mbit/s"\n')
    assert rows_of(section, "Loss and restore")[0][3] == sets
    assert figure_of(section, "server.restore") == size / 10


def test_a_restore_is_judged_where_the_loss_holds() -> None:
    """A fast weekly disk does not make the RTO met when the RPO holds only for a slow cloud."""
    slow = changed(CLOUD, link='"100 Mbit/s"')
    section = plan_of(changed(DATA + BACKUP, rpo='"60 h"', rto='"1 h"') + slow + DISK)
    assert finding_of(section, "rpo").verdict is MET
    assert finding_of(section, "rto").verdict is UNMET
    assert finding_of(section, "rto").found.endswith("from cloud")


def test_the_best_surviving_destination_restores() -> None:
    """The finding names the destination from which a restore takes least."""
    section = plan_of(changed(DATA + BACKUP, rpo='"300 h"') + CLOUD + changed(SERVER, link='"10 Gbit/s"'))
    assert finding_of(section, "rto").found.endswith("from File server")
    assert finding_of(section, "rto_site").found.endswith("from cloud")


def test_what_may_be_no_copy_does_not_restore() -> None:
    """A destination whose kind is blank, or away from the site only perhaps, leaves the objective open."""
    kind = plan_of(DATA + BACKUP + changed(SERVER, kind=""))
    assert finding_of(kind, "rto").verdict is UNVERIFIED
    assert finding_of(kind, "rto").why == "`kind` of File server is blank in the worksheet"
    site = plan_of(DATA + BACKUP + changed(CLOUD, offsite=""))
    assert finding_of(site, "rto").verdict is MET
    assert finding_of(site, "rto_site").verdict is UNVERIFIED
    assert finding_of(site, "rto_site").why == "`offsite` of cloud is blank in the worksheet"


@pytest.mark.parametrize(
    ("key", "names"),
    [
        ("every", ("rpo", "rto", "window[server]")),
        ("link", ("rpo", "rto", "window[server]")),
        ("kind", ("rpo", "rto", "media")),
        ("offsite", ("offsite", "rpo_site", "rto_site")),
        ("capacity", ("space[server]",)),
    ],
)
def test_what_a_destination_leaves_blank_is_said_where_it_stands(key: str, names: tuple[str, ...]) -> None:
    """The finding names the key as it is written, the destination, and the destination's line."""
    section = plan_of(DATA + BACKUP + changed(SERVER, **{key: ""}))
    line = backup_of(DATA + BACKUP + SERVER).destinations[0].line
    for name in names:
        finding = finding_of(section, name)
        assert (finding.verdict, finding.line) == (UNVERIFIED, line)
        assert f"`{key}` of File server is blank in the worksheet" in finding.why


def test_what_is_answered_is_said_where_it_is_asked() -> None:
    """An objective that is judged stands at its own line."""
    backup = backup_of(WHOLE)
    for key in ("rpo", "rto", "window"):
        name = "window[server]" if key == "window" else key
        assert finding_of(plan_of(WHOLE), name).line == backup.line_of(key)


def test_no_copy_is_left_where_none_counts() -> None:
    """With a RAID alone RPO and RTO are unmet; with nothing off-site the loss of the site is marginal."""
    raid = changed(SERVER, kind='"raid"')
    section = plan_of(DATA + BACKUP + raid)
    assert finding_of(section, "rpo").verdict is UNMET
    assert finding_of(section, "rto").verdict is UNMET
    assert finding_of(section, "rto").found == "no destination counts as a copy"
    at_home = plan_of(DATA + BACKUP + SERVER)
    assert finding_of(at_home, "rto_site").verdict is MARGINAL
    assert finding_of(at_home, "rto_site").found == "no off-site destination counts as a copy"


@pytest.mark.parametrize(("mtd", "verdict"), [('"2 d"', MET), ('"4 h"', UNMET), ('"3 h"', UNMET)])
def test_the_objective_is_shorter_than_the_downtime_tolerated(mtd: str, verdict: Verdict) -> None:
    """An RTO of 4 h leaves something of two days, nothing of 4 h (NIST SP 800-34 Rev. 1, 3.2.1)."""
    assert finding_of(plan_of(changed(WHOLE, mtd=mtd)), "mtd").verdict is verdict


# -- how a time is held against its limit


@pytest.mark.parametrize(
    ("times", "verdict"),
    [
        (Times(Fraction(11), None, None), UNMET),
        (Times(Fraction(11), Fraction(12), Fraction(13)), UNMET),
        (Times(Fraction(9), None, None), UNVERIFIED),
        (Times(Fraction(9), Fraction(11), Fraction(11)), UNVERIFIED),
        (Times(Fraction(9), Fraction(10), None), UNVERIFIED),
        (Times(Fraction(9), Fraction(10), Fraction(11)), MARGINAL),
        (Times(Fraction(9), Fraction(10), Fraction(10)), MET),
        (Times(), UNVERIFIED),
    ],
)
def test_a_lower_bound_can_only_show_that_a_time_is_too_long(times: Times, verdict: Verdict) -> None:
    """Met takes the cautious time to the end of the retention; the least time never is enough."""
    assert held(10, times, ("blank",))[0] is verdict


def test_a_window_between_bound_and_estimate_asks_for_a_measurement() -> None:
    """Unverified asks to time a copy; a measured rate settles it either way."""
    # 91.2 GB: 769 s at goodput, 1824 s at 400 Mbit/s; the window is 20 min.
    text = changed(DATA + BACKUP, window='{ from = "20:00", to = "20:20" }', retention='"1 year"') + SERVER
    unsure = finding_of(plan_of(text), "window[server]")
    assert unsure.verdict is UNVERIFIED
    assert "time a copy there and write its rate as `measured`" in unsure.why
    fast = finding_of(plan_of(text + 'measured = "800 Mbit/s"\n'), "window[server]")
    assert (fast.verdict, fast.found) == (MET, "15.2 min at the measured rate")
    slow = finding_of(plan_of(text + 'measured = "300 Mbit/s"\n'), "window[server]")
    assert slow.verdict is UNMET


def test_what_outgrows_its_window_is_marginal() -> None:
    """A full that fits in the first year and not in the tenth is marginal."""
    text = changed(DATA + BACKUP, window='{ from = "20:00", to = "21:00" }') + SERVER
    assert finding_of(plan_of(text), "window[server]").verdict is MARGINAL


def test_what_is_outgrown_says_from_when() -> None:
    """A marginal time names the first day on which it is longer; a time that is met names none.

    By hand, at a measured 80 Mbit/s, which is 10 MB/s: 65 GB take 6500 s at the start, and 0.1 GB of
    each day with runs 10 s more. 10000 s are reached after 350 days with runs, which are 70 weeks or
    490 days, and passed on the day after; 9960 s after 346 of them, 69 weeks and a day.
    """
    text = changed(BACKUP, window='{ from = "20:00", to = "22:46" }', rto='"10000 s"', rpo='"96400 s"')
    section = plan_of(DATA + changed(text, full_every='"day"') + SERVER + 'measured = "80 Mbit/s"\n')
    for name, days in (("rpo", 491), ("rto", 491), ("window[server]", 485)):
        finding = finding_of(section, name)
        assert finding.verdict is MARGINAL
        assert finding.found.endswith(f" from {(DAY + timedelta(days)).isoformat()} on")
    assert "longer than" not in finding_of(plan_of(WHOLE), "rpo").found


def test_compression_shortens_only_the_lower_bound() -> None:
    """Whether data is compressed before it is sent is not known: the cautious time counts it whole."""
    plain, packed = plan_of(WHOLE), plan_of(changed(WHOLE, compressibility='"50 %"'))
    assert figure_of(packed, "server.transfer") < figure_of(plain, "server.transfer")
    assert figure_of(packed, "server.transfer_cautious") == figure_of(plain, "server.transfer_cautious")
    assert figure_of(packed, "server.space") < figure_of(plain, "server.space")


def test_an_optical_drive_asks_for_a_measurement() -> None:
    """What an interface carries says nothing of how fast a disc is written."""
    section = plan_of(DATA + BACKUP + changed(DISK, kind='"optical"'))
    finding = finding_of(section, "window[disk]")
    assert finding.verdict is UNVERIFIED
    assert "only a timed copy shows its rate" in finding.why


# -- space


@pytest.mark.parametrize(
    ("capacity", "verdict"),
    [("20 TB", MET), ("3 TB", MARGINAL), ("1 TB", UNMET)],
)
def test_space_is_required_for_a_year_and_recommended_for_the_retention(
    capacity: str, verdict: Verdict
) -> None:
    """Full within a year is short; full later is marginal, and the last day on which it suffices is said."""
    text = changed(DATA + BACKUP, weekly="10") + SERVER.replace(
        'capacity = "20 TB"', f'capacity = "{capacity}"'
    )
    section = plan_of(text)
    finding = finding_of(section, "space[server]")
    assert finding.verdict is verdict
    assert ("enough until 20" in finding.found) == (verdict is not MET)


def test_what_is_too_small_for_one_full_is_no_copy() -> None:
    """A destination of 50 GB for a full of 65 GB is not counted, and the plan says why."""
    small = SERVER.replace('capacity = "20 TB"', 'capacity = "50 GB"')
    section = plan_of(DATA + BACKUP + small)
    assert finding_of(section, "copies").found == "1"
    assert "File server (file server) is no copy: it is too small for a single full copy." in section.notes


def test_space_by_hand() -> None:
    """Daily fulls kept for 28 days of data that hardly grows take 29 fulls before the oldest goes."""
    text = changed(
        DATA + BACKUP,
        per_run='"1 B"',
        runs_per_day="1",
        full_every='"day"',
        daily="28",
        weekly="0",
        monthly="0",
        yearly="0",
        retention='"28 days"',
    )
    # 65 GB, and a byte for each day with runs before each full: ages 0 to 28 after 28 days.
    bytes_of_runs = sum(5 * (age // 7) + min(age % 7, 5) for age in range(29))
    assert figure_of(plan_of(text + SERVER), "server.space") == 29 * 65 * GB + bytes_of_runs


def test_space_of_compressed_data_by_hand() -> None:
    """Half of the acquired data is saved, nothing of configuration and image.

    At the end of 28 days 29 fulls of 5 + 40 + 20 / 2 GB, and 50 MB for each day with runs before each.
    """
    keys = {"daily": "28", "weekly": "0", "monthly": "0", "yearly": "0", "full_every": '"day"'}
    text = changed(DATA + BACKUP, compressibility='"50 %"', retention='"28 days"', **keys)
    runs = sum(5 * (age // 7) + min(age % 7, 5) for age in range(29))
    assert figure_of(plan_of(text + SERVER), "server.space") == 29 * 55 * GB + runs * 50 * 10**6


def test_a_year_counts_from_the_day_judged_for() -> None:
    """Judged for a day two years on, the copies of three years must fit.

    By hand: 2027-03-15 to 2030-03-15 are 1096 days, 156 weeks and 4 days, 784 with runs: 78.4 GB more.
    """
    section = plan_of(WHOLE + 'measured = "80 Mbit/s"\n', on=date(2029, 3, 15))
    assert figure_of(section, "disk.transfer") == (65_000 + 78_400) / 10


def test_sets_of_the_rotation_are_counted() -> None:
    """Six daily, four weekly, twelve monthly and ten yearly copies are 32 sets."""
    rows = rows_of(plan_of(WHOLE), "Copies kept (grandfather, father, son)")
    assert rows[-1] == ("Sets in all, each on its own medium", "32")


def test_a_chain_kept_whole_is_said() -> None:
    """Four daily copies where six are built on each full: the plan says that all six are kept."""
    assert any("daily = 4 asks for fewer" in note for note in plan_of(changed(WHOLE, daily="4")).notes)
    assert not any("asks for fewer" in note for note in plan_of(WHOLE).notes)


@pytest.mark.parametrize(
    ("server", "keys", "verdict", "why"),
    [
        # The file server restores within a day at best, the disk in minutes, and is a week behind.
        ({}, {}, UNMET, ""),
        ({"link": ""}, {}, UNVERIFIED, "`link` of File server is blank"),
        ({"every": ""}, {}, UNVERIFIED, "`every` of File server is blank"),
        ({}, {"rpo": ""}, UNVERIFIED, "`backup.rpo` is blank"),
        ({}, {"rpo": '"9 d"'}, MET, ""),
    ],
)
def test_a_restore_is_no_better_for_a_blank(
    server: dict[str, str], keys: dict[str, str], verdict: Verdict, why: str
) -> None:
    """A destination whose loss may be too great meets no restore while another one is not filled in."""
    slow = changed(SERVER, **{"link": '"10 Mbit/s"', **server})
    fast = DISK + 'measured = "3 Gbit/s"\n'
    text = changed(DATA + BACKUP, **{"rpo": '"4 d"', "rto": '"1 h"', "retention": '"1 year"', **keys})
    finding = finding_of(plan_of(text + slow + fast), "rto")
    assert finding.verdict is verdict, finding
    assert why in finding.why


# -- retention


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({}, MET),
        ({"yearly": "9"}, MARGINAL),
        ({"yearly": "0", "monthly": "120"}, MET),
        ({"yearly": "9", "capacity": '"100 GB"'}, UNMET),
        ({"yearly": "9", "capacity": '"100 GB"\narchive = "results server"'}, MARGINAL),
        ({"capacity": '"1 TB"\narchive = "results server"'}, MARGINAL),
        ({"capacity": '"1 TB"\narchive = "none"'}, MET),
        # 12.7 GB are left beside the reserve, and five days of runs take 500 MB: 25 weeks.
        ({"capacity": '"62 GB"', "used": '"40 GB"'}, UNMET),
        ({"capacity": '"62 GB"', "used": '"40 GB"', "yearly": "0", "monthly": "120"}, MET),
        ({"reserve": ""}, UNVERIFIED),
        ({"kind": '"sync"'}, UNMET),
        ({"yearly": "9", "reserve": ""}, UNVERIFIED),
        ({"retention": ""}, UNVERIFIED),
        ({"yearly": ""}, UNVERIFIED),
    ],
)
def test_raw_data_is_restorable_as_long_as_it_is_kept(changes: dict[str, str], verdict: Verdict) -> None:
    """The oldest copies reach as far as the retention, or else everything must stay on the PC."""
    kind = changes.get("kind", '"file server"')
    text = changed(DATA + BACKUP, **changes) + changed(SERVER, kind=kind)
    assert finding_of(plan_of(text), "retention").verdict is verdict


def test_nothing_lasts_without_a_destination() -> None:
    """However many yearly copies are kept, somewhere must be said where."""
    finding = finding_of(plan_of(DATA + BACKUP), "retention")
    assert (finding.verdict, finding.why) == (UNVERIFIED, "`backup.destinations` is blank in the worksheet")


# -- blanks


def test_leaving_out_a_line_never_makes_anything_met() -> None:
    """Whatever is blanked, a finding that was not met is not met for it."""
    short = WHOLE.replace('"26 h"', '"24 h"').replace('"20 TB"', '"1 TB"').replace('"4 h"', '"10 min"')
    for text in (WHOLE, short, changed(short, scheme='"differential"')):
        before = verdicts(plan_of(text))
        lines = text.splitlines()
        for number, line in enumerate(lines):
            if line.startswith(("[", "id ")) or not line:
                continue
            after = verdicts(plan_of("\n".join([*lines[:number], *lines[number + 1 :]])))
            turned = [name for name, verdict in after.items() if verdict is MET and before[name] is not MET]
            assert not turned, (line, turned)


@pytest.mark.parametrize(
    ("key", "name"),
    [
        ("per_run", "rto"),
        ("runs_per_day", "window[server]"),
        ("days_per_week", "space[server]"),
        ("used", "rto"),
        ("configuration", "rto"),
        ("change_rate", "rto"),
        ("image", "space[server]"),
        ("retention", "space[server]"),
        ("rpo", "rpo"),
        ("rto", "rto"),
        ("window", "window[server]"),
        ("scheme", "space[server]"),
        ("full_every", "rpo"),
        ("daily", "space[server]"),
        ("weekly", "space[server]"),
        ("monthly", "space[server]"),
        ("yearly", "retention"),
        ("last_restore_test", "restore_test"),
        ("restore_test_every", "restore_test"),
        ("recovery", "recovery"),
        ("kind", "copies"),
        ("capacity", "space[server]"),
        ("link", "window[server]"),
        ("every", "rpo"),
    ],
)
def test_a_blank_is_unverified_and_named(key: str, name: str) -> None:
    """Each key that is missing leaves the finding that needs it open, and is named in its reason."""
    finding = finding_of(plan_of(changed(DATA + BACKUP + SERVER + CLOUD, **{key: ""})), name)
    assert finding.verdict is UNVERIFIED
    assert key in finding.why


def test_the_snapshot_gives_what_it_shows() -> None:
    """Space taken on the data volume and the system volume are read from the snapshot."""
    readings = Readings(
        snapshot_of(
            {
                "storage.volumes": value([{"mount": "D:\\", "used": 30 * GB, "free": GB, "size": 31 * GB}]),
                "storage.system_used": value(50 * GB),
            }
        )
    )
    text = changed(DATA + BACKUP, used="", image="").replace("[data]", '[data]\nvolume = "D:"')
    assert figure_of(plan_of(text + SERVER, readings), "full") == (30 + 5 + 50) * GB


def test_a_data_volume_with_the_system_is_counted_once() -> None:
    """Where acquired data lies on the system volume the image is not added to it."""
    volume = {"mount": "C:\\", "used": 90 * GB, "free": GB, "size": 91 * GB, "system": True}
    readings = Readings(
        snapshot_of({"storage.volumes": value([volume]), "storage.system_used": value(90 * GB)})
    )
    text = changed(DATA + BACKUP, used="", image="").replace("[data]", '[data]\nvolume = "c:"')
    section = plan_of(text + SERVER, readings)
    assert figure_of(section, "full") == (90 + 5) * GB
    (row,) = (row for row in rows_of(section, "What is to be backed up") if row[0].startswith("System image"))
    assert row[1:] == ("in the acquired data", "c: is the system volume: counted with the acquired data")
    assert ("image", "in the acquired data") in section.figures[0].inputs


def test_an_unread_system_volume_is_said() -> None:
    """Why the snapshot does not show the size of the image stands beside the key that would say it."""
    readings = Readings(snapshot_of({"storage.system_used": unknown("a RAM disk")}))
    finding = finding_of(plan_of(changed(WHOLE, image=""), readings), "rto")
    assert "a RAM disk, and `backup.image` is blank" in finding.why


# -- the whole


def test_titles_are_made_safe() -> None:
    """What a worksheet names is shown without characters that move the cursor or hide."""
    backup = backup_of(WHOLE)
    titled = tuple(one._replace(title="File\u202e\x1b server") for one in backup.destinations)
    recovery = Recovery("\x1b", "\x1b", "\x1b")
    sections = backup_sections(
        backup._replace(destinations=titled, recovery=recovery),
        data_of(WHOLE)._replace(volume="D\x1b:"),
        None,
        DAY,
        DAY,
    )
    shown = repr(sections)
    assert "\\\\x1b" in shown
    assert not re.search(r"(?<!\\)\\(x1b|u202e)", shown)


def test_every_figure_shows_its_formula_and_inputs() -> None:
    """No number stands without how it was computed and from what."""
    for section in sections_of(WHOLE):
        assert section.figures
        for figure in section.figures:
            assert figure.formula
            assert figure.inputs
            assert figure.value is not None


def test_tables_are_whole() -> None:
    """Each row has a cell for each column, and machines get as many destinations as people."""
    section = plan_of(WHOLE)
    for table in section.tables:
        assert {len(row) for row in table.rows} == {len(table.columns)}
    space = next(one for one in section.tables if one.title == "Space at each destination")
    assert [one["id"] for one in space.data] == ["server", "cloud", "disk"]
    assert space.data[0]["space"][-1]["day"] == "2037-03-15"


def test_the_last_days_of_the_calendar_are_no_fault() -> None:
    """A plan judged on the last days there are comes to an end with them."""
    last = date(9999, 12, 30)
    assert plan_of(WHOLE, on=last, as_of=last, begins=last).findings


def test_ten_years_over_three_destinations_are_fast() -> None:
    """The whole plan, forecast and curves included, takes less than 50 ms of processor time."""
    times = []
    for _ in range(5):
        start = process_time()
        sections_of(WHOLE)
        times.append(process_time() - start)
    assert min(times) < 0.05


# -- properties

_ORDER = (MET, MARGINAL, UNVERIFIED, UNMET)


def _rank(verdict: Verdict) -> int:
    return _ORDER.index(verdict)


@settings(max_examples=60)
@given(slow=st.integers(1, 2000), more=st.integers(1, 20000))
def test_a_faster_link_makes_nothing_worse(slow: int, more: int) -> None:
    """No finding on time is worse, and no time longer, with a faster link."""
    text = DATA + changed(BACKUP, rpo='"30 h"') + changed(SERVER, link="LINK")
    one = plan_of(text.replace("LINK", f'"{slow} Mbit/s"'))
    two = plan_of(text.replace("LINK", f'"{slow + more} Mbit/s"'))
    for name in ("rpo", "rto", "window[server]"):
        assert _rank(finding_of(two, name).verdict) <= _rank(finding_of(one, name).verdict)
    for name in ("transfer", "transfer_cautious", "restore", "restore_cautious", "loss"):
        assert figure_of(two, f"server.{name}") <= figure_of(one, f"server.{name}")


@settings(max_examples=60)
@given(small=st.integers(70, 9000), more=st.integers(1, 9000), runs=st.integers(1, 40))
def test_a_larger_capacity_makes_nothing_worse(small: int, more: int, runs: int) -> None:
    """No finding at all is worse with more capacity."""
    text = DATA + BACKUP + changed(SERVER, capacity="CAPACITY")
    text = changed(text, runs_per_day=str(runs))
    one = plan_of(text.replace("CAPACITY", f'"{small} GB"'))
    two = plan_of(text.replace("CAPACITY", f'"{small + more} GB"'))
    for name, verdict in verdicts(one).items():
        assert _rank(verdicts(two)[name]) <= _rank(verdict)


@settings(max_examples=60)
@given(runs=st.integers(1, 500), more=st.integers(1, 500))
def test_more_data_makes_nothing_better(runs: int, more: int) -> None:
    """No finding that binds is better with more runs a day."""
    # With one destination: of several, a restore is judged where the loss holds, which may change.
    one = plan_of(changed(DATA + BACKUP + SERVER, runs_per_day=str(runs)))
    two = verdicts(plan_of(changed(DATA + BACKUP + SERVER, runs_per_day=str(runs + more))))
    for finding in one.findings:
        if finding.binding:
            assert _rank(two[finding.id.removeprefix("backup.")]) >= _rank(finding.verdict)


def test_the_day_is_the_default_start() -> None:
    """Without the day of the first run data grows from the day work counts from."""
    early = date(2026, 11, 25)
    table = next(one for one in plan_of(WHOLE, as_of=early).tables if one.title.startswith("Space"))
    assert "2026-11-25" in table.note
    table = next(
        one for one in plan_of(WHOLE, as_of=early, begins=DAY).tables if one.title.startswith("Space")
    )
    assert "2027-03-15" in table.note


def test_space_is_required_for_what_is_kept() -> None:
    """A retention of a year asks for nothing better, and a later day judged for is named."""
    year = finding_of(plan_of(changed(WHOLE, retention='"1 year"')), "space[server]").required
    assert year.endswith(" for 1 year")
    longer = finding_of(plan_of(WHOLE), "space[server]").required
    assert " for a year, better " in longer
    later = finding_of(plan_of(WHOLE, on=date(2028, 1, 10), begins=DAY), "space[server]").required
    assert " until 2029-01-10, better " in later
