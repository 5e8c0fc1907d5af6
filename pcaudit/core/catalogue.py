"""The catalogue: one record for each reading, and what can be asked of it.

Profiles are checked against it, snapshots are read by it, the documents and ``pcaudit
readings`` are written from it. Adding a reading starts here.
"""

from __future__ import annotations

from enum import Enum
from typing import Final, NamedTuple

from pcaudit.core import units
from pcaudit.core.units import Kind


class Type(Enum):
    """What the value of a reading is."""

    TEXT = "text"
    WORD = "word"  # one of a closed list
    LEVEL = "level"  # one of a closed list, each including those before it
    BOOLEAN = "boolean"
    INTEGER = "integer"
    NUMBER = "number"
    QUANTITY = "quantity"
    DURATION = "duration"
    DATE = "date"
    VERSION = "version"
    SET = "set of texts"
    LIST = "list"


class Absent(Enum):
    """What it means for a condition that the thing is known not to exist."""

    SATISFIES = "satisfies"  # no lid: nothing happens when it closes
    FALLS_SHORT = "falls short"  # no TPM: no version of one


class Property(NamedTuple):
    """What a value is: of a reading, or of one key of a list's items.

    Attributes:
        title: Name for people.
        type: What the value is.
        kind: Unit rule, for quantities.
        words: The closed list, for words, levels and closed sets, lowest level first.
        low, high: Values outside this range are a misreading and count as unknown.
        exact: Text compared letter by letter (mount paths, service names).
    """

    title: str
    type: Type
    kind: Kind | None = None
    words: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    exact: bool = False


class Reading(NamedTuple):
    """One property of a PC that a snapshot may hold or knowledge may derive.

    Attributes:
        name: ``group.name``.
        value: What its value is.
        meaning: One sentence for people.
        linux, windows, macos: Where each OS gives it; empty where this version does not read it.
        derived: From observations, never stored in a snapshot.
        absent: What absence means for a condition.
        volatile: Changes by itself from day to day.
        adds: Amounts asked by several products add up.
        exclusive: One item of the list serves one table only.
        shared_by_products: That holds among the tables of one product; other products on the PC use
            the same items (programs share a screen: common practice, no source).
        items: Keys of the list's items.
        needs: Readings that the same table must pin down to one value, or this one means nothing.
        needs_on: More of these, by the value of ``os.type``.
        abbreviated: The value may leave out its last parts ("12" for "12.5").
        unlisted: Why a PC may hold items that no list shows, even one that is complete; then that there
            are no more than so many is never proved.
        lookup: Item keys that name what was asked; an item not in the list was not asked.
        owner: Who usually can mend it.
    """

    name: str
    value: Property
    meaning: str
    linux: str = ""
    windows: str = ""
    macos: str = ""
    derived: bool = False
    absent: Absent = Absent.FALLS_SHORT
    volatile: bool = False
    adds: bool = False
    exclusive: bool = False
    shared_by_products: bool = False
    items: dict[str, Property] = {}
    needs: tuple[str, ...] = ()
    needs_on: dict[str, tuple[str, ...]] = {}
    abbreviated: bool = False
    lookup: tuple[str, ...] = ()
    unlisted: str = ""
    owner: str = "IT"

    @property
    def group(self) -> str:
        """The group: the part of the name before the dot."""
        return self.name.partition(".")[0]


GROUPS: Final = {
    "session": "This session",
    "computer": "Computer",
    "os": "Operating system",
    "cpu": "Processor",
    "memory": "Memory",
    "storage": "Storage",
    "display": "Display",
    "network": "Network",
    "power": "Power",
    "software": "Software",
}

OS_TYPES: Final = ("windows", "linux", "macos")
EDITIONS: Final = (
    "home",
    "home-single-language",
    "s-mode",
    "pro",
    "pro-workstation",
    "pro-education",
    "education",
    "enterprise",
    "iot-enterprise",
    "server",
)
LEVELS: Final = ("x86-64-v1", "x86-64-v2", "x86-64-v3", "x86-64-v4")

# x86-64 psABI, "Micro-architecture levels": the features each level adds to the one before.
LEVEL_FEATURES: Final = {
    "x86-64-v1": ("cmov", "cx8", "fpu", "fxsr", "mmx", "osfxsr", "sce", "sse", "sse2"),
    "x86-64-v2": ("cmpxchg16b", "lahf-sahf", "popcnt", "sse3", "sse4.1", "sse4.2", "ssse3"),
    "x86-64-v3": ("avx", "avx2", "bmi1", "bmi2", "f16c", "fma", "lzcnt", "movbe", "osxsave"),
    "x86-64-v4": ("avx512f", "avx512bw", "avx512cd", "avx512dq", "avx512vl"),
}
# Beyond the levels: what requirement tables name. Spelling by common practice, no source.
FEATURES: Final = (
    *(feature for level in LEVELS for feature in LEVEL_FEATURES[level]),
    *("aes", "sha", "pclmulqdq", "rdrand", "rdseed", "adx", "avx-vnni", "avx512-vnni", "amx"),
    *("nx", "vmx", "svm", "smep", "smap", "invariant-tsc", "hypervisor", "neon", "sve"),
)


def _text(title: str, exact: bool = False) -> Property:
    return Property(title, Type.TEXT, exact=exact)


def _flag(title: str) -> Property:
    return Property(title, Type.BOOLEAN)


def _word(title: str, *words: str) -> Property:
    return Property(title, Type.WORD, words=words)


def _count(title: str, low: int = 0, high: int = 1 << 20) -> Property:
    return Property(title, Type.INTEGER, low=low, high=high)


def _version(title: str) -> Property:
    return Property(title, Type.VERSION)


def _set(title: str, words: tuple[str, ...] = ()) -> Property:
    return Property(title, Type.SET, words=words)


def _size(title: str, kind: Kind, low: float = 0) -> Property:
    return Property(title, Type.QUANTITY, kind, low=low, high=1 << 60)


def _clock(title: str) -> Property:
    # Outside 100 MHz to 10 GHz a clock is a unit mistake of its source, not a clock.
    return Property(title, Type.QUANTITY, units.FREQUENCY, low=10**8, high=10**10)


def _speed(title: str) -> Property:
    return Property(title, Type.QUANTITY, units.LINK, low=1, high=10**13)


def _duration(title: str) -> Property:
    return Property(title, Type.DURATION, units.DURATION, low=1, high=10**9)


def _pixels(title: str) -> Property:
    return _count(title, low=1, high=100_000)


def _list(title: str) -> Property:
    return Property(title, Type.LIST)


_MEDIA = ("ssd", "hdd")
_BUSES = ("nvme", "sata", "sas", "usb", "virtio", "sd", "scsi", "ide")
_NOT_IN_CONTAINER = "; unknown in a container"

_READINGS: Final = (
    # -- session
    Reading(
        "session.user",
        _text("User"),
        "Account the probe ran as.",
        linux="effective user id, passwd database",
        windows="GetUserNameW",
        macos="effective user id, user database",
        volatile=True,
    ),
    Reading(
        "session.remote",
        _flag("Remote session"),
        "Whether the probe ran in a remote desktop or SSH session, or with no console at all.",
        linux="SSH_CONNECTION, systemd-logind session files",
        windows="SSH_CONNECTION, GetSystemMetrics SM_REMOTESESSION, WTSGetActiveConsoleSessionId",
        macos="SSH_CONNECTION, owner of /dev/console; screen sharing is not seen",
        volatile=True,
    ),
    Reading(
        "session.elevated",
        _flag("Administrator rights"),
        "Whether the probe ran with administrator rights.",
        linux="effective user id 0",
        windows="token elevation (GetTokenInformation)",
        macos="effective user id 0",
        volatile=True,
    ),
    # -- computer
    Reading(
        "computer.host_name",
        _text("Host name"),
        "Name of the PC in the network, without its domain.",
        linux="kernel (uname)",
        windows="GetComputerNameExW",
        macos="scutil --get HostName, else LocalHostName",
    ),
    Reading(
        "computer.manufacturer",
        _text("Manufacturer"),
        "Maker of the PC as its firmware says.",
        linux="/sys/class/dmi/id/sys_vendor",
        windows="SMBIOS type 1 (GetSystemFirmwareTable), registry BIOS\\SystemManufacturer",
        macos="ioreg IOPlatformExpertDevice",
        owner="purchasing",
    ),
    Reading(
        "computer.model",
        _text("Model"),
        "Model of the PC as its firmware says.",
        linux="/sys/class/dmi/id/product_name",
        windows="SMBIOS type 1 (GetSystemFirmwareTable), registry BIOS\\SystemProductName",
        macos="sysctl hw.model",
        owner="purchasing",
    ),
    Reading(
        "computer.serial_number",
        _text("Serial number"),
        "Serial number of the PC as its firmware says.",
        linux="/sys/class/dmi/id/product_serial (administrator only)",
        windows="SMBIOS type 1 (GetSystemFirmwareTable)",
        macos="ioreg IOPlatformExpertDevice",
    ),
    Reading(
        "computer.chassis",
        _word("Chassis", "desktop", "laptop", "server", "other"),
        "Form of the PC: what the firmware says.",
        linux="/sys/class/dmi/id/chassis_type, DMTF DSP0134 type 3",
        windows="SMBIOS type 3 (GetSystemFirmwareTable)",
        macos="system_profiler SPHardwareDataType, by Apple's product names",
        owner="purchasing",
    ),
    Reading(
        "computer.firmware_version",
        _version("Firmware version"),
        "Version of the BIOS or UEFI firmware.",
        linux="/sys/class/dmi/id/bios_version",
        windows="SMBIOS type 0 (GetSystemFirmwareTable), registry BIOS\\BIOSVersion",
        macos="system_profiler SPHardwareDataType boot_rom_version",
    ),
    Reading(
        "computer.firmware_date",
        Property("Firmware date", Type.DATE),
        "Release date of the BIOS or UEFI firmware.",
        linux="/sys/class/dmi/id/bios_date",
        windows="SMBIOS type 0 (GetSystemFirmwareTable), registry BIOS\\BIOSReleaseDate",
        macos="not readable: macOS does not give it",
    ),
    Reading(
        "computer.firmware_mode",
        _word("Firmware mode", "uefi", "bios"),
        "How the running system was started.",
        linux="/sys/firmware/efi",
        windows="GetFirmwareType, registry PEFirmwareType",
        macos="uefi on Intel processors; none on Apple silicon",
    ),
    Reading(
        "computer.secure_boot",
        _flag("Secure Boot on"),
        "Whether Secure Boot is in force now.",
        linux="EFI variables SecureBoot, SetupMode and MokSBStateRT",
        windows="registry SecureBoot\\State\\UEFISecureBootEnabled",
        macos="not readable: macOS shows it in System Information only",
    ),
    Reading(
        "computer.secure_boot_capable",
        _flag("Secure Boot possible"),
        "Whether the firmware offers Secure Boot.",
        linux="EFI variable SecureBoot present",
        windows="registry SecureBoot\\State\\UEFISecureBootEnabled present",
        macos="not readable: macOS shows it in System Information only",
    ),
    Reading(
        "computer.tpm_version",
        _version("TPM version"),
        "Version of the trusted platform module.",
        linux="/sys/class/tpm/tpm0/tpm_version_major",
        windows="Tbsi_GetDeviceInfo",
        macos="none: Macs that run macOS have no TPM",
        owner="purchasing",
    ),
    Reading(
        "computer.virtual",
        _flag("Virtual machine"),
        "Whether the PC is a virtual machine.",
        linux="CPUID hypervisor flag, DMI strings, /sys/hypervisor",
        windows="SMBIOS strings, ACPI table makers, the hypervisor's word on who owns the hardware",
        macos="sysctl kern.hv_vmm_present and hw.model",
    ),
    # -- os
    Reading(
        "os.type",
        _word("Operating system", *OS_TYPES),
        "Family of the operating system.",
        linux="sys.platform",
        windows="sys.platform",
        macos="sys.platform",
    ),
    Reading(
        "os.product",
        _text("Product"),
        "Product name of the operating system.",
        linux="os-release NAME",
        windows="build and product type (RtlGetVersion); registry ProductName for servers",
        macos="sw_vers ProductName",
    ),
    Reading(
        "os.version",
        _version("Version"),
        "Version of the operating system; four parts on Windows.",
        linux="os-release VERSION_ID",
        windows="RtlGetVersion, checked against registry CurrentBuildNumber; registry UBR",
        macos="sysctl kern.osproductversion, checked against sw_vers",
        needs=("os.type",),
        needs_on={"linux": ("os.product",)},
        abbreviated=True,
    ),
    Reading(
        "os.edition_id",
        _text("Edition identifier"),
        "The operating system's own word for its edition.",
        linux="os-release VARIANT_ID",
        windows="registry EditionID",
        macos="none: macOS has no editions",
    ),
    Reading(
        "os.feature_release",
        _text("Feature release"),
        "The release's own name, such as 24H2 or bookworm.",
        derived=True,
        needs=("os.type", "os.product"),
    ),
    Reading(
        "os.edition",
        _word("Edition", *EDITIONS),
        "Edition of the operating system.",
        linux="none: Linux has no editions of this kind",
        windows="registry EditionID, SkuPolicyRequired for S mode",
        macos="none: macOS has no editions",
        needs=("os.type",),
    ),
    Reading(
        "os.servicing",
        _word("Servicing", "general", "long-term"),
        "Servicing channel.",
        derived=True,
    ),
    Reading(
        "os.machine",
        _word("Architecture", "x86_64", "arm64", "x86", "other"),
        "Architecture of the machine, seen through any emulation.",
        linux="kernel (uname), CPU flags",
        windows="IsWow64Process2, else GetNativeSystemInfo",
        macos="sysctl hw.optional.arm64, sysctl.proc_translated, hw.machine",
    ),
    Reading(
        "os.support_ends",
        Property("Support ends", Type.DATE),
        "Last day of security updates the maker gives without extra payment.",
        derived=True,
    ),
    Reading(
        "os.language",
        _text("Language"),
        "Language of the user interface, ISO 639.",
        linux="LC_ALL, LC_MESSAGES, LANG; /etc/locale.conf, /etc/default/locale",
        windows="GetUserPreferredUILanguages, of the account that is signed in",
        macos="preference AppleLanguages of the account that is signed in",
    ),
    Reading(
        "os.locale",
        _text("Locale"),
        "Locale for numbers and dates.",
        linux="LC_ALL, LC_NUMERIC, LANG; /etc/locale.conf, /etc/default/locale",
        windows="GetUserDefaultLocaleName, of the account that is signed in",
        macos="preference AppleLocale of the account that is signed in",
    ),
    Reading(
        "os.decimal_separator",
        _text("Decimal separator"),
        "Character between whole and decimal part of a number.",
        linux="the locale's own LC_NUMERIC data",
        windows="GetLocaleInfoEx LOCALE_SDECIMAL, of the account that is signed in",
        macos="NSLocale of the account that is signed in (osascript)",
    ),
    Reading(
        "os.time_zone",
        _text("Time zone"),
        "Time zone, IANA name where the system has one.",
        linux="/etc/localtime, /etc/timezone, TZ",
        windows="GetDynamicTimeZoneInformation: Windows's own name, as tzutil gives it",
        macos="/etc/localtime",
    ),
    Reading(
        "os.clock_synchronised",
        _flag("Clock synchronised"),
        "Whether the clock is being kept right by a time source now.",
        linux="kernel clock discipline (adjtimex), systemd-timesyncd's stamp",
        windows="not readable: Windows tells only w32tm when it last set the clock",
        macos="not readable: macOS keeps it for itself",
        volatile=True,
    ),
    Reading(
        "os.clock_synchronised_at",
        Property("Clock last synchronised", Type.DATE),
        "When the clock was last set by a time source.",
        linux="/run/systemd/timesync/synchronized",
        windows="not readable: Windows tells only w32tm when it last set the clock",
        macos="not readable: macOS keeps it for itself",
        volatile=True,
    ),
    Reading(
        "os.restart_pending",
        _flag("Restart pending"),
        "Whether an update waits for a restart.",
        linux="/run/reboot-required, kernels in /boot, offline updates, ostree deployments",
        windows="registry marks of servicing, Windows Update, installers, Configuration Manager, file "
        "renames, a new host name, joining",
        macos="not readable: macOS leaves no mark of it",
        volatile=True,
    ),
    Reading(
        "os.update_restarts",
        _flag("Updates may restart the PC"),
        "Whether the operating system may restart itself after updates.",
        linux="APT Unattended-Upgrade::Automatic-Reboot, dnf-automatic",
        windows="registry update policies (Group Policy and device management)",
        macos="com.apple.SoftwareUpdate settings, managed ones first; profiles status",
    ),
    Reading(
        "os.domain",
        _text("Domain"),
        "Directory domain the PC is joined to; absent where it is joined to none.",
        linux="SSSD and Samba configuration, krb5.keytab, nsswitch.conf",
        windows="NetGetJoinInformation, DsRoleGetPrimaryDomainInformation, NetGetAadJoinInformation",
        macos="dscl search path, dsconfigad",
    ),
    # -- cpu
    Reading(
        "cpu.model",
        _text("Processor model"),
        "Model string of the processor.",
        linux="/proc/cpuinfo model name",
        windows="registry CentralProcessor\\0\\ProcessorNameString",
        macos="sysctl machdep.cpu.brand_string, else system_profiler chip_type",
        owner="purchasing",
    ),
    Reading(
        "cpu.vendor",
        _text("Processor vendor"),
        "Maker of the processor: intel, amd, apple, ...",
        linux="/proc/cpuinfo vendor_id",
        windows="registry CentralProcessor\\0\\VendorIdentifier",
        macos="sysctl machdep.cpu.vendor, the model string on Apple silicon",
        owner="purchasing",
    ),
    Reading(
        "cpu.series",
        _text("Processor series"),
        "Product series, such as core i5.",
        derived=True,
        owner="purchasing",
    ),
    Reading(
        "cpu.generation",
        _count("Processor generation", low=1, high=10_000),
        "Generation within its series.",
        derived=True,
        needs=("cpu.series",),
        owner="purchasing",
    ),
    Reading(
        "cpu.sockets",
        _count("Sockets", low=1, high=1024),
        "Processor packages.",
        linux="sysfs CPU topology, /proc/cpuinfo physical id",
        windows="GetLogicalProcessorInformationEx, all groups",
        macos="sysctl hw.packages",
        owner="purchasing",
    ),
    Reading(
        "cpu.cores",
        _count("Cores", low=1, high=65536),
        "Physical cores of all packages.",
        linux="sysfs CPU topology, /proc/cpuinfo core id",
        windows="GetLogicalProcessorInformationEx, all groups",
        macos="sysctl hw.physicalcpu",
        owner="purchasing",
    ),
    Reading(
        "cpu.threads",
        _count("Threads", low=1, high=65536),
        "Logical processors the operating system runs on.",
        linux="/sys/devices/system/cpu/online",
        windows="GetLogicalProcessorInformationEx, all groups",
        macos="sysctl hw.logicalcpu",
        owner="purchasing",
    ),
    Reading(
        "cpu.base_clock",
        _clock("Base clock"),
        "Nominal clock, without boost.",
        linux="cpufreq base_frequency, ACPI CPPC nominal_freq, the model string's @ clock",
        windows="the model string's @ clock, else CallNtPowerInformation MaxMhz",
        macos="the model string's @ clock; not readable on Apple silicon",
        owner="purchasing",
    ),
    Reading(
        "cpu.max_clock",
        _clock("Maximum clock"),
        "Highest clock, boost included.",
        linux="cpufreq cpuinfo_max_freq",
        windows="no less than the base clock: Windows does not show the boost",
        macos="no less than the base clock: macOS does not show the boost",
        owner="purchasing",
    ),
    Reading(
        "cpu.level",
        Property("x86-64 level", Type.LEVEL, words=LEVELS),
        "Micro-architecture level by the x86-64 psABI; each includes those below.",
        derived=True,
        owner="purchasing",
    ),
    Reading(
        "cpu.features",
        _set("Processor features", FEATURES),
        "Instruction-set features software may use.",
        linux="/proc/cpuinfo flags",
        windows="IsProcessorFeaturePresent, GetEnabledXStateFeatures; never complete",
        macos="sysctl machdep.cpu features; hw.optional on Apple silicon, never complete",
        owner="purchasing",
    ),
    # -- memory
    Reading(
        "memory.installed",
        _size("Memory installed", units.MEMORY, low=1),
        "Sum of the memory modules fitted.",
        linux="SMBIOS type 17; a lower bound from /sys/firmware/memmap or usable memory" + _NOT_IN_CONTAINER,
        windows="SMBIOS type 17 (GetSystemFirmwareTable), else GetPhysicallyInstalledSystemMemory",
        macos="sysctl hw.memsize",
        owner="purchasing",
    ),
    Reading(
        "memory.usable",
        _size("Memory usable", units.MEMORY, low=1),
        "Memory the operating system can use, swap not counted.",
        linux="/proc/meminfo MemTotal, cgroup limit",
        windows="GlobalMemoryStatusEx",
        macos="sysctl hw.memsize_usable",
        owner="purchasing",
    ),
    Reading(
        "memory.slots",
        _count("Memory slots", high=1024),
        "Slots for memory modules.",
        linux="SMBIOS type 16 and 17",
        windows="SMBIOS type 16 and 17 (GetSystemFirmwareTable)",
        macos="system_profiler SPMemoryDataType; none on Apple silicon",
        owner="purchasing",
    ),
    Reading(
        "memory.slots_free",
        _count("Free memory slots", high=1024),
        "Empty slots for memory modules.",
        linux="SMBIOS type 17",
        windows="SMBIOS type 17 (GetSystemFirmwareTable)",
        macos="system_profiler SPMemoryDataType; none on Apple silicon",
        owner="purchasing",
    ),
    Reading(
        "memory.modules",
        _list("Memory modules"),
        "The memory modules fitted.",
        linux="SMBIOS type 17",
        windows="SMBIOS type 17 (GetSystemFirmwareTable)",
        macos="system_profiler SPMemoryDataType; none on Apple silicon",
        items={
            "size": _size("Size", units.MEMORY, low=1),
            "speed": Property("Speed", Type.QUANTITY, units.TRANSFER, low=1, high=100_000),
            "type": _text("Type"),
        },
        owner="purchasing",
    ),
    Reading(
        "memory.ecc",
        _flag("Error-correcting memory"),
        "Whether the memory corrects errors.",
        linux="SMBIOS type 16",
        windows="SMBIOS type 16 (GetSystemFirmwareTable)",
        macos="system_profiler SPMemoryDataType; not readable on Apple silicon",
        owner="purchasing",
    ),
    # -- storage
    Reading(
        "storage.system_size",
        _size("System volume size", units.STORAGE, low=1),
        "Size of the volume the operating system is on.",
        linux="statvfs of /; unknown under Btrfs quota limits and on a RAM disk",
        windows="GetDiskFreeSpaceExW; unknown under a disk quota",
        macos="statvfs of /, the APFS container",
        owner="purchasing",
    ),
    Reading(
        "storage.system_free",
        _size("System volume free", units.STORAGE),
        "Space on that volume an ordinary user may still fill.",
        linux="statvfs of / (available to users); unknown under quotas and on a RAM disk",
        windows="GetDiskFreeSpaceExW, available to the caller",
        macos="statvfs of / (available to users), purgeable files not counted",
        volatile=True,
        adds=True,
    ),
    Reading(
        "storage.system_used",
        _size("System volume used", units.STORAGE),
        "Space taken on that volume.",
        linux="statvfs of /; unknown on a RAM disk",
        windows="GetDiskFreeSpaceExW; unknown under a disk quota",
        macos="statvfs of /, the APFS container",
        volatile=True,
    ),
    Reading(
        "storage.system_filesystem",
        _text("System file system"),
        "File system of that volume.",
        linux="/proc/self/mountinfo",
        windows="GetVolumeInformationW",
        macos="mount",
    ),
    Reading(
        "storage.system_media",
        _word("System drive media", *_MEDIA),
        "Whether that volume lies on solid-state or rotating drives.",
        linux="sysfs queue/rotational of every drive under it, where that can be believed",
        windows="bus, seek penalty and trim of every drive under it (IOCTL_STORAGE_QUERY_PROPERTY)",
        macos="diskutil info SolidState of every drive under it; unknown behind USB",
        owner="purchasing",
    ),
    Reading(
        "storage.system_encrypted",
        _flag("System volume encrypted"),
        "Whether that volume is encrypted.",
        linux="uuid of the device-mapper mappings under it (cryptsetup's); cipher not read",
        windows="shell property System.Volume.BitLockerProtection; other encryption is not seen",
        macos="fdesetup status (FileVault)",
    ),
    Reading(
        "storage.volumes",
        _list("Volumes"),
        "Mounted volumes that hold files; the same space is listed once.",
        linux="/proc/self/mountinfo, statvfs",
        windows="FindFirstVolumeW, GetLogicalDrives, GetVolumeInformationW, GetDiskFreeSpaceExW",
        macos="mount, statvfs, diskutil apfs list",
        items={
            "mount": _text("Mount point", exact=True),
            "filesystem": _text("File system"),
            "size": _size("Size", units.STORAGE),
            "free": _size("Free", units.STORAGE),
            "used": _size("Used", units.STORAGE),
            "kind": _word("Kind", "fixed", "removable", "network"),
            "media": _word("Media", *_MEDIA),
            "encrypted": _flag("Encrypted"),
            "system": _flag("Holds the operating system"),
        },
    ),
    Reading(
        "storage.drives",
        _list("Drives"),
        "Physical drives.",
        linux="/sys/block",
        windows="IOCTL_STORAGE_QUERY_PROPERTY, IOCTL_DISK_GET_DRIVE_GEOMETRY_EX",
        macos="diskutil list, diskutil info, system_profiler SPNVMeDataType",
        items={
            "model": _text("Model"),
            "size": _size("Size", units.STORAGE),
            "media": _word("Media", *_MEDIA),
            "bus": _word("Bus", *_BUSES),
        },
        exclusive=True,
        owner="purchasing",
    ),
    # -- display
    Reading(
        "display.screen_count",
        _count("Screens", high=256),
        "Screens in use.",
        derived=True,
        owner="purchasing",
    ),
    Reading(
        "display.primary_width",
        _pixels("Primary screen width"),
        "Physical pixels across the primary screen.",
        linux="kernel mode of the only connected screen",
        windows="EnumDisplaySettingsExW, QueryDisplayConfig, at the console only",
        macos="system_profiler SPDisplaysDataType, at the console only; a lower bound where scaled",
        owner="purchasing",
    ),
    Reading(
        "display.primary_height",
        _pixels("Primary screen height"),
        "Physical pixels down the primary screen.",
        linux="kernel mode of the only connected screen",
        windows="EnumDisplaySettingsExW, QueryDisplayConfig, at the console only",
        macos="system_profiler SPDisplaysDataType, at the console only; a lower bound where scaled",
        owner="purchasing",
    ),
    Reading(
        "display.primary_scaling",
        Property("Primary screen scaling", Type.QUANTITY, units.PERCENT, low=25, high=1000),
        "Scaling of the user interface, in per cent.",
        linux="not readable without the desktop's own session",
        windows="GetDpiForMonitor, at the console only",
        macos="system_profiler SPDisplaysDataType, at the console only",
    ),
    Reading(
        "display.primary_logical_width",
        _pixels("Primary screen width after scaling"),
        "Pixels across as programs see them.",
        derived=True,
    ),
    Reading(
        "display.primary_logical_height",
        _pixels("Primary screen height after scaling"),
        "Pixels down as programs see them.",
        derived=True,
    ),
    Reading(
        "display.screens",
        _list("Screens"),
        "Screens connected and in use.",
        linux="/sys/class/drm connectors and their EDID",
        windows="QueryDisplayConfig, EnumDisplaySettingsExW, GetDpiForMonitor, EDID in the registry",
        macos="system_profiler SPDisplaysDataType, at the console only",
        items={
            "name": _text("Name"),
            "width": _pixels("Width"),
            "height": _pixels("Height"),
            "refresh": Property("Refresh rate", Type.QUANTITY, units.FREQUENCY, low=1, high=2000),
            "scaling": Property("Scaling", Type.QUANTITY, units.PERCENT, low=25, high=1000),
            "diagonal": Property("Diagonal", Type.QUANTITY, units.DIAGONAL, low=1, high=1000),
            "ppi": Property("Pixels per inch", Type.NUMBER, low=10, high=2000),
            "colour_depth": _count("Colour depth (bits)", low=1, high=64),
            "primary": _flag("Primary"),
        },
        exclusive=True,
        shared_by_products=True,
        owner="purchasing",
    ),
    Reading(
        "display.graphics",
        _list("Graphics cards"),
        "Graphics adapters.",
        linux="/sys/class/drm, PCI identifiers",
        windows="CM_Get_Device_ID_ListW, registry of display drivers",
        macos="system_profiler SPDisplaysDataType",
        items={
            "model": _text("Model"),
            "memory": _size("Memory", units.MEMORY),
            "driver_version": _version("Driver version"),
        },
        owner="purchasing",
    ),
    # -- network
    Reading(
        "network.adapters",
        _list("Network adapters"),
        "Network adapters, physical and virtual, the loopback left out.",
        linux="/sys/class/net, rtnetlink, ethtool, systemd-networkd and ifupdown configuration",
        windows="GetIfTable2, GetAdaptersAddresses, registry of network cards",
        macos="ifconfig, NetworkInterfaces.plist, system_profiler SPNetworkDataType, netstat -r",
        items={
            "name": _text("Name"),
            "medium": _word("Medium", "wired", "wireless", "virtual"),
            "bus": _text("Bus"),
            "link_up": _flag("Link up"),
            "speed": _speed("Link speed"),
            "capable_speed": _speed("Capable speed"),
            "mtu": _count("MTU", low=68),
            "mac": _text("MAC address"),
            "addresses": _set("Addresses"),
            "addressing": _word("Addressing", "static", "dynamic"),
            "gateway": _text("Gateway"),
            "power_saving": _flag("May be powered down"),
        },
        exclusive=True,
    ),
    Reading(
        "network.wired_count",
        _count("Wired adapters", high=4096),
        "Physical wired adapters, cabled or not.",
        derived=True,
        owner="purchasing",
    ),
    Reading(
        "network.name_servers",
        _set("Name servers"),
        "Addresses of the name servers in use.",
        linux="/etc/resolv.conf, systemd-resolved's own list",
        windows="GetAdaptersAddresses",
        macos="scutil --dns",
    ),
    Reading(
        "network.proxy",
        _text("Proxy"),
        "Proxy for web traffic; absent where none is set.",
        linux="proxy variables of the environment and /etc/environment",
        windows="registry Internet Settings, WinHttpGetDefaultProxyConfiguration",
        macos="scutil --proxy, proxy variables of the environment",
    ),
    Reading(
        "network.endpoints",
        _list("Endpoints"),
        "Hosts and ports a profile names, and whether they answered.",
        linux="TCP connection, only when a profile names them",
        windows="TCP connection, only when a profile names them",
        macos="TCP connection, only when a profile names them",
        items={
            "host": _text("Host"),
            "port": _count("Port", low=1, high=65535),
            "reachable": _flag("Reachable"),
            "seconds": Property("Time to connect", Type.DURATION, units.DURATION, low=0, high=3600),
        },
        volatile=True,
        lookup=("host", "port"),
    ),
    # -- power
    Reading(
        "power.source",
        _word("Power source", "mains", "battery"),
        "What the PC runs on now.",
        linux="/sys/class/power_supply",
        windows="GetSystemPowerStatus",
        macos="pmset -g batt",
        volatile=True,
        owner="lab",
    ),
    Reading(
        "power.plan",
        _text("Power plan"),
        "Name of the power plan in force.",
        linux="tuned, ACPI platform profile",
        windows="PowerGetActiveScheme; built-in plans by their English names",
        macos="pmset -g custom powermode or lowpowermode",
    ),
    Reading(
        "power.sleep_after",
        _duration("Sleep after"),
        "Idle time on mains after which the PC sleeps.",
        linux="systemd-logind IdleAction, the desktop's own setting, sleep targets masked",
        windows="Group Policy, else PowerReadACValueIndex of the plan in force, else the registry; "
        "GetPwrCapabilities",
        macos="pmset -g custom sleep, pmset -g SleepDisabled",
        absent=Absent.SATISFIES,
    ),
    Reading(
        "power.sleep_after_battery",
        _duration("Sleep after, on battery"),
        "Idle time on battery after which the PC sleeps; absent without a battery.",
        linux="as on mains, the desktop's battery setting",
        windows="as on mains with PowerReadDCValueIndex; GetSystemPowerStatus",
        macos="as on mains, the battery's section",
        absent=Absent.SATISFIES,
    ),
    Reading(
        "power.hibernate_after",
        _duration("Hibernate after"),
        "Idle time on mains after which the PC hibernates.",
        linux="systemd-logind IdleAction, sleep targets masked",
        windows="as power.sleep_after; GetPwrCapabilities, registry HibernateEnabled",
        macos="pmset -g custom: never where the Mac does not sleep, or writes no image",
        absent=Absent.SATISFIES,
    ),
    Reading(
        "power.screen_off_after",
        _duration("Screen off after"),
        "Idle time on mains after which the screen is switched off.",
        linux="the desktop's own setting",
        windows="as power.sleep_after",
        macos="pmset -g custom displaysleep",
        absent=Absent.SATISFIES,
    ),
    Reading(
        "power.disk_off_after",
        _duration("Disk off after"),
        "Idle time on mains after which drives stop.",
        linux="not readable without asking each drive",
        windows="as power.sleep_after",
        macos="pmset -g custom disksleep",
        absent=Absent.SATISFIES,
    ),
    Reading(
        "power.usb_suspend",
        _flag("USB suspend"),
        "Whether idle USB devices may be suspended.",
        linux="/sys/bus/usb/devices/*/power/control, usbcore autosuspend",
        windows="as power.sleep_after: USB selective suspend",
        macos="not readable: macOS has no setting for it",
        absent=Absent.SATISFIES,
    ),
    Reading(
        "power.pcie_saving",
        _flag("PCI Express power saving"),
        "Whether PCI Express links may save power (ASPM).",
        linux="/sys/module/pcie_aspm/parameters/policy",
        windows="as power.sleep_after: link state power management",
        macos="not readable: macOS has no setting for it",
        absent=Absent.SATISFIES,
    ),
    Reading(
        "power.fast_startup",
        _flag("Fast start-up"),
        "Whether shutting down leaves a hibernated kernel behind; Windows only.",
        linux="none: Linux has no such thing",
        windows="registry HiberbootEnabled, the policy that requires it, and whether hibernation is on",
        macos="none: macOS has no such thing",
        absent=Absent.SATISFIES,
    ),
    Reading(
        "power.lid_action",
        _word("Closing the lid", "nothing", "sleep", "hibernate", "shut-down"),
        "What closing the lid does on mains; absent without a lid.",
        linux="systemd-logind HandleLidSwitch, ACPI lid",
        windows="as power.sleep_after; GetPwrCapabilities",
        macos="pmset -g SleepDisabled; macOS has no other setting",
        absent=Absent.SATISFIES,
    ),
    # -- software
    Reading(
        "software.packages",
        _list("Installed programs"),
        "Programs and packages installed.",
        linux="dpkg and rpm databases (installed ones only)",
        windows="registry Uninstall keys: HKLM in both views, HKCU, users signed in, Windows's own accounts; "
        "entries whose files are gone left out and named; Store packages",
        macos="Info.plist of the programs in the Applications folders; never complete",
        items={
            "name": _text("Name"),
            "version": _version("Version"),
            "publisher": _text("Publisher"),
        },
    ),
    Reading(
        "software.runtimes",
        _list("Runtimes"),
        "Runtimes that programs need.",
        linux="dpkg and rpm databases, by package name",
        windows="registry: .NET Framework Release, .NET InstalledVersions, Visual C++ Runtimes; programs "
        "named so, with Java and Python",
        macos="folders of Java, Python and .NET; never complete",
        unlisted="a runtime that a program brings along, or that was only unpacked, is in no list",
        items={"name": _text("Name"), "version": _version("Version")},
    ),
    Reading(
        "software.antivirus",
        _list("Antivirus"),
        "Antivirus products registered.",
        linux="dpkg and rpm databases, by package name",
        windows="registry Security Center\\Provider\\Av where the program is there, service WinDefend",
        macos="XProtect's bundle; never complete",
        items={"name": _text("Name")},
    ),
    Reading(
        "software.services",
        _list("Services"),
        "System services and their state.",
        linux="systemd unit files and cgroups",
        windows="EnumServicesStatusExW; those it leaves out from the registry",
        macos="launchctl print system",
        items={"name": _text("Name", exact=True), "state": _text("State")},
        volatile=True,
    ),
)

CATALOGUE: Final = {reading.name: reading for reading in _READINGS}
"""Every reading by name, in the order people read them."""
