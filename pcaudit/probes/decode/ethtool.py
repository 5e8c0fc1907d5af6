"""Link modes a network adapter supports: ``struct ethtool_link_settings``, linux/ethtool.h."""

from __future__ import annotations

from typing import Final

HEADER: Final = 48
"""Bytes before the masks."""
WORDS_AT: Final = 15
"""Where the number of 32-bit words of each mask stands, a signed byte."""

_MBIT: Final = 10**6
# enum ethtool_link_mode_bit_indices, include/uapi/linux/ethtool.h; Mbit/s of each bit.
_BITS: Final = {
    10: (0, 1, 92, 99, 100),
    100: (2, 3, 67, 90, 91),
    1000: (4, 5, 17, 41, 68),
    2500: (15, 47),
    5000: (48,),
    10_000: (12, 18, 19, 20, 42, 43, 44, 45, 46),
    20_000: (21, 22),
    25_000: (31, 32, 33),
    40_000: (23, 24, 25, 26),
    50_000: (34, 35, 40, 52, 53, 54, 55, 56),
    56_000: (27, 28, 29, 30),
    100_000: (36, 37, 38, 39, 57, 58, 59, 60, 61, 75, 76, 77, 78, 79),
    200_000: (62, 63, 64, 65, 66, 80, 81, 82, 83, 84),
    400_000: (69, 70, 71, 72, 73, 85, 86, 87, 88, 89),
}


def fastest(data: bytes) -> int | None:
    """The fastest supported speed in bit/s.

    Args:
        data: The answer to ETHTOOL_GLINKSETTINGS: the header and at least the mask of supported
            modes.

    Returns:
        Bits each second; None where no mode with a speed is supported, as with virtio adapters.
    """
    if len(data) <= HEADER or data[WORDS_AT] > 127:
        return None
    mask = int.from_bytes(data[HEADER : HEADER + 4 * data[WORDS_AT]], "little")
    speeds = [speed for speed, bits in _BITS.items() if any(mask >> bit & 1 for bit in bits)]
    return max(speeds) * _MBIT if speeds else None
