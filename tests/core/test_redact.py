"""Redacting: nothing that identifies is left, and nothing that decides is changed."""

from __future__ import annotations

import ipaddress
import json
import string
from datetime import date
from typing import Any, Final

import pytest
from hypothesis import given, settings, strategies as st

from pcaudit.core.profile import ProfileSource
from pcaudit.core.pseudonyms import PREFIX, is_redacted, pseudonym
from pcaudit.core.redact import NOTE, redact_report, redact_snapshot
from pcaudit.core.redact_text import Names, learn, parts
from pcaudit.core.report import Acceptance, Arrangement, Report, Verdict, report_mapping
from pcaudit.core.snapshot import Snapshot, from_mapping, known, to_mapping
from tests.core.builders import MET, UNMET, UNVERIFIED, absent, document, finding_of, value
from tests.render.samples import ACCEPTANCE, finding, part, report

KEY: Final = b"k" * 32
OTHER: Final = b"o" * 32


def _redacted(readings: dict[str, Any], key: bytes = KEY) -> dict[str, Any]:
    found: dict[str, Any] = to_mapping(redact_snapshot(from_mapping(document(readings)), key))["readings"]
    return found


# -- what is left of it

# Made of a syllable that no text of ours has, so that whatever is found is residue.
_NAME: Final = st.text(string.ascii_letters + string.digits, min_size=4, max_size=9).map(lambda s: f"Qx{s}Zv")
_IPV4: Final = st.integers(1, (1 << 32) - 2).map(ipaddress.IPv4Address)
_IPV6: Final = st.integers(2, (1 << 128) - 1).map(ipaddress.IPv6Address)
_MAC: Final = st.integers(1 << 40, (1 << 48) - 1).map(lambda n: f"{n:012x}")


def _colons(mac: str) -> str:
    return ":".join(mac[i : i + 2] for i in range(0, 12, 2))


def _mac_forms(mac: str) -> list[str]:
    dotted = ".".join(mac[i : i + 4] for i in range(0, 12, 4))
    colons = _colons(mac)
    return [mac, colons, colons.replace(":", "-"), dotted, mac.upper(), colons.upper()]


def _ip_forms(address: Any) -> list[str]:
    forms = [str(address), address.exploded, str(address).upper(), address.reverse_pointer]
    return [*forms, str(address).replace(".", "-")] if address.version == 4 else forms


def _name_forms(name: str) -> list[str]:
    return [name, name.upper(), name.lower(), name.swapcase()]


_IDENTITY: Final = st.fixed_dictionaries(
    {
        "user": _NAME,
        "other": _NAME,
        "host": st.tuples(_NAME, _NAME).map("-".join),
        "serial": _NAME,
        "domain": st.tuples(_NAME, _NAME).map(lambda pair: ".".join((*pair, "example"))),
        "proxy": _NAME,
        "server": _NAME,
        "endpoint": _NAME,
        "macs": st.lists(_MAC, min_size=1, max_size=3),
        "addresses": st.lists(st.one_of(_IPV4, _IPV6), min_size=1, max_size=4),
    }
)


def _names_of(identity: dict[str, Any]) -> list[str]:
    whole = [v for v in identity.values() if isinstance(v, str)]
    return [*whole, *(p for name in whole for p in parts(name) if p != "example")]


def _forms(identity: dict[str, Any]) -> list[str]:
    """Every original in every notation."""
    forms = [form for name in _names_of(identity) for form in _name_forms(name)]
    forms += [form for mac in identity["macs"] for form in _mac_forms(mac)]
    return forms + [form for address in identity["addresses"] for form in _ip_forms(address)]


def _snapshot(identity: dict[str, Any]) -> Snapshot:
    """A snapshot that says all of it where it belongs, and in every notation where people put it."""
    account = f"{identity['domain'].partition('.')[0]}\\{identity['user']}"
    told = "; ".join(
        (
            f"run as {account}, but {identity['other']} is signed in",
            f"C:\\Users\\{identity['other']}\\AppData",
            f"/home/{identity['user']}/.local",
            *_forms(identity),
        )
    )
    return from_mapping(
        document(
            {
                "session.user": value(identity["user"], why=told),
                "computer.host_name": {"value": identity["host"], "source": told},
                "computer.serial_number": value(identity["serial"]),
                "os.domain": value(identity["domain"]),
                "os.language": unknown_form(told),
                "network.proxy": value(f"http://{identity['proxy']}.example:3128"),
                "network.name_servers": value([str(a) for a in identity["addresses"]]),
                "network.adapters": value(
                    [
                        {
                            "name": f"enx{mac}",
                            "mac": _colons(mac),
                            "addresses": [f"{a}/24" for a in identity["addresses"]],
                            "gateway": str(identity["addresses"][0]),
                        }
                        for mac in identity["macs"]
                    ]
                ),
                "network.endpoints": value([{"host": identity["endpoint"], "port": 443, "reachable": True}]),
                "storage.volumes": value(
                    [
                        {"mount": f"/media/{identity['user']}/STICK", "size": 1},
                        {"mount": f"\\\\{identity['server']}\\data", "size": 2},
                    ]
                ),
                "software.packages": value(
                    [{"name": f"Backup of {form}", "publisher": form} for form in _forms(identity)],
                    complete=False,
                    why=f"programs of single users are not listed: /home/{identity['other']}/bin",
                ),
                "software.services": value([{"name": f"svc@{identity['host']}.service", "state": "running"}]),
            }
        )
    )


def _residue(text: str, identity: dict[str, Any]) -> list[str]:
    small = text.casefold()
    return [form for form in _forms(identity) if form.casefold() in small]


@settings(max_examples=60)
@given(_IDENTITY)
def test_nothing_of_a_snapshot_is_left(identity: dict[str, Any]) -> None:
    """No name, address or part of one is in a redacted snapshot, in any case or notation."""
    text = json.dumps(to_mapping(redact_snapshot(_snapshot(identity), KEY)), ensure_ascii=False)
    assert _residue(text, identity) == []
    assert PREFIX in text


def _report(identity: dict[str, Any]) -> Report:
    """A report in which every text says all of it."""
    told = "; ".join(_forms(identity))
    path = f"/home/{identity['user']}/profiles/p.toml"
    one = finding(
        "network.adapters[port]",
        Verdict.UNMET,
        title=told,
        required=told,
        found=told,
        why=told,
        because=told,
        remedy=told,
        owner=told,
        source=told,
        parts=(
            part(told, Verdict.UNMET, 2, acceptance=ACCEPTANCE._replace(by=told, because=told))._replace(
                because=told, owner=told, profile=path
            ),
        ),
        acceptance=ACCEPTANCE._replace(because=told),
    )
    one = one._replace(value=identity["host"], profile=path)
    whole = report((one,), not_asked=(told,), warnings=(told,))
    return whole._replace(
        snapshot=_snapshot(identity),
        computer={"host_name": identity["host"], "model": "M", "serial_number": identity["serial"]},
        profiles=(ProfileSource(told, path, "00" * 32, told),),
        arrangements=(
            Arrangement("a", "licence", told, told, told, told, "", "", path, 1, holder=told, kept=told),
        ),
        backup=whole.backup._replace(items=(whole.backup.items[0]._replace(what=told, basis=told),)),
    )


@settings(max_examples=30)
@given(_IDENTITY)
def test_nothing_of_a_report_is_left(identity: dict[str, Any]) -> None:
    """No name, address or part of one is in a redacted report, whoever wrote it there."""
    text = json.dumps(report_mapping(redact_report(_report(identity), KEY)), ensure_ascii=False)
    assert _residue(text, identity) == []


def test_verdicts_ids_and_digests_stay() -> None:
    """Redacting changes what is said, not what was judged."""
    plain = report()
    hidden = redact_report(plain, KEY)
    judged = [(f.id, f.verdict, f.binding, f.digest, f.line) for f in plain.findings]
    assert [(f.id, f.verdict, f.binding, f.digest, f.line) for f in hidden.findings] == judged
    assert (hidden.outcome, hidden.on, hidden.as_of) == (plain.outcome, plain.on, plain.as_of)
    assert hidden.warnings == (*plain.warnings, NOTE)
    assert hidden.computer["model"] == plain.computer["model"]


# -- pseudonyms


def test_a_sharp_s_is_found_in_both_spellings() -> None:
    """A part of a name goes as "weiß" and as "weiss"."""
    readings = _redacted(
        {"session.user": {"value": "Jürgen Weiß", "source": "tool of weiß, WEISS and Weiß, jürgen weiß"}}
    )
    assert "wei" not in readings["session.user"]["source"].casefold()


def test_the_same_name_has_the_same_pseudonym_wherever_it_stands() -> None:
    """Case and notation do not count, so that a reader can follow one host through a document."""
    readings = _redacted(
        {
            "computer.host_name": {"value": "LAB2-Altplatz", "source": "kernel of lab2-altplatz"},
            "network.adapters": value(
                [{"mac": "00:00:5E:00:53:AB", "name": "enx00005e0053ab", "gateway": "192.0.2.1"}]
            ),
            "network.name_servers": value(["192.0.2.1", "2001:DB8::1"]),
        }
    )
    host = readings["computer.host_name"]
    assert host["source"] == f"kernel of {host['value']}"
    (adapter,) = readings["network.adapters"]["value"]
    assert adapter["name"] == f"enx{adapter['mac']}"
    assert adapter["gateway"] == readings["network.name_servers"]["value"][0]
    assert readings["network.name_servers"]["value"][1] == pseudonym(KEY, "ip", "2001:db8::1")


def test_pseudonyms_depend_on_the_key() -> None:
    """With one key two snapshots can be compared; with another nothing agrees."""
    readings = {"computer.host_name": value("bench-seven")}
    assert _redacted(readings) == _redacted(readings)
    assert _redacted(readings) != _redacted(readings, OTHER)


def test_a_pseudonym_says_what_it_stands_for_and_no_more() -> None:
    """It names the kind; 48 bits of a keyed digest follow."""
    made = pseudonym(KEY, "host", "bench")
    assert made.startswith("redacted-host-")
    assert len(made) == len("redacted-host-") + 12
    # HMAC-SHA-256 of b"host\0bench" under 32 letters k, as `openssl dgst -sha256 -mac HMAC` gives it.
    assert made == "redacted-host-" + _HMAC[:12]


_HMAC: Final = "fc40b9364c056793b25944743672c55af742e20275e978846d3f39e4dc0da2c3"


def test_prefix_lengths_and_loopback_stay() -> None:
    """How long a network's prefix is helps whoever looks for a fault; every PC has a loopback."""
    readings = _redacted({"network.name_servers": value(["127.0.0.53", "::1", "192.0.2.7/24"])})
    first, second, third = readings["network.name_servers"]["value"]
    assert (first, second) == ("127.0.0.53", "::1")
    assert third == f"{pseudonym(KEY, 'ip', '192.0.2.7')}/24"


def test_a_name_server_without_an_address_is_a_host() -> None:
    """What is no address is redacted as a name."""
    readings = _redacted({"network.name_servers": value(["resolver-eleven"])})
    assert readings["network.name_servers"]["value"] == [pseudonym(KEY, "host", "resolver-eleven")]


def test_redacting_again_with_the_same_names_leaves_pseudonyms_whole() -> None:
    """A name such as "redacted" or "host" does not eat into the pseudonyms."""
    for name in ("redacted", "host", "serial", "dacted"):
        text = _redacted({"session.user": {"value": name, "source": f"said by {name} of 192.0.2.9"}})
        assert text["session.user"]["value"] == pseudonym(KEY, "user", name)
        assert pseudonym(KEY, "ip", "192.0.2.9") in text["session.user"]["source"]


def test_an_account_of_a_domain_is_known_by_both_names() -> None:
    """The user and the domain are replaced where they stand alone too."""
    seen = _redacted({"session.user": {"value": "LAB\\jane", "source": "jane of lab"}})["session.user"]
    assert seen["source"] == f"{pseudonym(KEY, 'user', 'jane')} of {pseudonym(KEY, 'domain', 'lab')}"


_NAMED: Final = {
    "computer.host_name": value("ALTPLATZ-PC-03"),
    "computer.serial_number": value("LM20-10452"),
    "session.user": value("kowalski"),
}


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("computer.model", "Benchline LM20-10452"),
        ("computer.manufacturer", "Made for ALTPLATZ-PC-03"),
        ("computer.firmware_version", "1.0 LM20-10452"),
        ("power.plan", "Plan of kowalski"),
        ("software.antivirus", [{"name": "Guard on ALTPLATZ-PC-03"}]),
        ("software.runtimes", [{"name": "Runtime of kowalski", "version": "1"}]),
        ("storage.drives", [{"model": "Disk LM20-10452 of ALTPLATZ-PC-03"}]),
        ("display.screens", [{"name": "Screen kowalski"}]),
        ("display.graphics", [{"model": "Card kowalski", "driver_version": "1-kowalski"}]),
    ],
)
def test_known_names_go_from_every_reading_that_may_hold_them(name: str, said: Any) -> None:
    """Host name, user and serial number stand in no name of a thing or program either."""
    text = json.dumps(_redacted({**_NAMED, name: value(said)}))
    assert [one for one in ("LM20-10452", "ALTPLATZ-PC-03", "kowalski") if one in text] == []


def test_the_model_of_a_report_holds_no_serial_number() -> None:
    """The head of a report names the model without the number of the one PC."""
    plain = report()
    readings = {**plain.snapshot.readings, "computer.serial_number": known("LM20-10452", "")}
    plain = plain._replace(
        snapshot=plain.snapshot._replace(readings=readings),
        computer={"host_name": None, "model": "Benchline LM20-10452", "serial_number": "LM20-10452"},
    )
    serial = pseudonym(KEY, "serial", "lm20-10452")
    assert redact_report(plain, KEY).computer["model"] == f"Benchline {serial}"


@pytest.mark.parametrize("reading", ["software.packages", "software.services", "software.antivirus"])
@pytest.mark.parametrize(
    ("said", "gone"),
    [
        ("Tool \\\\fileserver9\\share", "fileserver9"),
        ("Tool (//fileserver9/share)", "fileserver9"),
        ("Tool in C:\\Users\\mara\\AppData", "mara"),
        ("Tool S-1-5-21-3623811015-3361044348-30300820-1013", "S-1-5"),
        ("Tool by mara@fernley.example", "mara@"),
        ("Tool at 10.20.30.40", "10.20.30.40"),
        ("Tool at [fd00::1:2]", "fd00"),
    ],
)
def test_names_of_programs_give_away_no_account_or_server(reading: str, said: str, gone: str) -> None:
    """Servers, users' folders, accounts, mail and private addresses go from names and findings."""
    readings = {reading: value([{"name": said}])}
    assert gone not in json.dumps(_redacted(readings))
    one = finding("software.packages[tool]", Verdict.UNMET, found=said)
    plain = report((one,))._replace(snapshot=from_mapping(document(readings)))
    assert gone not in redact_report(plain, KEY).findings[0].found


def test_a_server_named_like_a_word_leaves_longer_words_whole() -> None:
    """A share of the server "files" in the name of a program does not take the word out of "profiles"."""
    readings = {
        "software.packages": value([{"name": "Tool \\\\files\\share"}]),
        "cpu.cores": unknown_form("profiles of files"),
    }
    assert _redacted(readings)["cpu.cores"]["why"] == f"profiles of {pseudonym(KEY, 'name', 'files')}"


@pytest.mark.parametrize("said", ["getty@tty1.service", "Driver 27.20.10.68", "Drive http://a/b"])
def test_names_of_programs_that_only_look_so_stay(said: str) -> None:
    """Instances of units are no mail addresses, versions no addresses, addresses of pages no servers."""
    readings = {"software.services": value([{"name": said, "state": "running"}])}
    assert _redacted(readings) == readings
    assert Names(KEY, {}, set()).replacer()(f"state of {said}", said[0] == "g").endswith(said)


# -- what is not touched


def test_what_decides_is_not_touched() -> None:
    """A PC named like its system or a package loses neither: values that are judged stay."""
    readings = {
        "computer.host_name": value("debian"),
        "session.user": value("intel"),
        "os.product": value("Debian GNU/Linux"),
        "os.version": value("10.0.1.2"),
        "cpu.vendor": value("intel"),
        "cpu.features": value(["sse2", "intel"]),
        "memory.installed": value(1 << 34),
        "display.graphics": value([{"model": "A", "driver_version": "27.20.10.68"}]),
    }
    redacted = _redacted(readings)
    for name in ("os.product", "os.version", "cpu.vendor", "cpu.features", "memory.installed"):
        assert redacted[name]["value"] == readings[name]["value"]
    assert redacted["display.graphics"]["value"][0]["driver_version"] == "27.20.10.68"


@pytest.mark.parametrize("name", ["root", "Administrator", "admin", "user"])
def test_accounts_that_every_pc_has_do_not_garble_reasons(name: str) -> None:
    """The account is redacted as a value; reasons still say "needs administrator rights"."""
    readings = _redacted(
        {"session.user": value(name), "memory.ecc": unknown_form("needs administrator rights")}
    )
    assert readings["session.user"]["value"] == pseudonym(KEY, "user", name.casefold())
    assert readings["memory.ecc"]["why"] == "needs administrator rights"


def test_an_account_named_like_a_role_does_not_take_the_role_away() -> None:
    """The account "installer" is redacted as a value and in paths; whose task it is stays readable."""
    readings = _redacted(
        {
            "session.user": {"value": "installer", "source": "/home/installer/.config"},
            "memory.ecc": unknown_form("ask the installer"),
        }
    )
    account = pseudonym(KEY, "user", "installer")
    assert readings["session.user"] == {"value": account, "source": f"/home/{account}/.config"}
    assert readings["memory.ecc"]["why"] == "ask the installer"


def unknown_form(why: str) -> dict[str, Any]:
    """An unknown reading in its JSON form."""
    return {"value": None, "why": why}


def test_a_short_name_is_replaced_as_a_word_only() -> None:
    """A host named "vm1" does not change "vm12", nor a year in a name a date."""
    readings = _redacted(
        {
            "computer.host_name": {"value": "vm1", "source": "vm1 is not vm12"},
            "os.domain": {"value": "lab.2026.example", "source": "of 2026-11-25"},
        }
    )
    assert readings["computer.host_name"]["source"] == f"{pseudonym(KEY, 'host', 'vm1')} is not vm12"
    assert readings["os.domain"]["source"] == "of 2026-11-25"


def test_a_part_of_a_name_is_replaced_as_a_word_only() -> None:
    """A host named "OFFICE-PC-77" hides "Office 7", but not the product that only sounds like it."""
    readings = {
        "computer.host_name": value("OFFICE-PC-77"),
        "software.packages": value([{"name": "LibreOffice 24"}, {"name": "Notes of office"}]),
        "display.graphics": value([{"model": "Office Graphics"}]),
    }
    redacted = _redacted(readings)
    first, second = redacted["software.packages"]["value"]
    assert first["name"] == "LibreOffice 24"
    assert second["name"].startswith(f"Notes of {PREFIX}name-")
    assert redacted["display.graphics"]["value"] == [{"model": "Office Graphics"}]


def test_versions_in_sentences_are_not_addresses() -> None:
    """A build has parts above 255, a time has colons, a namespace too: none is an address."""
    source = "build 10.0.19045.6456 at 09:00:00, std::vector"
    assert _redacted({"os.version": {"value": "1", "source": source}})["os.version"]["source"] == source


def test_absence_stays_absence() -> None:
    """What is known not to exist is no name."""
    readings = {"network.proxy": absent("none set")}
    assert _redacted(readings) == readings


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("run as LAB\\jane, but mara.arden is signed in: run it as that user", "mara.arden"),
        ("run as jane.fairlop where nobody is signed in: run it", "jane.fairlop"),
        ("owner of /dev/console: tarquin, not jane", "tarquin"),
        ("programs installed only for other users are not seen: ludmilla, percival; probe", "percival"),
        ("NetGetJoinInformation: workgroup FERNLEY", "FERNLEY"),
        ("DsRoleGetPrimaryDomainInformation; NetGetJoinInformation FERNLEY", "FERNLEY"),
        ("Samba is set up for fernley.example, but no key", "fernley.example"),
        ("in C:\\Users\\Mara Arden\\AppData", "Mara Arden"),
        ("/home/marden: not readable", "marden"),
        ("//fileserver9/share", "fileserver9"),
    ],
)
def test_names_are_learnt_from_what_probes_say(text: str, name: str) -> None:
    """A name that only a reason gives is known, and replaced in it and elsewhere."""
    names = Names(KEY, {}, set())
    learn(text, names)
    replace = names.replacer()
    assert name.casefold() not in replace(text, True).casefold()
    assert name.casefold() not in replace(f"archive of {name}", False).casefold()


@pytest.mark.parametrize(
    "text",
    [
        "S-1-5-21-3623811015-3361044348-30300820-1013",
        "mara@fernley.example",
        "\\\\?\\Volume{4c1b02c1-d990-11dc-99ae-806e6f6e6963}\\",
        "fe80::200:5eff:fe00:53ab",
        "00-00-5e-00-53-ab",
        "7.2.0.192.in-addr.arpa",
    ],
)
def test_what_identifies_by_its_form_needs_no_list(text: str) -> None:
    """Account identifiers, mail and network addresses in a reason go though no reading holds them."""
    shown = Names(KEY, {}, set()).replacer()(f"seen: {text}!", True)
    assert text not in shown
    assert PREFIX in shown


def test_texts_of_unknown_kind_are_left_in_names() -> None:
    """A program named like an address stays, unless the address is known to be this network's."""
    names = Names(KEY, {}, set())
    assert names.replacer()("Driver 6.3.0.12", False) == "Driver 6.3.0.12"
    names.add_address("ip", "6.3.0.12")
    assert "6.3.0.12" not in names.replacer()("Driver 6.3.0.12", False)


# -- judging what was redacted


@pytest.mark.parametrize(
    ("condition", "plain"),
    [
        ('[computer]\nhost_name = { none_of = ["OLD-PC"] }\n', MET),
        ('[computer]\nhost_name = "bench-seven"\n', MET),
        ('[computer]\nhost_name = "bench-eight"\n', UNMET),
        ('[network]\nname_servers = { excludes = ["192.0.2.54"] }\n', MET),
        ('[network]\nname_servers = { includes = ["192.0.2.54"] }\n', UNMET),
        ('[[network.adapters]]\nid = "a"\ngateway = "192.0.2.1"\n', MET),
        ('[[network.adapters]]\nid = "a"\ncount = 0\ngateway = "192.0.2.2"\n', MET),
        ('[[software.packages]]\nid = "a"\ncount = 0\nname = { matches = "Old Suite*" }\n', MET),
    ],
)
def test_a_redacted_value_is_never_judged(condition: str, plain: Verdict) -> None:
    """What a pseudonym is or is not says nothing of the PC: such a condition cannot be verified."""
    readings = {
        "computer.host_name": value("bench-seven"),
        "network.name_servers": value(["192.0.2.53"]),
        "network.adapters": value([{"gateway": "192.0.2.1"}]),
        "software.packages": value([{"name": "Notes of bench-seven"}]),
    }
    assert finding_of(condition, readings).verdict is plain
    judged = finding_of(condition, _redacted(readings))
    assert judged.verdict is UNVERIFIED
    assert "redacted" in judged.why


def test_what_counts_as_redacted() -> None:
    """A text with a pseudonym in it, and a list with such a text."""
    made = pseudonym(KEY, "host", "x")
    assert is_redacted(made) and is_redacted(f"of {made}") and is_redacted(["a", made])
    assert not any(map(is_redacted, ("a", ["a", 1], 7, None, True)))


def test_a_concession_in_a_report_hides_the_pc_not_the_day() -> None:
    """Whoever granted it is named in the lab's own words; names of this PC in them go."""
    acceptance = Acceptance(Verdict.UNMET, "bench-seven is replaced", "A. Example", date(2027, 6, 30))
    one = finding("cpu.cores", Verdict.ACCEPTED, acceptance=acceptance)
    snapshot = Snapshot(
        "2026-11-25T09:00:00+00:00", "0.1.0", {"computer.host_name": known("bench-seven", "")}
    )
    hidden = redact_report(report((one,))._replace(snapshot=snapshot), KEY).findings[0].acceptance
    assert hidden is not None
    assert hidden.because == f"{pseudonym(KEY, 'host', 'bench-seven')} is replaced"
    assert (hidden.by, hidden.until) == ("A. Example", date(2027, 6, 30))
