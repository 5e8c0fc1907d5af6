"""Tests of the processor on Windows: model, topology, clocks and features."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.derive import level
from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.windows import cpu
from tests.windows.pc import (
    NO_ANSWER,
    PROCESSOR,
    cache,
    core,
    groups,
    pc,
    power_info,
    readings,
    version_info,
)
from tests.windows.recorded import DENIED

TOPOLOGY = ("sockets", "cores", "threads")
EVERY_PF = set(range(1, 80))
V2 = {2, 3, 6, 10, 13, 14, 36, 37, 38}


def processor(registry: dict[str, Any] | None = None, **answers: Any) -> dict[str, Observation]:
    """Group cpu of a PC with these keys that answers so, names without the group."""
    found = readings(cpu, pc(registry, **answers))
    return {name.partition(".")[2]: each for name, each in found.items()}


def named(model: str, **answers: Any) -> dict[str, Observation]:
    """Group cpu of a PC with this processor."""
    return processor({PROCESSOR: {"ProcessorNameString": model, "~MHz": 2688}}, **answers)


def topology(*records: bytes, **answers: Any) -> tuple[object, ...]:
    """Sockets, cores and threads by these records."""
    found = processor(processors=b"".join(records), **answers)
    return tuple(found[name].value for name in TOPOLOGY)


def test_a_pc_is_read() -> None:
    """Model and maker come from the registry, the rest from Windows."""
    found = processor()
    assert found["model"].value == "Intel(R) Core(TM) i5-7500 CPU @ 3.40GHz"
    assert found["vendor"].value == "intel"
    assert tuple(found[name].value for name in TOPOLOGY) == (1, 2, 4)


@pytest.mark.parametrize(
    ("raw", "word"),
    [("AuthenticAMD", "amd"), ("Qualcomm Technologies Inc", "qualcomm"), ("SomeoneElse", "someoneelse")],
)
def test_the_maker_is_named_by_its_word(raw: str, word: str) -> None:
    """A maker we have no word for keeps its own."""
    assert processor({PROCESSOR: {"VendorIdentifier": raw}})["vendor"].value == word


def test_a_name_is_kept_without_the_spaces_that_fill_it_up() -> None:
    """Makers fill the model string up with spaces."""
    assert named("AMD Ryzen 5 5600X 6-Core Processor             ")["model"].value == (
        "AMD Ryzen 5 5600X 6-Core Processor"
    )


def test_a_missing_name_matches_nothing() -> None:
    """Trap U8: a processor without a name or maker has none, not an empty one."""
    for values in ({}, {"ProcessorNameString": "   ", "VendorIdentifier": ""}):
        found = processor({PROCESSOR: values})
        assert found["model"].form is Form.UNKNOWN
        assert found["vendor"].form is Form.UNKNOWN
    assert "administrator" in processor({PROCESSOR: DENIED})["model"].why


# -- topology


def test_all_groups_are_counted() -> None:
    """Trap U2: beyond 64 processors Windows makes groups, and all of them count."""
    cores = [core(0b11 << 2 * n, group) for group in (0, 1) for n in range(32)]
    packages = [core((1 << 64) - 1, group, package=True) for group in (0, 1)]
    whole = (*cores, *packages, cache(), groups(64, 64))
    assert topology(*whole, active_processors=128) == (2, 64, 128)


def test_two_kinds_of_cores_are_told_apart() -> None:
    """Trap U10: performance and efficiency cores are added up, and named in the source."""
    fast = [core(0b11 << 2 * n, efficiency=1) for n in range(6)]
    slow = [core(1 << 12 + n, efficiency=0) for n in range(8)]
    data = b"".join([*fast, *slow, core(0xF_FFFF, package=True), groups(20)])
    found = processor(processors=data, active_processors=20)["cores"]
    assert found.value == 14
    assert "6 of efficiency class 1, 8 of efficiency class 0" in found.source


@pytest.mark.parametrize(
    "data",
    [
        b"",
        core(0b11) + groups(2),  # no package
        core(0b11) + core(0b11, package=True) + groups(4),  # groups know more processors than cores do
        core(0b11, package=True) + groups(2),  # no core
        core(0b11)[:20],
        b"\0" * 7,
        (b"\0" * 8).ljust(40, b"\0"),  # a core of no length
        b"\2\0\0\0\0\0\0\0".ljust(40, b"\0"),  # a cache of no length, which would be read for ever
        core(0b11) + core(0b11, package=True) + groups(2)[:40],
        core(0b11)[:30] + b"\x09" + core(0b11)[31:],  # nine masks in a record for one
        NO_ANSWER,
        DENIED,
    ],
)
def test_a_topology_that_cannot_be_is_unknown(data: Any) -> None:
    """Trap U1: neither one count nor another is taken where they contradict each other."""
    found = processor(processors=data)
    for name in TOPOLOGY:
        assert found[name].form is Form.UNKNOWN
        assert found[name].why
    assert found["model"].form is Form.KNOWN


def test_a_count_that_differs_makes_all_of_it_unknown() -> None:
    """Windows's own count of all groups must agree with what the records say."""
    whole = core(0b11) + core(0b11, package=True) + groups(2)
    assert topology(whole, active_processors=2) == (1, 1, 2)
    assert topology(whole, active_processors=4) == (None, None, None)
    assert topology(whole, active_processors=0) == (1, 1, 2)


def test_a_32_bit_program_is_not_believed() -> None:
    """The structures are those of 64-bit Windows, and WOW64 shows 32 processors at most."""
    found = processor(interpreter="MSC v.1942 32 bit (Intel)", machines=(0x14C, 0x8664))
    assert "64-bit Python" in found["cores"].why


# -- clocks


def test_the_model_string_gives_the_base_clock() -> None:
    """What the maker writes goes before what Windows counts, which may be a raised limit."""
    found = named("Intel(R) Core(TM) i5-8250U CPU @ 1.60GHz", processor_power=power_info(1800))
    assert found["base_clock"].value == 1_600_000_000
    assert named("Old Chip @ 800 MHz")["base_clock"].value == 800_000_000


def test_without_it_windows_nominal_clock_counts_and_not_the_measured_one() -> None:
    """Traps U5, U6: MaxMhz is nominal; the registry's ~MHz, which is measured, is left alone."""
    found = named("12th Gen Intel(R) Core(TM) i7-12700H", processor_power=power_info(2300, 2300, 1700))
    assert found["base_clock"].value == 2_300_000_000
    assert "the slowest has 1700 MHz" in found["base_clock"].source
    assert "nominal" in found["base_clock"].source


def test_the_highest_clock_is_only_bounded() -> None:
    """Trap U4: what Windows calls the maximum leaves the boost out, so it is a lower bound."""
    found = named("AMD Ryzen 5 5600X 6-Core Processor", processor_power=power_info(3701))["max_clock"]
    assert (found.form, found.value) == (Form.AT_LEAST, 3_701_000_000)


@pytest.mark.parametrize("answer", [power_info(0, 0), power_info(47), power_info(64000), NO_ANSWER, b""])
def test_a_clock_that_is_none_is_unknown(answer: Any) -> None:
    """Trap U4: zero, and what lies outside 100 MHz to 10 GHz, is no clock; nor is ~MHz then one."""
    found = named("AMD EPYC", processor_power=answer)
    assert found["base_clock"].form is Form.UNKNOWN
    assert found["max_clock"].form is Form.UNKNOWN
    assert "data sheet" in found["base_clock"].why


@pytest.mark.parametrize("mhz", [100, 10_000])
def test_the_slowest_and_the_fastest_clock_that_can_be_are_clocks(mhz: int) -> None:
    """The range of the catalogue, 100 MHz to 10 GHz, is inclusive."""
    assert named("Some Chip", processor_power=power_info(mhz))["base_clock"].value == mhz * 10**6
    for other in (99, 10_001):
        assert named("Some Chip", processor_power=power_info(other))["base_clock"].form is Form.UNKNOWN


# -- features


def features(**answers: Any) -> Observation:
    """Reading cpu.features of a PC that answers so."""
    return processor(**answers)["features"]


def test_the_list_of_features_is_never_complete() -> None:
    """Trap U9: Windows tells of some only, so that a feature it does not name may still be there."""
    for known_to_windows in (EVERY_PF, V2, set[int]()):
        found = features(processor_feature=known_to_windows)
        assert found.form is Form.KNOWN
        assert not found.complete
        assert "data sheet" in found.why


def test_features_have_the_words_profiles_use() -> None:
    """Numbers of winnt.h become our words, and 64-bit Windows itself proves the first level."""
    found = features(processor_feature=V2 | {39, 40})
    assert {"sse4.2", "ssse3", "cmpxchg16b", "avx", "avx2", "cmov", "lahf-sahf", "popcnt"} <= set(found.value)
    assert not {"bmi2", "avx512f", "rdrand", "fma", "amx"} & set(found.value)
    assert "amx" in features(xstate=1 << 18 | 0b111).value
    assert features(xstate=NO_ANSWER, processor_feature=NO_ANSWER).form is Form.KNOWN


def derived(**answers: Any) -> Observation:
    """The level that follows from what a PC answers."""
    found = features(**answers)
    machine = Observation(Form.KNOWN, "x86_64")
    return level(lambda name: found if name == "cpu.features" else machine)


def test_a_level_is_never_called_lower_than_it_may_be() -> None:
    """What Windows does not tell of must not make a level that is known and too low."""
    for known_to_windows in (EVERY_PF, V2, set[int]()):
        assert derived(processor_feature=known_to_windows).form is not Form.KNOWN


@pytest.mark.parametrize(("build", "there"), [(26100, True), (22631, False), (19045, False)])
def test_what_windows_could_not_run_without_is_there(build: int, there: bool) -> None:
    """Windows since 24H2 (build 26100) does not start without POPCNT; before it did."""
    assert ("popcnt" in features(version=version_info(build=build)).value) is there
    assert "lahf-sahf" in features(version=version_info(build=build)).value


@pytest.mark.parametrize(("numbers", "there"), [((6, 2, 9200), False), ((6, 3, 9600), True)])
def test_lahf_is_there_since_windows_8_1(numbers: tuple[int, int, int], there: bool) -> None:
    """Microsoft, system requirements of 64-bit Windows 8.1: LAHF/SAHF among them."""
    assert ("lahf-sahf" in features(version=version_info(*numbers)).value) is there


@pytest.mark.parametrize(
    ("number", "feature"),
    # winnt.h of the Windows SDK, PF_*.
    [
        (12, "nx"),
        (13, "sse3"),
        (14, "cmpxchg16b"),
        (17, "osxsave"),
        (28, "rdrand"),
        (32, "rdtscp"),
        (36, "ssse3"),
        (37, "sse4.1"),
        (38, "sse4.2"),
        (39, "avx"),
        (40, "avx2"),
        (41, "avx512f"),
        (60, "bmi2"),
    ],
)
def test_a_number_is_that_of_its_feature(number: int, feature: str) -> None:
    """Each feature is asked for by its own number, and no other gives it."""
    assert feature in features(processor_feature={number}).value
    assert feature not in features(processor_feature=EVERY_PF - {number}).value


def test_without_its_version_windows_proves_the_first_level_only() -> None:
    """A Windows that does not say which it is proves nothing newer than itself."""
    for version in (NO_ANSWER, version_info(6, 1, 7601)):
        found = features(version=version, processor_feature=set[int]())
        assert not {"popcnt", "lahf-sahf"} & set(found.value)
        assert "sse2" in found.value


def test_an_emulated_program_knows_nothing_of_the_processor() -> None:
    """Trap O6: emulated on Arm a program is shown features the emulation has, not the processor."""
    found = features(machines=(0, 0xAA64))
    assert found.form is Form.UNKNOWN
    assert "run a Python built for arm64" in found.why


def test_an_arm_processor_has_its_own_features() -> None:
    """A Python built for Arm reads Arm's numbers, and none of x86's."""
    arm = {"machines": (0, 0xAA64), "interpreter": "MSC v.1942 64 bit (ARM64)"}
    found = features(processor_feature={19, 29, 30, 31}, **arm)
    assert found.value == ["aes", "crc32", "neon", "pmull", "sha1", "sha2"]
    assert not found.complete
    assert features(processor_feature=set[int](), **arm).form is Form.UNKNOWN
    # winnt.h: PF_ARM_V81_ATOMIC, PF_ARM_SVE, PF_ARM_SVE2.
    for number, feature in ((34, "atomics"), (46, "sve"), (47, "sve2")):
        assert features(processor_feature={number}, **arm).value == [feature]


@pytest.mark.parametrize(
    "answers",
    [
        {"machines": (0x14C, 0x14C), "interpreter": "MSC v.1942 32 bit (Intel)"},
        {"machines": NO_ANSWER, "native_architecture": NO_ANSWER},
        {"interpreter": "something new"},
    ],
)
def test_on_an_unknown_machine_features_are_unknown(answers: dict[str, Any]) -> None:
    """Neither 32-bit Windows nor a machine that cannot be told proves a level."""
    assert features(**answers).form is Form.UNKNOWN
