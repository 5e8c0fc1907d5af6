"""Topology and clocks of the processors as Windows gives them to a 64-bit program."""

from __future__ import annotations

import struct
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import NamedTuple

# winnt.h: LOGICAL_PROCESSOR_RELATIONSHIP
_CORE, _PACKAGE, _GROUP = 0, 3, 4
_HEADER = 8  # Relationship, Size
# Offsets in SYSTEM_LOGICAL_PROCESSOR_INFORMATION_EX on 64-bit Windows, winnt.h: the union starts
# behind the header. PROCESSOR_RELATIONSHIP has Flags, EfficiencyClass, 20 reserved bytes, WORD
# GroupCount, then GROUP_AFFINITY of 16 bytes each, whose first eight are the mask.
# GROUP_RELATIONSHIP has two WORD and 20 reserved bytes before PROCESSOR_GROUP_INFO of 48 bytes.
_EFFICIENCY, _GROUP_COUNT, _MASKS, _MASK_SIZE = 9, 30, 32, 16
_ACTIVE_GROUPS, _GROUPS, _GROUP_SIZE, _ACTIVE_COUNT = 10, 32, 48, 1
_POWER_SIZE = 24  # PROCESSOR_POWER_INFORMATION: six ULONG, the second of them MaxMhz


class Topology(NamedTuple):
    """The processors of all groups.

    Attributes:
        packages: Processor packages.
        cores: Physical cores.
        threads: Logical processors that run.
        kinds: Cores of each efficiency class; the higher, the faster.
    """

    packages: int
    cores: int
    threads: int
    kinds: Mapping[int, int]


def _records(data: bytes) -> Iterator[tuple[int, bytes]]:
    offset = 0
    while offset < len(data):
        relation, size = struct.unpack_from("<II", data.ljust(offset + _HEADER, b"\0"), offset)
        if size < _HEADER or offset + size > len(data):
            raise ValueError(f"GetLogicalProcessorInformationEx is broken at byte {offset}")
        yield relation, data[offset : offset + size]
        offset += size


def _whole(record: bytes, first: int, size: int, count: int) -> None:
    if len(record) < first + size * count:
        raise ValueError(f"GetLogicalProcessorInformationEx is cut short: {count} groups in {len(record)}")


def _threads_of_core(record: bytes) -> int:
    _whole(record, _MASKS, 0, 0)
    (count,) = struct.unpack_from("<H", record, _GROUP_COUNT)
    _whole(record, _MASKS, _MASK_SIZE, count)
    masks = (struct.unpack_from("<Q", record, _MASKS + _MASK_SIZE * index)[0] for index in range(count))
    return sum(int(mask).bit_count() for mask in masks)


def _threads_of_groups(record: bytes) -> int:
    _whole(record, _GROUPS, 0, 0)
    (count,) = struct.unpack_from("<H", record, _ACTIVE_GROUPS)
    _whole(record, _GROUPS, _GROUP_SIZE, count)
    return sum(record[_GROUPS + _GROUP_SIZE * index + _ACTIVE_COUNT] for index in range(count))


def topology(data: bytes) -> Topology:
    """Read what GetLogicalProcessorInformationEx gives for RelationAll.

    Args:
        data: SYSTEM_LOGICAL_PROCESSOR_INFORMATION_EX records, one behind the other.

    Returns:
        The processors of all groups together.

    Raises:
        ValueError: The records are broken, or contradict each other.
    """
    packages = threads = grouped = 0
    kinds: Counter[int] = Counter()
    for relation, record in _records(data):
        if relation == _PACKAGE:
            packages += 1
        elif relation == _CORE:
            threads += _threads_of_core(record)
            kinds[record[_EFFICIENCY]] += 1
        elif relation == _GROUP:
            grouped += _threads_of_groups(record)
    cores = kinds.total()
    if threads != grouped or not 1 <= packages <= cores <= threads:
        raise ValueError(
            f"Windows contradicts itself: {packages} sockets, {cores} cores, {threads} threads on them and "
            f"{grouped} in its groups"
        )
    return Topology(packages, cores, threads, dict(kinds))


def clocks(data: bytes) -> list[int]:
    """Nominal clocks in MHz, one for each processor that gives one (PROCESSOR_POWER_INFORMATION).

    Args:
        data: The structures, one behind the other; those behind the last processor are empty.

    Returns:
        ``MaxMhz`` of each, which is the highest clock without boost.
    """
    count = len(data) // _POWER_SIZE
    found = (struct.unpack_from("<I", data, _POWER_SIZE * index + 4)[0] for index in range(count))
    return [int(clock) for clock in found if clock]
