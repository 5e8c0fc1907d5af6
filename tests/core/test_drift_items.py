"""Comparing lists item by item."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.drift_items import compare_items, identity

ADAPTERS = CATALOGUE["network.adapters"]
ETH0 = {"name": "eth0", "medium": "wired", "mac": "00:00:5e:00:53:01"}  # RFC 7042, documentation range
ETH1 = {"name": "eth1", "medium": "wired", "mac": "00:00:5e:00:53:02"}
PORT = {**ETH1, "link_up": True, "addresses": ["198.51.100.2"], "addressing": "static", "gateway": None}
OTHER = "00:00:5e:00:53:03"


def _said(name: str, then: list[Any], now: list[Any]) -> list[tuple[str, ...]]:
    """Each difference as the name of what is gone or new, or the name and key of what changed."""
    out = []
    for one in compare_items(then, now, CATALOGUE[name]):
        item = one.now or one.then or {}
        what = one.key or ("gone" if one.now is None else "new")
        marks = ("unknown",) * one.unknown + ("restless",) * one.restless
        out.append((str(item.get("name", item.get("mount", item.get("model")))), what, *marks))
    return out


CASES: list[tuple[str, list[Any], list[Any], list[tuple[str, ...]]]] = [
    ("network.adapters", [ETH0, ETH1], [ETH1, ETH0], []),
    ("network.adapters", [ETH0, ETH1], [ETH0], [("eth1", "gone")]),
    ("network.adapters", [ETH0], [ETH0, ETH1], [("eth1", "new")]),
    ("network.adapters", [ETH0], [{**ETH0, "name": "enp3s0"}], [("enp3s0", "name")]),
    ("network.adapters", [ETH0], [{**ETH0, "mac": OTHER}], [("eth0", "mac")]),
    ("network.adapters", [ETH0], [{**ETH0, "mac": None}], [("eth0", "mac", "unknown")]),
    (
        "network.adapters",
        [{**ETH0, "link_up": True}],
        [{**ETH0, "link_up": False}],
        [("eth0", "link_up", "restless")],
    ),
    ("network.adapters", [ETH0], [{**ETH0, "mac": "00:00:5E:00:53:01"}], []),
    # Probes write null for an adapter that has no gateway; with the link a gateway goes by itself.
    (
        "network.adapters",
        [{**PORT, "link_up": False}],
        [{**PORT, "link_up": False, "gateway": "192.0.2.1"}],
        [("eth1", "gateway")],
    ),
    ("network.adapters", [PORT], [{**PORT, "gateway": "192.0.2.1"}], [("eth1", "gateway")]),
    ("network.adapters", [{**PORT, "gateway": "192.0.2.1"}], [PORT], [("eth1", "gateway")]),
    (
        "network.adapters",
        [{**PORT, "addresses": None}],
        [{**PORT, "addresses": None, "gateway": "192.0.2.1"}],
        [("eth1", "gateway", "unknown")],
    ),
    (
        "network.adapters",
        [{**PORT, "gateway": "192.0.2.1"}],
        [{**PORT, "link_up": False}],
        [("eth1", "link_up", "restless"), ("eth1", "gateway", "unknown")],
    ),
    ("network.adapters", [ETH1], [{**ETH1, "gateway": "192.0.2.1"}], [("eth1", "gateway", "unknown")]),
    # A bond and its members share one address: each is found again by its name.
    (
        "network.adapters",
        [{**ETH0, "mtu": 1500}, {**ETH0, "name": "bond0", "mtu": 1500}],
        [{**ETH0, "name": "bond0", "mtu": 9000}, {**ETH0, "mtu": 1500}],
        [("bond0", "mtu")],
    ),
    (
        "software.packages",
        [{"name": "a", "version": "1"}],
        [{"name": "A", "version": "2"}],
        [("A", "version")],
    ),
    (
        "software.packages",
        [{"name": "kernel", "version": v} for v in ("1", "2")],
        [{"name": "kernel", "version": v} for v in ("2", "3")],
        [("kernel", "version")],
    ),
    (
        "software.services",
        [{"name": "a", "state": "x"}],
        [{"name": "A", "state": "x"}],
        [("a", "gone"), ("A", "new")],
    ),
    ("storage.volumes", [{"mount": "/d"}], [{"mount": "/D"}], [("/d", "gone"), ("/D", "new")]),
    (
        "storage.volumes",
        [{"mount": "/", "free": 1}],
        [{"mount": "/", "free": 2}],
        [("/", "free", "restless")],
    ),
    ("storage.volumes", [{"mount": "/", "size": 1}], [{"mount": "/", "size": 2}], [("/", "size")]),
    ("storage.drives", [{"model": "A", "size": 1}] * 2, [{"model": "A", "size": 1}], [("A", "gone")]),
    (
        "storage.drives",
        [{"model": "A", "size": 1}],
        [{"model": "A", "size": 2}],
        [("A", "gone"), ("A", "new")],
    ),
    (
        "storage.drives",
        [{"model": None, "size": 1}],
        [{"model": "A", "size": 1}],
        [("A", "model", "unknown")],
    ),
    ("display.screens", [{"name": "S", "width": 800}] * 2, [{"name": "S", "width": 800}], [("S", "gone")]),
    (
        "memory.modules",
        [{"size": 8, "speed": 2}],
        [{"size": 8, "speed": 2, "type": "DDR4"}],
        [("None", "type", "unknown")],
    ),
    ("memory.modules", [{"size": 8, "speed": 2, "type": "x"}], [], [("None", "gone")]),
    ("software.antivirus", [], [], []),
    (
        "network.adapters",
        [ETH0],
        [{**ETH0, "name": "redacted-name-0123456789ab", "mac": "redacted-mac-0123456789ab"}],
        [("eth0", "gone", "unknown"), ("redacted-name-0123456789ab", "new", "unknown")],
    ),
]


@pytest.mark.parametrize(("name", "then", "now", "said"), CASES, ids=range(len(CASES)))
def test_items_are_told_apart(name: str, then: Any, now: Any, said: list[tuple[str, ...]]) -> None:
    """Items are found again by what identifies them, and only what differs is said."""
    assert sorted(_said(name, then, now)) == sorted(said)


@pytest.mark.parametrize(
    ("first", "second", "restless"),
    [
        ("dynamic", "dynamic", True),
        ("static", "static", False),
        ("static", "dynamic", False),
        (None, None, False),
    ],
)
def test_a_leased_address_changes_by_itself(first: Any, second: Any, restless: bool) -> None:
    """An address by DHCP may change any day, one that somebody set may not."""
    then = {**ETH0, "addressing": first, "addresses": ["192.0.2.7"]}  # RFC 5737
    now = {**ETH0, "addressing": second, "addresses": ["192.0.2.8"]}
    (change,) = [one for one in compare_items([then], [now], ADAPTERS) if one.key == "addresses"]
    assert change.restless is restless


ITEMS = st.lists(
    st.fixed_dictionaries(
        {
            "name": st.sampled_from(["a", "b", "c", None]),
            "mac": st.sampled_from(["1", "2", None]),
            "mtu": st.sampled_from([1500, 9000, None]),
        }
    ),
    max_size=5,
)


@given(ITEMS)
def test_the_same_list_does_not_differ(items: list[Any]) -> None:
    """A list held against itself, in any order, has no difference."""
    assert compare_items(items, items[::-1], ADAPTERS) == []


@given(ITEMS, ITEMS)
def test_every_item_is_accounted_for(then: list[Any], now: list[Any]) -> None:
    """What is not gone is still there, and what is not new was there: as many on both sides."""
    whole = [one for one in compare_items(then, now, ADAPTERS) if not one.key]
    gone, new = sum(one.now is None for one in whole), sum(one.then is None for one in whole)
    assert len(then) - gone == len(now) - new >= 0


def test_every_list_has_an_identity() -> None:
    """What tells items apart are keys they have, for every list of the catalogue."""
    for record in CATALOGUE.values():
        assert not record.items or set(identity(record)) <= set(record.items)
