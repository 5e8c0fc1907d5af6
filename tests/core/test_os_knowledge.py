"""What is known of operating-system releases, and the readings that follow from it."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, strategies as st

import pcaudit.knowledge
from pcaudit.core.catalogue import CATALOGUE, EDITIONS
from pcaudit.core.knowledge_data import KnowledgeError
from pcaudit.core.os_knowledge import OsKnowledge, feature_release, read, servicing, support_ends
from pcaudit.core.snapshot import Form, Observation, absent, known, unknown, value_problem
from pcaudit.core.toml_text import parse_toml

FILE = Path(pcaudit.knowledge.__file__).with_name("os.toml")
DISTRO_INFO = Path("/usr/share/distro-info")
NOT_READ = "nobody looked"


def data() -> dict[str, Any]:
    """The shipped file, parsed afresh so that a test may spoil it."""
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


SHIPPED = read(data())
GATHERED = SHIPPED.date.isoformat()
Derivation = Callable[[Callable[[str], Observation], OsKnowledge], Observation]
DERIVATIONS: tuple[Derivation, ...] = (feature_release, servicing, support_ends)


def pc(**readings: str | Observation) -> Callable[[str], Observation]:
    """A PC whose readings of group os are these, the others unknown."""

    def get(name: str) -> Observation:
        value = readings.get(name.removeprefix("os."), unknown(NOT_READ))
        return known(value, "a test") if isinstance(value, str) else value

    return get


def windows(build: int | str, **readings: str | Observation) -> Callable[[str], Observation]:
    """A Windows PC of one build."""
    return pc(type="windows", version=f"10.0.{build}.1234", **readings)


def linux(product: str, version: str) -> Callable[[str], Observation]:
    """A Linux PC of one product and version."""
    return pc(type="linux", product=product, version=version, edition_id=absent("no VARIANT_ID"))


def end(get: Callable[[str], Observation], knowledge: OsKnowledge = SHIPPED) -> str:
    """The day support ends, empty where it is not known."""
    seen = support_ends(get, knowledge)
    assert seen.form is Form.KNOWN or (seen.form is Form.UNKNOWN and seen.why)
    return seen.value or ""


# -- the dates and builds themselves


# endoflife.date of 2026-08-22, citing the Microsoft lifecycle pages: build, release, last day of
# home and pro, last day of enterprise and education.
CLIENTS = [
    (17763, "1809", "2020-11-10", "2021-05-11"),
    (18362, "1903", "2020-12-08", "2020-12-08"),
    (18363, "1909", "2021-05-11", "2022-05-10"),
    (19041, "2004", "2021-12-14", "2021-12-14"),
    (19042, "20H2", "2022-05-10", "2023-05-09"),
    (19043, "21H1", "2022-12-13", "2022-12-13"),
    (19044, "21H2", "2023-06-13", "2024-06-11"),
    (19045, "22H2", "2025-10-14", "2025-10-14"),
    (22000, "21H2", "2023-10-10", "2024-10-08"),
    (22621, "22H2", "2024-10-08", "2025-10-14"),
    (22631, "23H2", "2025-11-11", "2026-11-10"),
    (26100, "24H2", "2026-10-13", "2027-10-12"),
    (26200, "25H2", "2027-10-12", "2028-10-10"),
    (28000, "26H1", "2028-03-14", "2029-03-13"),
    # Microsoft lifecycle pages as collected in public data, one day off there for its time zone;
    # builds by the SDK versions of the same releases.
    (10240, "1507", "2017-05-09", "2017-05-09"),
    (10586, "1511", "2017-10-10", "2017-10-10"),
    (14393, "1607", "2018-04-10", "2019-04-09"),
    (15063, "1703", "2018-10-09", "2019-10-08"),
    (16299, "1709", "2019-04-09", "2020-10-13"),
    (17134, "1803", "2019-11-12", "2021-05-11"),
]


@pytest.mark.parametrize(("build", "release", "pro", "enterprise"), CLIENTS)
def test_client_releases(build: int, release: str, pro: str, enterprise: str) -> None:
    """Every client build has its release, and a last day for each group of editions."""
    professional = windows(build, edition="pro", edition_id="Professional")
    assert end(professional) == end(windows(build, edition="home", edition_id="Core")) == pro
    for edition, identifier in (
        ("enterprise", "Enterprise"),
        ("education", "Education"),
        ("iot-enterprise", "IoTEnterprise"),
    ):
        assert end(windows(build, edition=edition, edition_id=identifier)) == enterprise
    assert feature_release(professional, SHIPPED).value == release
    assert servicing(professional, SHIPPED).value == "general"


@pytest.mark.parametrize(
    ("build", "identifier", "release", "last"),
    [  # endoflife.date of 2026-08-22, citing Microsoft's lifecycle data
        (14393, "EnterpriseS", "1607", "2026-10-13"),
        (17763, "EnterpriseS", "1809", "2029-01-09"),
        (19044, "EnterpriseS", "21H2", "2027-01-12"),
        (19044, "IoTEnterpriseS", "21H2", "2032-01-13"),
        (26100, "EnterpriseS", "24H2", "2029-10-09"),
        (26100, "IoTEnterpriseS", "24H2", "2034-10-10"),
        (10240, "EnterpriseS", "1507", "2025-10-14"),  # Microsoft's archived lifecycle data files
    ],
)
def test_long_term_releases(build: int, identifier: str, release: str, last: str) -> None:
    """The long-term channel is told from the client of the same build by the edition identifier."""
    get = windows(build, edition_id=identifier)
    assert end(get) == last
    assert servicing(get, SHIPPED).value == "long-term"
    assert feature_release(get, SHIPPED).value == release


@pytest.mark.parametrize(
    ("build", "identifier", "last", "channel"),
    [  # endoflife.date of 2026-08-22, citing the Microsoft lifecycle pages: the extended end
        (14393, "ServerStandard", "2027-01-12", "long-term"),
        (17763, "ServerDatacenter", "2029-01-09", "long-term"),
        (20348, "ServerStandard", "2031-10-14", "long-term"),
        (26100, "ServerDatacenter", "2034-11-14", "long-term"),
        (17763, "ServerDatacenterACor", "2020-11-10", "general"),
        (19042, "ServerStandardACor", "2022-08-09", "general"),
        (25398, "ServerDatacenterACor", "2025-10-24", "general"),
    ],
)
def test_server_releases(build: int, identifier: str, last: str, channel: str) -> None:
    """A server's support ends with extended support, and its short-lived channels have their own days."""
    get = windows(build, edition="server", edition_id=identifier)
    assert end(get) == last
    assert servicing(get, SHIPPED).value == channel


@pytest.mark.parametrize(
    ("product", "version", "last"),
    [  # endoflife.date of 2026-08-22
        ("Debian GNU/Linux", "11", "2024-08-14"),  # by debian.org/releases, from memory; LTS not counted
        ("Debian GNU/Linux", "12", "2026-07-11"),
        ("Debian GNU/Linux", "13", "2028-08-09"),
        ("Ubuntu", "20.04", "2025-05-31"),
        ("Ubuntu", "22.04", "2027-04-01"),
        ("Ubuntu", "24.04", "2029-05-31"),
        ("Ubuntu", "26.04", "2031-04-30"),
        ("Red Hat Enterprise Linux Server", "7.9", "2024-06-30"),
        ("Red Hat Enterprise Linux", "8.10", "2029-05-31"),
        ("Red Hat Enterprise Linux", "9.4", "2032-05-31"),
        ("Red Hat Enterprise Linux", "10.0", "2035-05-31"),
        ("AlmaLinux", "9.6", "2032-05-31"),
        ("Rocky Linux", "8.10", "2029-05-31"),
        ("CentOS Stream", "9", "2027-05-31"),
    ],
)
def test_linux_releases(product: str, version: str, last: str) -> None:
    """A day this source gives is the day itself, or a later one that the source text names beside it."""
    seen = support_ends(linux(product, version), SHIPPED)
    assert last == seen.value or (seen.value < last and f"endoflife.date says {last}" in seen.source)


@pytest.mark.parametrize(
    ("version", "ends", "later"),
    [  # distro-info-data 0.58+deb12u7 and endoflife.date of 2026-08-22
        ("20.04", "2025-05-29", "endoflife.date says 2025-05-31"),
        ("22.04", "2027-04-01", "distro-info-data says 2027-06-01"),
        ("26.04", "2031-04-30", "distro-info-data says 2031-05-29"),
    ],
)
def test_the_earlier_of_two_days_counts(version: str, ends: str, later: str) -> None:
    """Where sources disagree, the earlier end is taken and both are named in the source text."""
    seen = support_ends(linux("Ubuntu", version), SHIPPED)
    assert seen.value == ends
    assert later in seen.source
    assert all(word in seen.source for word in ("endoflife.date", "distro-info-data"))


@pytest.mark.parametrize(
    ("version", "name", "last"),
    [  # endoflife.date of 2026-08-22; Apple publishes no dates
        ("12.7.6", "Monterey", "2024-09-16"),
        ("13.7.8", "Ventura", "2025-09-15"),
        ("15.6", "Sequoia", ""),
        ("26.1", "Tahoe", ""),
    ],
)
def test_macos_releases(version: str, name: str, last: str) -> None:
    """An end by convention says that it is one, and a release that has none says why."""
    get = pc(type="macos", product="macOS", version=version)
    seen = support_ends(get, SHIPPED)
    assert feature_release(get, SHIPPED).value == name
    assert end(get) == last
    assert "Apple publishes no" in (seen.source if last else seen.why)


@pytest.mark.parametrize("version", ["10.16", "16.0", "16.1"])
def test_a_version_told_to_older_programs_is_no_release(version: str) -> None:
    """Versions macOS tells older programs (CPython issue 135675) are unknown with that reason."""
    for derive in DERIVATIONS:
        seen = derive(pc(type="macos", product="macOS", version=version), SHIPPED)
        assert (seen.form, "older programs" in seen.why) == (Form.UNKNOWN, True)


def _distro_rows(name: str) -> list[dict[str, str]]:
    file = DISTRO_INFO / f"{name}.csv"
    if not file.exists():
        pytest.skip(f"{file} is not there: install the Debian package distro-info-data")
    with file.open(encoding="utf-8", newline="") as lines:
        # A short row lacks its last columns.
        return [{key: cell or "" for key, cell in row.items()} for row in csv.DictReader(lines)]


@pytest.mark.parametrize(
    ("name", "product", "first"), [("debian", "Debian GNU/Linux", 10.0), ("ubuntu", "Ubuntu", 18.04)]
)
def test_distributions_own_table(name: str, product: str, first: float) -> None:
    """Codename and end equal columns series and eol, unless another source ends it earlier."""
    compared = 0
    for row in _distro_rows(name):
        number = row["version"].removesuffix(" LTS")
        if not number or float(number) < first or not row["eol"] or row["release"] > GATHERED:
            continue
        get = linux(product, number)
        assert feature_release(get, SHIPPED).value == row["series"]
        seen = support_ends(get, SHIPPED)
        earlier = seen.value < row["eol"] and f"distro-info-data says {row['eol']}" in seen.source
        assert seen.value == row["eol"] or earlier
        if name == "ubuntu":
            long_term = row["version"].endswith(" LTS")
            assert servicing(get, SHIPPED).value == ("long-term" if long_term else "general")
        compared += 1
    # How many released since then distro-info-data of mid-2026 holds; a newer table holds more.
    assert compared >= {"debian": 4, "ubuntu": 17}[name]


def test_windows_days_are_update_days() -> None:
    """Windows ends on a Tuesday since 2020, so that no day is one off for a time zone."""
    days = {
        release.ends
        for releases in SHIPPED.builds.values()
        for release in releases
        # The annual channel of 25398 ended two years after its release, on a Friday.
        if isinstance(release.ends, date) and release.name != "23H2"
    }
    recent = [day for day in days if isinstance(day, date) and day.year >= 2020]
    assert len(recent) > 20
    assert {day.strftime("%A") for day in recent} == {"Tuesday"}


# -- telling apart


@pytest.mark.parametrize("build", [14393, 17763, 26100])
def test_a_shared_build_alone_is_not_enough(build: int) -> None:
    """Where client, long-term channel and server share a build, only the release's name is known."""
    get = windows(build, product="Windows 11")
    assert feature_release(get, SHIPPED).form is Form.KNOWN
    for derive in (servicing, support_ends):
        seen = derive(get, SHIPPED)
        assert seen.form is Form.UNKNOWN
        assert "os.edition_id" in seen.why
        assert NOT_READ in seen.why


def test_enterprise_may_be_long_term() -> None:
    """Enterprise without its identifier is unknown on a build that the long-term channel shares only."""
    assert end(windows(26100, edition="enterprise")) == ""
    assert servicing(windows(26100, edition="enterprise"), SHIPPED).form is Form.UNKNOWN
    assert end(windows(22631, edition="enterprise")) == "2026-11-10"
    assert servicing(windows(22631, edition="enterprise"), SHIPPED).value == "general"


def test_editions_that_agree_need_no_identifier() -> None:
    """Where all that a PC may be ends on one day, that day is known."""
    assert end(windows(19045)) == "2025-10-14"
    assert end(windows(26100, edition="pro")) == "2026-10-13"
    assert end(windows(20348, edition="server", product="Windows Server 2022 Standard")) == "2031-10-14"


def test_a_product_that_shares_the_servers_build_is_no_windows_server() -> None:
    """Azure Stack HCI has no day here, and leaves a server of its build unknown that says no more."""
    assert (
        "lifecycle of its own"
        in support_ends(windows(20348, edition="server", edition_id="ServerAzureStackHCICor"), SHIPPED).why
    )
    assert end(windows(20348)) == end(windows(20348, edition="server")) == ""


def test_a_server_is_told_by_its_product_where_nothing_else_is_known() -> None:
    """A product named as a server is one; a semi-annual server names no year, so 17763 stays unknown."""
    assert end(windows(26100, product="Windows Server 2025")) == "2034-11-14"
    assert end(windows(17763, product="Windows Server 2019 Standard")) == "2029-01-09"
    assert end(windows(17763, product="Windows Server Datacenter")) == ""
    assert end(windows(17763, edition="server")) == ""
    assert end(windows(17763, edition="server", product="Windows Server 2019")) == "2029-01-09"


def test_the_product_does_not_overrule_build_and_edition() -> None:
    """Windows 11 calls itself 10 in the registry, and is judged by its build all the same."""
    get = windows(26200, product="Windows 10", edition="pro", edition_id="Professional")
    assert end(get) == "2027-10-12"
    assert feature_release(get, SHIPPED).value == "25H2"


@pytest.mark.parametrize(
    "readings",
    [
        {"edition": "pro", "edition_id": "EnterpriseS"},
        {"edition": "server", "edition_id": "Professional"},
        {"edition": "pro", "product": "Windows Server 2025"},
        {"edition": "server", "edition_id": "ServerTurbine", "build": "22631"},
        {"edition_id": "EnterpriseS", "build": "22631"},
        {"product": "Windows Server 2022", "build": "19045"},
    ],
)
def test_contradicting_readings_say_so(readings: dict[str, str]) -> None:
    """Readings that no release has together are unknown, and the reason repeats them."""
    build = readings.pop("build", "26100")
    seen = support_ends(windows(build, **readings), SHIPPED)
    assert seen.form is Form.UNKNOWN
    assert "contradict" in seen.why
    assert all(repr(value) in seen.why for value in readings.values())


def test_an_identifier_not_held_is_not_guessed() -> None:
    """An edition identifier outside the table leaves only the release's name, whatever the edition says."""
    get = windows(22631, edition="enterprise", edition_id="EnterpriseG")
    assert feature_release(get, SHIPPED).value == "23H2"
    for derive in (servicing, support_ends):
        assert "'EnterpriseG' is not in the knowledge" in derive(get, SHIPPED).why


def test_an_evaluation_copy_has_no_end_here() -> None:
    """An evaluation copy stops by itself, so the maker's day would promise too much."""
    get = windows(26100, edition_id="EnterpriseSEval")
    assert "evaluation" in support_ends(get, SHIPPED).why
    assert servicing(get, SHIPPED).value == "long-term"


def test_multi_session_enterprise_is_no_server() -> None:
    """ServerRdsh is Enterprise multi-session: a client in spite of its name."""
    assert end(windows(26100, edition_id="ServerRdsh")) == "2027-10-12"


def test_knowing_less_never_gives_another_answer() -> None:
    """Without identifier or edition each reading is the same or unknown, for every release there is."""
    compared = 0
    for build, releases in SHIPPED.builds.items():
        for line in [release.line for release in releases if release.line]:
            for identifier in line.edition_ids:
                for edition in line.editions:
                    whole = {"edition": edition, "edition_id": identifier}
                    for derive in DERIVATIONS:
                        full = derive(windows(build, **whole), SHIPPED)
                        for missing in ({"edition"}, {"edition_id"}, {"edition", "edition_id"}):
                            rest = {k: v for k, v in whole.items() if k not in missing}
                            less = derive(windows(build, **rest), SHIPPED)
                            if full.form is Form.KNOWN and less.form is Form.KNOWN:
                                assert less.value == full.value
                                compared += 1
    assert compared > 1000


# -- what is not held


def test_a_newer_build_is_unknown() -> None:
    """A build past the table is unknown, and the reason says how to add it."""
    for derive in DERIVATIONS:
        seen = derive(windows(29999, edition="pro", edition_id="Professional"), SHIPPED)
        how = "lay a newer file over it with --knowledge"
        assert seen == unknown(f"build 29999 is newer than the knowledge of {GATHERED}: {how}")


@pytest.mark.parametrize("build", [22001, 26099, 26101, 27000])
def test_a_build_between_releases_is_unknown(build: int) -> None:
    """A preview build is not taken for the release before or after it."""
    for derive in DERIVATIONS:
        assert f"build {build} (a preview" in derive(windows(build, edition_id="Core"), SHIPPED).why


@pytest.mark.parametrize(
    ("version", "reason"),
    [
        ("10.0", "does not name a build"),
        ("11", "does not name a build"),
        ("23H2", "does not name a build"),
        ("6.1.7601.0", "is not in the knowledge"),
        ("6.3.19045.0", "Windows version 6.3.19045.0 is not in the knowledge"),
        ("11.0.26100", "Windows version 11.0.26100 is newer than the knowledge"),
        ("", "nobody looked"),
    ],
)
def test_windows_versions_that_tell_no_release(version: str, reason: str) -> None:
    """A Windows version that names no build, or of another system, is unknown with that reason."""
    readings = {"type": "windows", "edition_id": "Core", **({"version": version} if version else {})}
    assert reason in support_ends(pc(**readings), SHIPPED).why


@pytest.mark.parametrize(
    ("product", "version", "reason"),
    [
        ("Debian GNU/Linux", "14", "is newer than the knowledge"),
        ("Debian GNU/Linux", "9", "is not in the knowledge"),
        ("Debian GNU/Linux", "trixie/sid", "is not digits"),
        ("Debian GNU/Linux", "1", "is not in the knowledge"),
        ("Ubuntu", "24", "is not in the knowledge"),
        ("Ubuntu", "24.4", "is not in the knowledge"),
        ("Ubuntu", "27.04", "is newer than the knowledge"),
        ("Raspbian GNU/Linux", "12", "is not in the knowledge"),
        ("Debian", "12", "is not in the knowledge"),
    ],
)
def test_linux_versions_not_held(product: str, version: str, reason: str) -> None:
    """A derivative, an older or newer release, or no whole version number is unknown with its reason."""
    for derive in DERIVATIONS:
        seen = derive(linux(product, version), SHIPPED)
        assert (seen.form, reason in seen.why) == (Form.UNKNOWN, True)


@pytest.mark.parametrize("version", ["12", "12.5", "12.12"])
def test_minor_versions_belong_to_their_release(version: str) -> None:
    """A version with a minor part has its major part's release, and the product is compared folded."""
    assert feature_release(linux("debian  gnu/linux", version), SHIPPED).value == "bookworm"


@pytest.mark.parametrize("missing", ["type", "product", "version"])
def test_the_reason_of_a_missing_reading_is_passed_on(missing: str) -> None:
    """What cannot be judged for want of a reading says why that reading is not known."""
    readings = {"type": "linux", "product": "Ubuntu", "version": "24.04"}
    assert end(pc(**readings)) == "2029-05-31"
    del readings[missing]
    for derive in DERIVATIONS:
        assert NOT_READ in derive(pc(**readings), SHIPPED).why


def test_a_release_without_a_day_says_why() -> None:
    """Where no day is confirmed or published the reason is the file's own."""
    announced = windows(26300, edition="pro", edition_id="Professional")
    assert feature_release(announced, SHIPPED).value == "26H2"
    assert "not confirmed" in support_ends(announced, SHIPPED).why
    assert "disagree" in support_ends(linux("AlmaLinux", "8.10"), SHIPPED).why


def test_a_release_without_a_name_is_unknown() -> None:
    """A release that has no name of its own is unknown, not nameless."""
    assert "no name of its own" in feature_release(linux("AlmaLinux", "9.4"), SHIPPED).why


# -- age and source


@pytest.mark.parametrize(("days", "phrase"), [(-1, "knowledge of"), (0, "knowledge of"), (1, "as known on")])
def test_a_day_past_the_knowledge_says_so(days: int, phrase: str) -> None:
    """A day later than the knowledge was gathered is said to be known as of then."""
    spoilt = data()
    last = SHIPPED.date + timedelta(days=days)
    debian = next(product for product in spoilt["products"] if "Debian GNU/Linux" in product["names"])
    debian["releases"][-1]["ends"] = last
    seen = support_ends(linux("Debian GNU/Linux", "13"), read(spoilt))
    assert seen.value == last.isoformat()
    assert f"{phrase} {GATHERED}" in seen.source


def test_the_source_names_where_and_what() -> None:
    """The source text names the build, the editions it holds for, the data's origin and its day."""
    seen = support_ends(windows(26100, edition="pro", edition_id="Professional"), SHIPPED)
    assert seen.source == (
        "Windows build 26100, home and pro: endoflife.date of 2026-08-22, "
        f"citing the maker's lifecycle pages; knowledge of {GATHERED}"
    )
    assert "older copies" in support_ends(windows(26100, edition_id="ServerStandard"), SHIPPED).source


# -- the file


def test_both_readers_of_toml_give_the_same_knowledge() -> None:
    """The reader that the program uses gives what the standard library's gives."""
    parsed, _places = parse_toml(FILE.read_text(encoding="utf-8"), "os.toml")
    assert read(parsed) == SHIPPED


def test_a_file_laid_over_replaces_the_shipped_one() -> None:
    """Knowledge is what the file read says, and nothing of the shipped one shines through."""
    newer = data()
    newer["meta"]["date"] = date(2027, 3, 1)
    newer["windows"]["releases"] = [
        {"product": "Windows 11", "release": "27H1", "build": 29999, "ends": {"home-pro": date(2029, 3, 13)}}
    ]
    newer["products"] = []
    knowledge = read(newer)
    assert end(windows(29999, edition_id="Core"), knowledge) == "2029-03-13"
    assert end(windows(26100, edition_id="Core"), knowledge) == ""
    assert "knowledge of 2027-03-01" in support_ends(linux("Ubuntu", "24.04"), knowledge).why


def _spoil(path: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    """The shipped data with one value replaced, or taken out where it is an ellipsis."""
    whole = data()
    at: Any = whole
    for step in path[:-1]:
        at = at[step]
    if value is ...:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return whole


_RELEASE = ("windows", "releases", 0)
_PRODUCT = ("products", 1)


@pytest.mark.parametrize(
    ("path", "value", "key"),
    [
        (("meta",), ..., "meta"),
        (("more",), 1, "more"),
        (("meta", "format"), 2, "meta.format"),
        (("meta", "format"), True, "meta.format"),
        (("meta", "date"), "2026-11-25", "meta.date"),
        (("meta", "sources", 0, "title"), " ", "meta.sources[0].title"),
        (("meta", "sources", 1, "id"), "endoflife", "meta.sources[1].id"),
        (("meta", "sources", 1), "endoflife", "meta.sources[1]"),
        (("meta", "author"), "nobody", "meta.author"),
        (("windows", "source"), "hearsay", "windows.source"),
        (("windows", "lines", "home-pro", "servicing"), "short", "windows.lines.home-pro.servicing"),
        (("windows", "lines", "home-pro", "editions"), ["prp"], "windows.lines.home-pro.editions"),
        (("windows", "lines", "home-pro", "editions"), [], "windows.lines.home-pro.editions"),
        (("windows", "lines", "ltsc", "edition_ids"), ["enterprise"], "windows.lines.ltsc.edition_ids"),
        (("windows", "lines", "ltsc", "edition_ids"), "EnterpriseS", "windows.lines.ltsc.edition_ids"),
        ((*_RELEASE, "build"), ..., "windows.releases[0].build"),
        ((*_RELEASE, "build"), "10240", "windows.releases[0].build"),
        ((*_RELEASE, "build"), 10586, "windows.releases[1].build"),
        (("windows", "releases", 21, "release"), "1511", "windows.releases[21].build"),
        ((*_RELEASE, "sources"), "memory", "windows.releases[0].sources"),
        ((*_RELEASE, "source"), "hearsay", "windows.releases[0].source"),
        ((*_RELEASE, "ends", "home-pro"), 2017, "windows.releases[0].ends.home-pro"),
        ((*_RELEASE, "ends", "pro"), date(2017, 5, 9), "windows.releases[0].ends.pro"),
        ((*_PRODUCT, "type"), "unix", "products[1].type"),
        ((*_PRODUCT, "names"), ["Ubuntu"], "products[2].names"),
        ((*_PRODUCT, "releases", 0, "version"), 10, "products[1].releases[0].version"),
        ((*_PRODUCT, "releases", 0, "version"), "ten", "products[1].releases[0].version"),
        ((*_PRODUCT, "releases", 0, "version"), "11", "products[1].releases[1].version"),
        ((*_PRODUCT, "releases", 0, "ends"), "", "products[1].releases[0].ends"),
        ((*_PRODUCT, "releases", 0, "end"), date(2022, 9, 10), "products[1].releases[0].end"),
        ((*_PRODUCT, "releases", 0, "servicing"), ..., "products[1].releases[0].servicing"),
    ],
)
def test_wrong_data_is_refused_by_key(path: tuple[str | int, ...], value: Any, key: str) -> None:
    """A knowledge file with one thing wrong is refused, and the message begins with its key."""
    with pytest.raises(KnowledgeError) as caught:
        read(_spoil(path, value))
    assert caught.value.key == key
    assert str(caught.value) == f"{key}: {caught.value.message}"
    assert caught.value.message


def test_a_date_with_a_time_is_refused() -> None:
    """A day is a day: a date with a time of day would carry a time zone's doubt with it."""
    text = FILE.read_text(encoding="utf-8").replace("date = 2026-11-25", "date = 2026-11-25T00:00:00Z", 1)
    with pytest.raises(KnowledgeError, match=r"meta\.date"):
        read(tomllib.loads(text))


# -- anything at all

_TEXTS = st.one_of(
    st.text(max_size=12),
    st.sampled_from(["windows", "linux", "macos", "Windows Server 2019", "Ubuntu", "macOS", "AlmaLinux"]),
    st.sampled_from([*EDITIONS, "EnterpriseS", "ServerStandard", "ServerDatacenterACor", "Nothing"]),
    st.sampled_from([f"10.0.{build}" for build in SHIPPED.builds]),
    st.sampled_from(["12.5", "24.04", "26.1", "9", "10.0.99999", "1" * 30, "٣.٤", "..", "10.16"]),
)
_VALUES = st.one_of(_TEXTS, st.none(), st.integers(), st.booleans(), st.lists(st.text(max_size=3)))
_OBSERVATIONS = st.builds(
    Observation, st.sampled_from(Form), _VALUES, st.text(max_size=5), st.text(max_size=5), st.booleans()
)
_NAMES = ("type", "product", "version", "edition", "edition_id")


@given(st.fixed_dictionaries({}, optional=dict.fromkeys(_NAMES, _OBSERVATIONS)))
def test_any_readings_give_a_good_answer(readings: dict[str, Observation]) -> None:
    """Whatever the readings are, the answer is a value the catalogue admits, or unknown with a reason."""
    for name, derive in zip(
        ("os.feature_release", "os.servicing", "os.support_ends"), DERIVATIONS, strict=True
    ):
        seen = derive(pc(**readings), SHIPPED)
        if seen.form is Form.KNOWN:
            assert not value_problem(seen.value, CATALOGUE[name].value)
            assert GATHERED in seen.source
        else:
            assert (seen.form, seen.value, bool(seen.why)) == (Form.UNKNOWN, None, True)
