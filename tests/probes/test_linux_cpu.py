"""Tests of the processor: model, topology, clocks, features."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Mapping

import pytest

from pcaudit.core.catalogue import FEATURES, LEVEL_FEATURES
from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.linux import cpu
from pcaudit.probes.linux.host import live
from tests.probes.hosts import Entry, Link, host
from tests.probes.smbios_tables import END, structure

CPUS = "/sys/devices/system/cpu"


def block(number: int, flags: str = "fpu lm", model: str = "Example Core 5 @ 2.40GHz") -> str:
    """What /proc/cpuinfo says of one processor."""
    return f"processor\t: {number}\nvendor_id\t: GenuineIntel\nmodel name\t: {model}\nflags\t\t: {flags}\n\n"


def topology(sockets: int, cores: int, threads: int) -> dict[str, Entry]:
    """Files of a machine with so many sockets, cores in each and threads in each core."""
    total = sockets * cores * threads
    files: dict[str, Entry] = {f"{CPUS}/online": f"0-{total - 1}"}
    for number in range(total):
        # As Linux numbers them on a PC: first one thread of every core, then the others.
        core = number % (sockets * cores)
        socket = core // cores
        siblings = [core + thread * sockets * cores for thread in range(threads)]
        package = [each for each in range(total) if each % (sockets * cores) // cores == socket]
        folder = f"{CPUS}/cpu{number}/topology"
        files[f"{folder}/physical_package_id"] = str(socket)
        files[f"{folder}/core_cpus_list"] = ",".join(map(str, siblings))
        files[f"{folder}/package_cpus_list"] = ",".join(map(str, package))
    files["/proc/cpuinfo"] = "".join(block(number) for number in range(total))
    return files


def reading(name: str, files: Mapping[str, Entry], machine: str = "x86_64") -> Observation:
    """One reading of group cpu on a host with these files."""
    (probe,) = cpu.probes(host(files, machine=machine))
    return probe.take()[f"cpu.{name}"]


@pytest.mark.parametrize("shape", [(1, 1, 1), (1, 4, 1), (1, 4, 2), (2, 8, 2), (4, 16, 2)])
def test_sockets_cores_and_threads_are_told_apart(shape: tuple[int, int, int]) -> None:
    """The three counts follow the kernel's topology, whatever their numbering."""
    sockets, cores, threads = shape
    files = topology(sockets, cores, threads)
    found = [reading(name, files).value for name in ("sockets", "cores", "threads")]
    assert found == [sockets, sockets * cores, sockets * cores * threads]


def test_the_lists_of_older_kernels_are_read_too() -> None:
    """Before Linux 5.3 the lists were thread_siblings_list and core_siblings_list."""
    files = {
        path.replace("core_cpus_list", "thread_siblings_list").replace(
            "package_cpus_list", "core_siblings_list"
        ): entry
        for path, entry in topology(2, 2, 2).items()
    }
    assert [reading(name, files).value for name in ("sockets", "cores")] == [2, 4]


def test_processors_that_are_off_are_not_counted() -> None:
    """Threads are those the system runs on, so an offline one counts neither as thread nor core."""
    files = {**topology(1, 4, 1), f"{CPUS}/online": "0-1,3"}
    assert [reading(name, files).value for name in ("cores", "threads")] == [3, 3]


def test_without_topology_only_threads_are_known() -> None:
    """Logical processors never stand in for cores."""
    files = {f"{CPUS}/online": "0-7", "/proc/cpuinfo": "".join(block(number) for number in range(8))}
    assert reading("threads", files).value == 8
    assert [reading(name, files).form for name in ("sockets", "cores")] == [Form.UNKNOWN] * 2


def test_a_package_number_of_minus_one_is_no_socket() -> None:
    """Where the firmware does not tell packages apart, sockets are unknown and cores still known."""
    files = {**topology(1, 4, 1), f"{CPUS}/cpu0/topology/physical_package_id": "-1"}
    assert reading("sockets", files).form is Form.UNKNOWN
    assert reading("cores", files).value == 4


def test_contradicting_topology_is_unknown() -> None:
    """More sockets than cores cannot be."""
    files = topology(1, 2, 2)
    for number in range(4):
        files[f"{CPUS}/cpu{number}/topology/package_cpus_list"] = str(number)
    assert [reading(name, files).form for name in ("sockets", "cores")] == [Form.UNKNOWN] * 2


def test_without_proc_and_sys_everything_is_unknown() -> None:
    """A host that shows nothing has no reading of the processor."""
    (probe,) = cpu.probes(host({}))
    readings = probe.take()
    assert set(readings) == set(probe.reads)
    assert all(found.form is Form.UNKNOWN and found.why for found in readings.values())


def test_limits_of_this_process_are_noted_and_do_not_change_the_count() -> None:
    """Affinity and quota stand in the source; threads stay what the kernel runs on."""
    files: dict[str, Entry] = {
        **topology(1, 4, 2),
        "/proc/self/status": "Name:\tpython\nCpus_allowed_list:\t0-1",
        "/sys/fs/cgroup/cpu.max": "150000 100000",
    }
    found = reading("threads", files)
    assert found.value == 8
    assert "may run on 2" in found.source
    assert "the time of 1.5" in found.source


def test_mixed_cores_are_told_in_the_source() -> None:
    """Where there are performance and efficiency cores, the source says how many threads are on each."""
    mixed: dict[str, Entry] = {"/sys/devices/cpu_core/cpus": "0-1", "/sys/devices/cpu_atom/cpus": "2-3"}
    found = reading("cores", {**topology(1, 4, 1), **mixed})
    assert "2 threads on performance cores, 2 threads on efficiency cores" in found.source


# Linux, arch/x86/include/asm/cpufeatures.h.
@pytest.mark.parametrize(
    ("kernel", "names"),
    [
        ("pni", {"sse3"}),
        ("abm", {"lzcnt"}),
        ("cx16", {"cmpxchg16b"}),
        ("lahf_lm", {"lahf-sahf"}),
        ("sse4_1", {"sse4.1"}),
        ("syscall", {"sce"}),
        ("fxsr", {"fxsr", "osfxsr"}),
        ("xsave", {"xsave", "osxsave"}),
        ("sha_ni", {"sha"}),
        ("asimd", {"neon"}),
        ("ssse3", {"ssse3"}),
        ("constant_tsc", {"constant_tsc"}),
    ],
)
def test_features_have_the_names_profiles_use(kernel: str, names: set[str]) -> None:
    """The kernel's flag names become the psABI's where they differ."""
    assert set(cpu.features(frozenset({kernel}))) == names


def test_invariant_tsc_needs_both_kernel_flags() -> None:
    """A time stamp counter is invariant only if it is constant and does not stop."""
    assert "invariant-tsc" in cpu.features(frozenset({"constant_tsc", "nonstop_tsc"}))
    assert "invariant-tsc" not in cpu.features(frozenset({"nonstop_tsc", "tsc"}))


def test_every_feature_of_the_levels_can_be_reached() -> None:
    """A processor with all of the kernel's flags has all features of all levels by our names."""
    # x86-64 psABI levels, by the kernel's spelling.
    kernel = (
        "cmov cx8 fpu fxsr mmx syscall sse sse2 cx16 lahf_lm popcnt pni sse4_1 sse4_2 ssse3 avx avx2 bmi1"
        " bmi2 f16c fma abm movbe xsave avx512f avx512bw avx512cd avx512dq avx512vl"
    )
    found = set(cpu.features(frozenset(kernel.split())))
    assert {feature for level in LEVEL_FEATURES.values() for feature in level} <= found
    assert found - {"xsave"} <= set(FEATURES)


def test_a_feature_one_processor_lacks_is_no_feature() -> None:
    """Software may run on any processor, so only what all of them have counts."""
    files: dict[str, Entry] = {"/proc/cpuinfo": block(0, "fpu avx2 lm") + block(1, "fpu lm")}
    assert reading("features", files).value == ["fpu", "lm"]


@pytest.mark.parametrize(
    ("files", "hertz"),
    [
        ({f"{CPUS}/cpu0/cpufreq/base_frequency": "2100000", "/proc/cpuinfo": block(0)}, 2_100_000_000),
        ({f"{CPUS}/cpu0/acpi_cppc/nominal_freq": "3700", "/proc/cpuinfo": block(0)}, 3_700_000_000),
        ({"/proc/cpuinfo": block(0)}, 2_400_000_000),
        ({"/proc/cpuinfo": block(0, model="Example @ 800MHz")}, 800_000_000),
        ({"/proc/cpuinfo": block(0, model="Example 7")}, None),
        ({"/proc/cpuinfo": block(0, model="Example @ 0.00GHz")}, None),
        ({f"{CPUS}/cpu0/cpufreq/base_frequency": "0", "/proc/cpuinfo": block(0, model="Example")}, None),
    ],
)
def test_the_base_clock_is_stated_never_measured(files: dict[str, Entry], hertz: int | None) -> None:
    """The clock comes from the firmware or the model string, and a 0 is no clock."""
    assert reading("base_clock", files).value == hertz


def test_a_current_clock_is_never_taken_as_base_or_maximum() -> None:
    """The momentary clock in /proc/cpuinfo stands for neither."""
    files: dict[str, Entry] = {"/proc/cpuinfo": block(0, model="Example") + "cpu MHz\t\t: 4400.000\n"}
    assert [reading(name, files).form for name in ("base_clock", "max_clock")] == [Form.UNKNOWN] * 2


def test_the_highest_clock_of_all_policies_counts() -> None:
    """Cores differ; the maximum clock is that of the fastest."""
    policies: dict[str, Entry] = {
        f"{CPUS}/cpufreq/policy0/cpuinfo_max_freq": "4400000",
        f"{CPUS}/cpufreq/policy4/cpuinfo_max_freq": "3300000",
    }
    found = reading("max_clock", policies)
    assert (found.form, found.value) == (Form.KNOWN, 4_400_000_000)


def test_a_driver_that_may_leave_out_boost_gives_a_lower_bound() -> None:
    """Under acpi-cpufreq the true maximum may be higher, so it cannot disprove a requirement."""
    files: dict[str, Entry] = {
        f"{CPUS}/cpufreq/policy0/cpuinfo_max_freq": "3600000",
        f"{CPUS}/cpufreq/policy0/scaling_driver": "acpi-cpufreq",
    }
    assert reading("max_clock", files).form is Form.AT_LEAST


ARM: dict[str, Entry] = {
    "/proc/self/ns/pid": Link("pid:[4026531836]"),
    "/proc/cpuinfo": "processor\t: 0\nFeatures\t: fp asimd aes\nCPU implementer\t: 0x41\nCPU part\t: 0xd0c\n",
}


def test_an_arm_processor_has_a_maker_and_features_but_no_model() -> None:
    """ARM kernels do not name the model; its absence is unknown, not an empty text."""
    assert reading("vendor", ARM, "aarch64").value == "arm"
    assert reading("model", ARM, "aarch64").form is Form.UNKNOWN
    assert reading("features", ARM, "aarch64").value == ["aes", "fp", "neon"]


def test_an_arm_model_comes_from_smbios_where_root_may_read_it() -> None:
    """DMTF DSP0134 type 4 names the processor at offset 10h."""
    processor = structure(4, 4, bytes([0] * 12 + [1] + [0] * 8), "Example A-4")
    files = {**ARM, "/sys/firmware/dmi/tables/DMI": processor + END}
    assert reading("model", files, "aarch64").value == "Example A-4"


@pytest.mark.parametrize(
    ("word", "vendor"), [("GenuineIntel", "intel"), ("AuthenticAMD", "amd"), ("Foo", "foo")]
)
def test_vendor_words_are_short(word: str, vendor: str) -> None:
    """CPUID's vendor text becomes the maker's short name, an unlisted one its own lower case."""
    files: dict[str, Entry] = {"/proc/cpuinfo": f"processor\t: 0\nvendor_id\t: {word}\n"}
    assert reading("vendor", files).value == vendor


def this_machine() -> Mapping[str, Observation]:
    """Group cpu of the machine the tests run on."""
    (probe,) = cpu.probes(live())
    return probe.take()


@pytest.mark.skipif(not shutil.which("lscpu"), reason="lscpu is not installed")
def test_on_this_machine_the_counts_are_what_lscpu_shows() -> None:
    """Sockets, cores, threads, model and maker equal lscpu's."""
    told = subprocess.run(
        ["lscpu", "-J"],
        capture_output=True,
        text=True,
        check=True,
        env={"LC_ALL": "C", "PATH": "/usr/bin:/bin"},
    ).stdout
    entries: dict[str, str] = {}

    def collect(rows: list[dict[str, object]]) -> None:
        for row in rows:
            entries.setdefault(str(row["field"]).rstrip(":"), str(row["data"]))
            children = row.get("children", [])
            assert isinstance(children, list)
            collect(children)

    collect(json.loads(told)["lscpu"])
    found = this_machine()
    assert found["cpu.threads"].value == int(entries["CPU(s)"])
    if found["cpu.sockets"].form is Form.KNOWN:
        sockets, per_socket = int(entries["Socket(s)"]), int(entries["Core(s) per socket"])
        assert (found["cpu.sockets"].value, found["cpu.cores"].value) == (sockets, sockets * per_socket)
    if found["cpu.model"].form is Form.KNOWN:
        assert found["cpu.model"].value == " ".join(entries["Model name"].split())
    if entries["Vendor ID"] in {"GenuineIntel", "AuthenticAMD"}:
        assert found["cpu.vendor"].value == {"G": "intel", "A": "amd"}[entries["Vendor ID"][0]]
    expected = set(cpu.features(frozenset(entries["Flags"].split())))
    assert set(found["cpu.features"].value) == expected


def test_on_this_machine_threads_are_what_nproc_shows() -> None:
    """Logical processors that run are no more than nproc --all, which counts installed ones."""
    told = subprocess.run(["nproc", "--all"], capture_output=True, text=True, check=True).stdout
    threads = this_machine()["cpu.threads"].value
    assert isinstance(threads, int)
    assert 1 <= threads <= int(told)


def test_on_this_machine_features_agree_with_an_independent_reader() -> None:
    """Features both readers name alike are the same; nothing is found that the other does not see."""
    cpuinfo = pytest.importorskip("cpuinfo.cpuinfo")
    told = set(cpuinfo._get_cpu_info_from_proc_cpuinfo().get("flags", []))
    if not told:
        pytest.skip("py-cpuinfo finds no flags on this machine")
    found = set(this_machine()["cpu.features"].value)
    assert {name for name in FEATURES if name in told} <= found
    assert set(cpu.features(frozenset(told))) == found
