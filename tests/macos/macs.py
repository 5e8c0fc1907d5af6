"""Invented Macs, recorded in the form in which the utilities of macOS answer.

The forms are those of outputs published in test suites and documents of other projects; the values are
invented. Nothing here was taken from a Mac by this project.
"""

from __future__ import annotations

import json
from typing import Any, Final

from pcaudit.probes.macos.host import Space
from pcaudit.probes.macos.tools import ToolError
from tests.macos.recorded import Mac, Printed, plist

_NOTES: Final = "/Library/Preferences/SystemConfiguration/NetworkInterfaces.plist"
_UPDATES: Final = "/Library/Preferences/com.apple.SoftwareUpdate.plist"
_XPROTECT: Final = "/Library/Apple/System/Library/CoreServices/XProtect.bundle/Contents/Info.plist"


def profile(kind: str, entries: list[dict[str, Any]]) -> str:
    """What ``system_profiler -json`` prints for one data type."""
    return json.dumps({kind: entries}, indent=2)


def expert(serial: str, model: str) -> bytes:
    """What ``ioreg -a -r -d 1 -c IOPlatformExpertDevice`` prints."""
    entry = {
        "IOObjectClass": "IOPlatformExpertDevice",
        "IOPlatformSerialNumber": serial,
        "manufacturer": b"Apple Inc.\0",
        "model": model.encode() + b"\0",
    }
    return plist([entry])


def note(name: str, mac: str, path: str, kind: str = "Ethernet") -> dict[str, Any]:
    """An entry of NetworkInterfaces.plist."""
    return {
        "Active": True,
        "BSD Name": name,
        "IOMACAddress": bytes.fromhex(mac.replace(":", "")),
        "IOPathMatch": path,
        "SCNetworkInterfaceType": kind,
    }


def disk(name: str, size: int, **more: Any) -> bytes:
    """What ``diskutil info -plist`` prints for a whole disk."""
    return plist(
        {"DeviceIdentifier": name, "TotalSize": size, "Size": size, "VirtualOrPhysical": "Physical", **more}
    )


def container(name: str, store: str, volumes: dict[str, bool]) -> dict[str, Any]:
    """A container of ``diskutil apfs list -plist``."""
    return {
        "ContainerReference": name,
        "CapacityCeiling": 994662584320,
        "CapacityFree": 402653184000,
        "PhysicalStores": [{"DeviceIdentifier": store, "Size": 994662584320}],
        "Volumes": [
            {"DeviceIdentifier": device, "FileVault": locked, "Encryption": True}
            for device, locked in volumes.items()
        ],
    }


_ALWAYS: Final[dict[str, Printed]] = {
    "scutil --get HostName": ToolError("/usr/sbin/scutil failed (status 1)"),
    "dscl /Search -read / CSPSearchPath": "CSPSearchPath: /Local/Default\n",
    "profiles status -type enrollment": "Enrolled via DEP: No\nMDM enrollment: No\n",
    "launchctl print system": (
        "com.apple.xpc.launchd.domain.system = {\n\ttype = system\n\thandle = 0\n\n"
        "\tservices = {\n\t\t       0      - \tcom.apple.idle\n"
        "\t\t     412      - \tcom.apple.mDNSResponder\n"
        "\t}\n\n\tendpoints = {\n\t\t   0x1503   M   A   com.apple.other\n\t}\n}\n"
    ),
    "scutil --proxy": (
        "<dictionary> {\n  ExceptionsList : <array> {\n    0 : *.local\n    1 : 169.254/16\n  }\n"
        "  FTPPassive : 1\n  HTTPEnable : 0\n  HTTPSEnable : 0\n  ProxyAutoConfigEnable : 0\n}\n"
    ),
    "scutil --dns": (
        "DNS configuration\n\nresolver #1\n  search domain[0] : lab.example\n  nameserver[0] : 192.0.2.53\n"
        "  nameserver[1] : 2001:db8::53\n  if_index : 11 (en0)\n  flags    : Request A records\n\n"
        "resolver #2\n  domain   : local\n  options  : mdns\n  timeout  : 5\n"
        "  nameserver[0] : 224.0.0.251\n\n"
        "DNS configuration (for scoped queries)\n\nresolver #1\n  nameserver[0] : 198.51.100.53\n"
    ),
    "netstat -r -n -f inet": (
        "Routing tables\n\nInternet:\n"
        "Destination        Gateway            Flags               Netif Expire\n"
        "default            192.0.2.1          UGScg                 en0\n"
        "default            link#14            UCSIg           bridge100      !\n"
        "127                127.0.0.1          UCS                   lo0\n"
    ),
}

_LOOPBACK: Final = (
    "lo0: flags=8049<UP,LOOPBACK,RUNNING,MULTICAST> mtu 16384\n"
    "\tinet 127.0.0.1 netmask 0xff000000\n\tinet6 ::1 prefixlen 128\n"
)

_DESKTOP_SYSCTL: Final = """\
kern.osproductversion: 15.5
kern.hv_vmm_present: 0
hw.model: Mac16,10
hw.machine: arm64
hw.memsize: 17179869184
hw.memsize_usable: 16585523200
hw.packages: 1
hw.physicalcpu: 10
hw.logicalcpu: 10
hw.perflevel0.physicalcpu: 4
hw.perflevel1.physicalcpu: 6
hw.optional.arm.FEAT_AES: 1
hw.optional.arm.FEAT_SHA256: 1
hw.optional.AdvSIMD: 1
hw.optional.arm64: 1
sysctl.proc_translated: 0
machdep.cpu.brand_string: Apple M4
"""

_DESKTOP_IFCONFIG: Final = (
    _LOOPBACK
    + "gif0: flags=8010<POINTOPOINT,MULTICAST> mtu 1280\n"
    + "en0: flags=8863<UP,BROADCAST,SMART,RUNNING,SIMPLEX,MULTICAST> mtu 1500\n"
    "\toptions=567<RXCSUM,TXCSUM,VLAN_MTU,TSO4,TSO6,AV,CHANNEL_IO>\n\tether 02:00:5e:00:53:01\n"
    "\tinet6 fe80::1c2d%en0 prefixlen 64 secured scopeid 0xb\n"
    "\tinet 192.0.2.7 netmask 0xffffff00 broadcast 192.0.2.255\n"
    "\tmedia: autoselect (1000baseT <full-duplex,flow-control,energy-efficient-ethernet>)\n"
    "\tstatus: active\n\tsupported media:\n\t\tnone\n\t\tmedia autoselect\n"
    "\t\tmedia 100baseTX mediaopt full-duplex\n"
    "\t\tmedia 1000baseT mediaopt full-duplex\n\t\tmedia 2500Base-T mediaopt full-duplex\n"
    "\t\tmedia 10Gbase-T mediaopt full-duplex\n"
    "en1: flags=8863<UP,BROADCAST,SMART,RUNNING,SIMPLEX,MULTICAST> mtu 1500\n\tether 02:00:5e:00:53:0a\n"
    "\tmedia: autoselect\n\tstatus: inactive\n\tsupported media:\n\t\tmedia autoselect\n"
    "en2: flags=8963<UP,BROADCAST,SMART,RUNNING,PROMISC,SIMPLEX,MULTICAST> mtu 1500\n"
    "\tether 02:00:5e:00:53:0b\n\tmedia: autoselect <full-duplex>\n\tstatus: inactive\n"
    "\tsupported media:\n\t\tmedia autoselect mediaopt full-duplex\n"
    "en5: flags=8863<UP,BROADCAST,SMART,RUNNING,SIMPLEX,MULTICAST> mtu 1500\n\tether 02:00:5e:00:53:0c\n"
    "\tmedia: none\n\tstatus: inactive\n"
    "en7: flags=8863<UP,BROADCAST,SMART,RUNNING,SIMPLEX,MULTICAST> mtu 1500\n\tether 02:00:5e:00:53:0d\n"
    "\tinet 10.20.30.1 netmask 0xffffff00 broadcast 10.20.30.255\n"
    "\tmedia: autoselect (none)\n\tstatus: inactive\n\tsupported media:\n\t\tmedia autoselect\n"
    "\t\tmedia 10baseT/UTP mediaopt full-duplex\n\t\tmedia 1000baseT mediaopt full-duplex\n"
    "bridge0: flags=8863<UP,BROADCAST,SMART,RUNNING,SIMPLEX,MULTICAST> mtu 1500\n\tether 02:00:5e:00:53:0e\n"
    "\tmember: en2 flags=3<LEARNING,DISCOVER>\n\tmedia: <unknown type>\n\tstatus: inactive\n"
)
_ARM: Final = "IOService:/AppleARMPE/arm-io@10F00000/AppleT8132IO"
_THUNDERBOLT: Final = (
    f"{_ARM}/acio0@1F00000/AppleThunderboltNHIType5/AppleThunderboltIPService/AppleThunderboltIPPort/en2"
)

_DESKTOP_SCREENS: Final = [
    {
        "_name": "Apple M4",
        "spdisplays_mtlgpufamilysupport": "spdisplays_metal3",
        "spdisplays_ndrvs": [
            {
                "_name": "BENCH 27",
                "_spdisplays_displayID": "2",
                "_spdisplays_pixels": "2560 x 1440",
                "_spdisplays_resolution": "2560 x 1440 @ 60.00Hz",
                "spdisplays_main": "spdisplays_yes",
                "spdisplays_mirror": "spdisplays_off",
                "spdisplays_online": "spdisplays_yes",
                "spdisplays_pixelresolution": "2560 x 1440",
                "spdisplays_resolution": "2560 x 1440 @ 60.00Hz",
            }
        ],
        "spdisplays_vendor": "sppci_vendor_Apple",
        "sppci_bus": "spdisplays_builtin",
        "sppci_cores": "10",
        "sppci_device_type": "spdisplays_gpu",
        "sppci_model": "Apple M4",
    }
]

DESKTOP: Final = Mac(
    commands={
        **_ALWAYS,
        "sysctl": _DESKTOP_SYSCTL,
        "sw_vers": "ProductName:\t\tmacOS\nProductVersion:\t\t15.5\nBuildVersion:\t\t24F74\n",
        "scutil --get LocalHostName": "bench-mini\n",
        "ioreg": expert("H0BENCH0001", "Mac16,10"),
        "system_profiler -json SPHardwareDataType": profile(
            "SPHardwareDataType",
            [
                {
                    "_name": "hardware_overview",
                    "boot_rom_version": "11881.121.1",
                    "chip_type": "Apple M4",
                    "machine_model": "Mac16,10",
                    "machine_name": "Mac mini",
                    "number_processors": "proc 10:4:6",
                    "physical_memory": "16 GB",
                    "serial_number": "H0BENCH0001",
                }
            ],
        ),
        "system_profiler -json SPDisplaysDataType": profile("SPDisplaysDataType", _DESKTOP_SCREENS),
        "system_profiler -json SPNVMeDataType": profile(
            "SPNVMeDataType",
            [
                {
                    "_name": "Apple SSD Controller",
                    "_items": [{"_name": "APPLE SSD AP1024Z", "bsd_name": "disk0"}],
                }
            ],
        ),
        "system_profiler -json SPNetworkDataType": profile(
            "SPNetworkDataType",
            [
                {
                    "_name": "Ethernet",
                    "interface": "en0",
                    "type": "Ethernet",
                    "IPv4": {"ConfigMethod": "DHCP"},
                },
                {"_name": "Instrument", "interface": "en7", "IPv4": {"ConfigMethod": "Manual"}},
                {
                    "_name": "Wi-Fi",
                    "hardware": "AirPort",
                    "interface": "en1",
                    "IPv4": {"ConfigMethod": "DHCP"},
                },
            ],
        ),
        "ifconfig -a -m": _DESKTOP_IFCONFIG,
        "pmset -g custom": (
            "AC Power:\n Sleep On Power Button 1\n lowpowermode         0\n standby              0\n"
            " ttyskeepawake        1\n powernap             0\n displaysleep         10\n"
            " womp                 1\n networkoversleep     0\n sleep                0\n"
            " tcpkeepalive         1\n autorestart          1\n"
            " disksleep            10\n"
        ),
        "pmset -g": (
            "System-wide power settings:\nCurrently in use:\n standby              0\n"
            " sleep                0 (sleep prevented by powerd)\n displaysleep         10\n"
        ),
        "pmset -g batt": "Now drawing from 'AC Power'\n",
        "mount": (
            "/dev/disk3s1s1 on / (apfs, sealed, local, read-only, journaled)\n"
            "devfs on /dev (devfs, local, nobrowse)\n"
            "/dev/disk3s6 on /System/Volumes/VM (apfs, local, noexec, journaled, noatime, nobrowse)\n"
            "/dev/disk3s5 on /System/Volumes/Data (apfs, local, journaled, nobrowse, protect, root data)\n"
            "map auto_home on /System/Volumes/Data/home (autofs, automounted, nobrowse)\n"
            "/dev/disk3s7 on /Volumes/Runs (apfs, local, journaled)\n"
            "/dev/disk4s1 on /Volumes/STICK on a (bench) (exfat, local, nodev, nosuid, noowners)\n"
            "//lab@files.example/raw on /Volumes/raw (smbfs, nodev, nosuid, mounted by alex)\n"
        ),
        "diskutil apfs list -plist": plist(
            {
                "Containers": [
                    container("disk3", "disk0s2", {"disk3s1": False, "disk3s5": False, "disk3s7": True})
                ]
            }
        ),
        "diskutil list -plist": plist(
            {
                "AllDisksAndPartitions": [
                    {"DeviceIdentifier": "disk0", "Partitions": [{"DeviceIdentifier": "disk0s2"}]},
                    {"DeviceIdentifier": "disk3", "APFSPhysicalStores": [{"DeviceIdentifier": "disk0s2"}]},
                    {"DeviceIdentifier": "disk4", "Partitions": [{"DeviceIdentifier": "disk4s1"}]},
                    {"DeviceIdentifier": "disk5", "Partitions": []},
                ]
            }
        ),
        "diskutil info -plist disk0": disk(
            "disk0",
            1000555581440,
            BusProtocol="Apple Fabric",
            Internal=True,
            MediaName="APPLE SSD AP1024Z",
            SolidState=True,
        ),
        "diskutil info -plist disk4": disk(
            "disk4", 64023257088, BusProtocol="USB", Internal=False, MediaName="Stick", SolidState=False
        ),
        "diskutil info -plist disk5": plist(
            {"DeviceIdentifier": "disk5", "BusProtocol": "Disk Image", "VirtualOrPhysical": "Virtual"}
        ),
        "fdesetup status": "FileVault is Off.\n",
        "defaults export NSGlobalDomain -": plist(
            {"AppleLanguages": ["en-GB", "de-DE"], "AppleLocale": "en_GB"}
        ),
        "osascript": ".\n",
    },
    files={
        _NOTES: plist(
            {
                "Interfaces": [
                    note(
                        "en0",
                        "02:00:5e:00:53:01",
                        f"{_ARM}/apcie@10/pci-bridge2@2/lan@0/AppleEthernetAquantia/en0",
                    ),
                    note(
                        "en1",
                        "02:00:5e:00:53:99",
                        f"{_ARM}/apcie@10/wlan@0/AppleBCMWLANCore/en1",
                        "IEEE80211",
                    ),
                    note("en2", "02:00:5e:00:53:0b", _THUNDERBOLT),
                    note("en5", "02:00:5e:00:53:0c", f"{_ARM}/usb-drd1@2280000/AppleUSBDeviceNCMData/en5"),
                    note("en7", "02:00:5e:00:53:0d", f"{_ARM}/usb-drd2/AppleT8132USBXHCI@02/USB LAN@02/en7"),
                    note("en9", "02:00:5e:00:53:77", f"{_ARM}/usb-drd2/AppleT8132USBXHCI@02/USB LAN@03/en9"),
                    note("bridge0", "02:00:5e:00:53:0e", "", "Bridge"),
                ]
            }
        ),
        _UPDATES: plist({"AutomaticallyInstallMacOSUpdates": False, "CriticalUpdateInstall": False}),
        _XPROTECT: plist({"CFBundleShortVersionString": "5300"}),
        "/Applications/Acquire.app/Contents/Info.plist": plist(
            {"CFBundleName": "Acquire", "CFBundleShortVersionString": "4.2.1"}
        ),
        "/Applications/Suite/Plot.app/Contents/Info.plist": plist({"CFBundleDisplayName": "Plot"}),
        "/Applications/Gone.app/Contents/leftover": "x",
        "/System/Applications/Notes.app/Contents/Info.plist": plist(
            {"CFBundleName": "Notes", "CFBundleShortVersionString": "4.12"}
        ),
        "/Library/Java/JavaVirtualMachines/jdk-21.jdk/Contents/Info.plist": plist(
            {"JavaVM": {"JVMVersion": "21.0.7"}}
        ),
        "/Library/Frameworks/Python.framework/Versions/3.13/Resources/Info.plist": plist(
            {"CFBundleShortVersionString": "3.13.5, (c) 2001-2025 Python Software Foundation."}
        ),
        "/Library/Frameworks/Python.framework/Versions/Current/Resources/Info.plist": plist({}),
        "/usr/local/share/dotnet/shared/Microsoft.NETCore.App/8.0.17/a": "x",
    },
    links={"/etc/localtime": "/var/db/timezone/zoneinfo/Europe/London"},
    console="alex",
    spaces={
        "/": Space(994662584320, 402653184000, 592009400320),
        "/Volumes/Runs": Space(994662584320, 402653184000, 592009400320),
        "/Volumes/raw": Space(10**12, 10**11, 9 * 10**11),
        "/Volumes/STICK on a (bench)": Space(64013402112, 32006701056, 32006701056),
    },
)
"""An Apple silicon desktop with macOS 15, fit to control an instrument."""

_NOTEBOOK_SYSCTL: Final = """\
kern.osproductversion: 13.7.6
kern.hv_vmm_present: 0
hw.model: MacBookPro15,1
hw.machine: x86_64
hw.memsize: 34359738368
hw.packages: 1
hw.physicalcpu: 6
hw.logicalcpu: 12
hw.optional.avx2_0: 1
sysctl.proc_translated: 0
machdep.cpu.brand_string: Intel(R) Core(TM) i7-9750H CPU @ 2.60GHz
machdep.cpu.vendor: GenuineIntel
machdep.cpu.features: FPU VME DE PSE TSC MSR PAE MCE CX8 APIC SEP MTRR PGE MCA CMOV PAT PSE36 CLFSH DS ACPI \
MMX FXSR SSE SSE2 SS HTT TM PBE SSE3 PCLMULQDQ DTES64 MON DSCPL VMX EST TM2 SSSE3 FMA CX16 TPR PDCM SSE4.1 \
SSE4.2 x2APIC MOVBE POPCNT AES PCID XSAVE OSXSAVE SEGLIM64 TSCTMR AVX1.0 RDRAND F16C
machdep.cpu.leaf7_features: RDWRFSGS TSC_THREAD_OFFSET SGX BMI1 AVX2 SMEP BMI2 ERMS INVPCID FPU_CSDS MPX \
RDSEED ADX SMAP CLFSOPT IPT SGXLC MDCLEAR IBRS STIBP L1DF ACAPMSR SSBD
machdep.cpu.extfeatures: SYSCALL XD 1GBPAGE EM64T LAHF LZCNT PREFETCHW RDTSCP TSCI
"""

_INTEL: Final = "IOService:/AppleACPIPlatformExpert/PCI0@0/AppleACPIPCI"

NOTEBOOK: Final = Mac(
    commands={
        **_ALWAYS,
        "sysctl": _NOTEBOOK_SYSCTL,
        "sw_vers": "ProductName:\t\tmacOS\nProductVersion:\t\t13.7.6\nBuildVersion:\t\t22H625\n",
        "scutil --get HostName": "bench-book.lab.example\n",
        "ioreg": expert("C0BENCH0002", "MacBookPro15,1"),
        "system_profiler -json SPHardwareDataType": profile(
            "SPHardwareDataType",
            [
                {
                    "_name": "hardware_overview",
                    "boot_rom_version": "2069.40.2.0.0 (iBridge: 22.16.14248.0.0,0)",
                    "cpu_type": "6-Core Intel Core i7",
                    "machine_model": "MacBookPro15,1",
                    "machine_name": "MacBook Pro",
                    "number_processors": 6,
                    "packages": 1,
                    "serial_number": "C0BENCH0002",
                }
            ],
        ),
        "system_profiler -json SPMemoryDataType": profile(
            "SPMemoryDataType",
            [
                {
                    "_name": "global_name",
                    "_items": [
                        {
                            "_name": f"BANK {bank}/ChannelA-DIMM0",
                            "dimm_size": "16 GB",
                            "dimm_speed": "2400 MHz",
                            "dimm_status": "ok",
                            "dimm_type": "DDR4",
                        }
                        for bank in (0, 2)
                    ],
                    "global_ecc_state": "ecc_disabled",
                    "is_memory_upgradeable": "No",
                }
            ],
        ),
        "system_profiler -json SPDisplaysDataType": profile(
            "SPDisplaysDataType",
            [
                {"_name": "kHW_IntelUHDGraphics630Item", "sppci_model": "Intel UHD Graphics 630"},
                {
                    "_name": "kHW_SecondItem",
                    "spdisplays_vram": "4 GB",
                    "sppci_model": "Second Graphics 560",
                    "spdisplays_ndrvs": [
                        {
                            "_name": "Color LCD",
                            "_spdisplays_pixels": "3840 x 2400",
                            "_spdisplays_resolution": "1920 x 1200 @ 59.99Hz",
                            "spdisplays_connection_type": "spdisplays_internal",
                            "spdisplays_depth": "CGSThirtytwoBitColor",
                            "spdisplays_display_type": "spdisplays_built-in_retinaLCD",
                            "spdisplays_main": "spdisplays_yes",
                            "spdisplays_online": "spdisplays_yes",
                            "spdisplays_pixelresolution": "spdisplays_2880x1800Retina",
                        }
                    ],
                },
            ],
        ),
        "system_profiler -json SPNVMeDataType": profile(
            "SPNVMeDataType",
            [{"_name": "c", "_items": [{"_name": "APPLE SSD AP0512M", "bsd_name": "disk0"}]}],
        ),
        "system_profiler -json SPNetworkDataType": profile(
            "SPNetworkDataType",
            [{"_name": "Wi-Fi", "interface": "en0", "IPv4": {"ConfigMethod": "DHCP"}}],
        ),
        "ifconfig -a -m": (
            _LOOPBACK + "en0: flags=8863<UP,BROADCAST,SMART,RUNNING,SIMPLEX,MULTICAST> mtu 1500\n"
            "\tether 02:00:5e:00:53:21\n\tinet 192.0.2.31 netmask 0xffffff00 broadcast 192.0.2.255\n"
            "\tmedia: autoselect\n\tstatus: active\n\tsupported media:\n\t\tmedia autoselect\n"
        ),
        "pmset -g custom": (
            "Battery Power:\n lidwake              1\n lowpowermode         1\n standbydelayhigh     86400\n"
            " standbydelaylow      10800\n standby              1\n displaysleep         2\n"
            " sleep                1\n"
            " hibernatemode        3\n hibernatefile        /var/vm/sleepimage\n disksleep            10\n"
            "AC Power:\n lidwake              1\n lowpowermode         0\n standby              1\n"
            " displaysleep         0\n sleep                30\n hibernatemode        3\n"
            " hibernatefile        /var/vm/sleepimage\n disksleep            0\n"
        ),
        "pmset -g": "System-wide power settings:\n SleepDisabled\t\t0\nCurrently in use:\n sleep   30\n",
        "pmset -g batt": (
            "Now drawing from 'Battery Power'\n -InternalBattery-0 (id=5308515)\t43%; discharging; "
            "(no estimate) present: true\n"
        ),
        "mount": (
            "/dev/disk1s5s1 on / (apfs, sealed, local, read-only, journaled)\n"
            "/dev/disk1s1 on /System/Volumes/Data (apfs, local, journaled, nobrowse)\n"
        ),
        "diskutil apfs list -plist": plist(
            {"Containers": [container("disk1", "disk0s2", {"disk1s5": True, "disk1s1": True})]}
        ),
        "diskutil list -plist": plist({"AllDisksAndPartitions": [{"DeviceIdentifier": "disk0"}]}),
        "diskutil info -plist disk0": disk(
            "disk0",
            500277790720,
            BusProtocol="PCI-Express",
            Internal=True,
            MediaName="APPLE SSD AP0512M",
            SolidState=True,
        ),
        "fdesetup status": "FileVault is On.\n",
        "defaults export NSGlobalDomain -": plist(
            {
                "AppleLanguages": ["de-DE"],
                "AppleLocale": "de_DE",
                "AppleICUNumberSymbols": {"0": ",", "1": "."},
            }
        ),
        "osascript": ",\n",
    },
    files={
        _NOTES: plist(
            {"Interfaces": [note("en0", "02:00:5e:00:53:21", f"{_INTEL}/ARPT@0/en0", "IEEE80211")]}
        ),
        _UPDATES: plist({"AutomaticallyInstallMacOSUpdates": True}),
        "/Applications/Acquire.app/Contents/Info.plist": plist({"CFBundleName": "Acquire"}),
    },
    links={"/etc/localtime": "/var/db/timezone/zoneinfo/Europe/Berlin"},
    console="alex",
    spaces={"/": Space(499963174912, 104857600000, 395105574912)},
)
"""An Intel notebook with macOS 13, on battery, FileVault on, German formats."""

_GUEST_SYSCTL: Final = """\
kern.osproductversion: 15.1
kern.hv_vmm_present: 1
hw.model: VirtualMac2,1
hw.machine: arm64
hw.memsize: 4294967296
hw.memsize_usable: 4204085248
hw.packages: 1
hw.physicalcpu: 2
hw.logicalcpu: 2
hw.optional.arm64: 1
hw.optional.AdvSIMD: 1
sysctl.proc_translated: 0
machdep.cpu.brand_string: Apple M4 Max (Virtual)
"""

GUEST: Final = DESKTOP._replace(
    commands={
        **DESKTOP.commands,
        "sysctl": _GUEST_SYSCTL,
        "sw_vers": "ProductName:\t\tmacOS\nProductVersion:\t\t15.1\nBuildVersion:\t\t24B83\n",
        "ioreg": expert("ZGUEST00003", "VirtualMac2,1"),
        "system_profiler -json SPHardwareDataType": profile(
            "SPHardwareDataType",
            [
                {
                    "_name": "hardware_overview",
                    "boot_rom_version": "mBoot-18000.120.36",
                    "chip_type": "Apple M4 Max (Virtual)",
                    "machine_model": "VirtualMac2,1",
                    "machine_name": "Apple Virtual Machine 1",
                    "number_processors": 2,
                }
            ],
        ),
        "system_profiler -json SPNVMeDataType": profile("SPNVMeDataType", []),
        "ifconfig -a -m": (
            _LOOPBACK + "en0: flags=8863<UP,BROADCAST,SMART,RUNNING,SIMPLEX,MULTICAST> mtu 1500\n"
            "\tether 02:00:5e:00:53:41\n\tinet 192.168.64.7 netmask 0xffffff00 broadcast 192.168.64.255\n"
            "\tmedia: autoselect\n\tstatus: active\n"
        ),
        "diskutil info -plist disk0": disk(
            "disk0",
            68719476736,
            BusProtocol="SATA",
            Internal=True,
            MediaName="VirtIO Block Media",
            SolidState=True,
        ),
        "mount": "/dev/disk3s1s1 on / (apfs, sealed, local, read-only, journaled)\n",
    },
    files={
        **DESKTOP.files,
        _NOTES: plist(
            {
                "Interfaces": [
                    note("en0", "02:00:5e:00:53:41", "IOService:/AppleARMPE/pci/AppleVirtIONetwork/en0")
                ]
            }
        ),
    },
)
"""A virtual machine on Apple silicon."""

_BROKEN_PLIST: Final = b'<?xml version="1.0"?><plist version="1.0"><dict><key>Containers</key><arr'

HOSTILE: Final = Mac(
    commands={
        "sysctl": ToolError(
            "/usr/sbin/sysctl failed (status 1)", b"\xff\xfe\x00hw.memsize: -1\nhw.packages: 0\nhw"
        ),
        "sw_vers": "Produktname: macOS\n",
        "scutil": "No such key\n",
        "ioreg": _BROKEN_PLIST,
        "system_profiler": '{"SPHardwareDataType": [[], 7, null], "SPDisplaysDataType": {"a": ',
        "ifconfig": "en0: Merkmale=8863<AKTIV> MTU 1500\n",
        "netstat": "Vorgabe 192.0.2.1 UGScg en0\n",
        "pmset": "Netzbetrieb:\n Ruhezustand 0\n sleep 99999999999999999\n",
        "mount": "/dev/disk3s1s1 auf / (apfs)\n/dev/disk3s1s1 on / (apfs, sealed)\n",
        "diskutil": _BROKEN_PLIST,
        "fdesetup": "FileVault ist aktiviert.\n",
        "defaults": plist({"AppleLanguages": "de", "AppleLocale": 7}),
        "osascript": ToolError("/usr/bin/osascript gave no answer in time"),
        "dscl": ToolError("/usr/bin/dscl gave no answer in time"),
        "launchctl": b"\x00\xff" * 100,
        "profiles": PermissionError(1, "Operation not permitted"),
    },
    files={
        _NOTES: b"bplist00\xff",
        _UPDATES: PermissionError(13, "Permission denied"),
        "/Applications/x": "x",
    },
    links={"/etc/localtime": "/private/somewhere"},
    console="alex",
    spaces={},
)
"""A Mac whose utilities are missing, hang, speak German or print rubbish."""
