"""How long copies take through a link."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.plan.transfer import CAUTIOUS, Rates, goodput, rates, seconds, show_time
from pcaudit.core.worksheet.backup import REAL_KINDS, Destination

GIGABIT = Fraction(10**9)
GB = 10**9


# Octets of IEEE 802.3-2022 (preamble, start delimiter, header, check sequence, gap: 38), IEEE 802.1Q
# (tag: 4), RFC 791, RFC 8200 and RFC 793 (headers of 20, 40 and 20), RFC 7323 (timestamps: 12).
@pytest.mark.parametrize(
    ("mtu", "options", "octets", "share"),
    [
        (1500, {}, Fraction(1460, 1538), 94.93),
        (1500, {"timestamps": True}, Fraction(1448, 1538), 94.15),
        (1500, {"vlan": True}, Fraction(1460, 1542), 94.68),
        (1500, {"vlan": True, "timestamps": True}, Fraction(1448, 1542), 93.90),
        (1500, {"ipv6": True}, Fraction(1440, 1538), 93.63),
        (9000, {}, Fraction(8960, 9038), 99.14),
        (9000, {"vlan": True}, Fraction(8960, 9042), 99.09),
    ],
)
def test_goodput_is_what_frames_leave(
    mtu: int, options: dict[str, bool], octets: Fraction, share: float
) -> None:
    """The share that carries data is the payload by all octets a frame takes on the wire."""
    assert goodput(mtu, **options) == octets
    assert round(float(octets) * 100, 2) == share


# Computed by hand from 1460/1538 of the line rate: 100 GB at 1 Gbit/s are 8 x 10^11 / 949 284 785 s.
@pytest.mark.parametrize(
    ("size", "link", "factor", "digits", "expected"),
    [
        (GB, GIGABIT, 1, 1, 8.4),
        (100 * GB, GIGABIT, 1, 1, 842.7),
        (100 * 2**30, GIGABIT, 1, 1, 904.9),
        (500 * GB, GIGABIT, 60, 1, 70.2),
        (100 * GB, GIGABIT / 10, 3600, 2, 2.34),
        (500 * GB, GIGABIT / 10, 3600, 2, 11.70),
    ],
)
def test_times_at_gigabit_and_fast_ethernet(
    size: int, link: Fraction, factor: int, digits: int, expected: float
) -> None:
    """Sizes of the trade take the times that their bits by the goodput give."""
    assert round(float(seconds(size, link * goodput()) / factor), digits) == expected


def test_a_file_server_is_reached_by_frames_and_a_disk_is_not() -> None:
    """Through Ethernet the goodput counts, with its tag and its MTU; a disk has its interface's rate."""
    server = Destination("a", "a", "file server", link=GIGABIT)
    assert rates(server) == Rates(GIGABIT * goodput(), CAUTIOUS, measured=False, share=goodput())
    tagged = server._replace(kind="cloud", mtu=9000, vlan=True)
    assert rates(tagged) == Rates(
        GIGABIT * goodput(9000, vlan=True), CAUTIOUS, measured=False, share=goodput(9000, vlan=True)
    )
    disk = Destination("a", "a", "disk", link=GIGABIT / 10)
    assert rates(disk) == Rates(GIGABIT / 10, GIGABIT / 20, measured=False, share=Fraction(1))


def test_an_optical_drive_has_no_cautious_rate() -> None:
    """How fast a disc is written does not follow from the interface: only measuring tells."""
    found = rates(Destination("a", "a", "optical", link=GIGABIT))
    assert found is not None
    assert found.cautious is None


def test_a_measured_rate_takes_the_place_of_both() -> None:
    """What was measured is neither bound nor estimate, and needs no link."""
    measured = Fraction(300 * 10**6)
    found = rates(Destination("a", "a", "optical", link=GIGABIT, measured=measured))
    assert found == Rates(measured, measured, measured=True, share=Fraction(1))
    assert rates(Destination("a", "a", "disk", measured=measured)) == found


def test_without_link_and_measure_nothing_is_said() -> None:
    """No rate is assumed where the worksheet gives none."""
    assert rates(Destination("a", "a", "disk")) is None


SIZES = st.integers(0, 10**16)
LINKS = st.integers(1, 10**12).map(Fraction)


@given(size=SIZES, slower=LINKS, more=LINKS, kind=st.sampled_from(REAL_KINDS))
def test_a_faster_link_never_lengthens_a_job(size: int, slower: Fraction, more: Fraction, kind: str) -> None:
    """Neither the least nor the cautious time grows with the rate of the link."""
    slow = rates(Destination("a", "a", kind, link=slower))
    fast = rates(Destination("a", "a", kind, link=slower + more))
    assert slow is not None
    assert fast is not None
    assert seconds(size, fast.fastest) <= seconds(size, slow.fastest)
    if slow.cautious is not None:
        assert fast.cautious is not None
        assert seconds(size, fast.cautious) <= seconds(size, slow.cautious)


@given(size=SIZES, link=LINKS, kind=st.sampled_from(REAL_KINDS))
def test_the_cautious_time_is_never_below_the_least(size: int, link: Fraction, kind: str) -> None:
    """A cautious estimate cannot call in time what the lower bound calls late."""
    found = rates(Destination("a", "a", kind, link=link))
    assert found is not None
    if found.cautious is not None:
        assert seconds(size, found.cautious) >= seconds(size, found.fastest)


@pytest.mark.parametrize(
    ("amount", "up", "down"),
    [
        (Fraction(0), "0 s", "0 s"),
        (Fraction(841, 100), "8.5 s", "8.4 s"),
        (Fraction(5999, 100), "1 min", "59.9 s"),
        (Fraction(60), "1 min", "1 min"),
        (Fraction(8427, 10), "14.1 min", "14 min"),
        (Fraction(35999, 10), "1 h", "59.9 min"),
        (Fraction(86400 + 843), "24 h 15 min", "24 h 14 min"),
        (Fraction(7 * 86400 + 7200), "7 d 2 h", "7 d 2 h"),
        (Fraction(2 * 86400 - 1), "2 d", "47 h 59 min"),
    ],
)
def test_times_are_shown_to_the_safe_side(amount: Fraction, up: str, down: str) -> None:
    """What is needed never reads shorter than it is, a lower bound never longer."""
    assert show_time(amount) == up
    assert show_time(amount, down=True) == down
