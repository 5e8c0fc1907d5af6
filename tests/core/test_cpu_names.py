"""Processor series and generation from the model string."""

from __future__ import annotations

import time
import tomllib
from copy import deepcopy
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import given, strategies as st

from pcaudit.core import cpu_names
from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.snapshot import Form, Observation, absent, known, unknown, value_problem
from pcaudit.errors import MistakesError

DATA: Final = tomllib.loads((files("pcaudit.knowledge") / "cpu.toml").read_text(encoding="utf-8"))
TABLE: Final = cpu_names.read(DATA)
NONE: Final = "none"  # the maker numbers no generations


def _reading(model: str) -> cpu_names.Get:
    return lambda _name: known(model, "a test")


def _series(model: str) -> Observation:
    return cpu_names.series(_reading(model), TABLE)


def _generation(model: str) -> Observation:
    return cpu_names.generation(_reading(model), TABLE)


# Rules: Intel, About Intel Processor Numbers; AMD processor naming guides; Intel IT Peer Network,
# New Xeon Processor Numbering, 2011 (no version is the first). Strings as /proc/cpuinfo and
# Windows print them: from memory.
INTEL_CORE: Final = [
    ("Intel(R) Core(TM) i5 CPU         750  @ 2.67GHz", "core i5", 1),
    ("Intel(R) Core(TM) i7 CPU         860  @ 2.80GHz", "core i7", 1),
    ("Intel(R) Core(TM) i7 CPU         920  @ 2.67GHz", "core i7", 1),
    ("Intel(R) Core(TM) i5 CPU       M 520  @ 2.40GHz", "core i5", 1),
    ("Intel(R) Core(TM) i7 CPU       Q 720  @ 1.60GHz", "core i7", 1),
    ("Intel(R) Core(TM) i7 CPU       X 980  @ 3.33GHz", "core i7", 1),
    ("Intel(R) Core(TM) i3 CPU       M 370  @ 2.40GHz", "core i3", 1),
    ("Intel(R) Core(TM) i5 CPU       U 470  @ 1.33GHz", "core i5", 1),
    ("Intel Core i5-750", "core i5", 1),
    ("Intel Core i7-620LM", "core i7", 1),
    ("Intel(R) Core(TM) i3-2100 CPU @ 3.10GHz", "core i3", 2),
    ("Intel(R) Core(TM) i5-2500K CPU @ 3.30GHz", "core i5", 2),
    ("Intel(R) Core(TM) i7-2620M CPU @ 2.70GHz", "core i7", 2),
    ("Intel(R) Core(TM) i7-2670QM CPU @ 2.20GHz", "core i7", 2),
    ("Intel(R) Core(TM) i7-2920XM CPU @ 2.50GHz", "core i7", 2),
    ("Intel(R) Core(TM) i7-3770 CPU @ 3.40GHz", "core i7", 3),
    ("Intel(R) Core(TM) i7-3820QM CPU @ 2.70GHz", "core i7", 3),
    ("Intel(R) Core(TM) i5-3317U CPU @ 1.70GHz", "core i5", 3),
    ("Intel(R) Core(TM) i7-3517UE CPU @ 1.70GHz", "core i7", 3),
    ("Intel(R) Core(TM) i5-4590 CPU @ 3.30GHz", "core i5", 4),
    ("Intel(R) Core(TM) i7-4790K CPU @ 4.00GHz", "core i7", 4),
    ("Intel(R) Core(TM) i7-4930MX CPU @ 3.00GHz", "core i7", 4),
    ("Intel(R) Core(TM) i5-4302Y CPU @ 1.60GHz", "core i5", 4),
    ("Intel(R) Core(TM) i7-5775C CPU @ 3.30GHz", "core i7", 5),
    ("Intel(R) Core(TM) i5-5300U CPU @ 2.30GHz", "core i5", 5),
    ("Intel(R) Core(TM) i5-5675R CPU @ 3.10GHz", "core i5", 5),
    ("Intel(R) Core(TM) i7-6700K CPU @ 4.00GHz", "core i7", 6),
    ("Intel(R) Core(TM) i5-6500TE CPU @ 2.30GHz", "core i5", 6),
    ("Intel(R) Core(TM) i7-6820EQ CPU @ 2.80GHz", "core i7", 6),
    ("Intel(R) Core(TM) i5-7500 CPU @ 3.40GHz", "core i5", 7),  # check value
    ("Intel(R) Core(TM) i7-7700HQ CPU @ 2.80GHz", "core i7", 7),
    ("Intel(R) Core(TM) i5-7Y54 CPU @ 1.20GHz", "core i5", 7),
    ("Intel(R) Core(TM) i5-8250U CPU @ 1.60GHz", "core i5", 8),
    ("Intel(R) Core(TM) i7-8650U CPU @ 1.90GHz", "core i7", 8),
    ("Intel(R) Core(TM) i7-8086K CPU @ 4.00GHz", "core i7", 8),
    ("Intel(R) Core(TM) i3-8121U CPU @ 2.20GHz", "core i3", 8),
    ("Intel(R) Core(TM) i7-8809G CPU @ 3.10GHz", "core i7", 8),
    ("Intel(R) Core(TM) i9-8950HK CPU @ 2.90GHz", "core i9", 8),
    ("Intel(R) Core(TM) i5-9400F CPU @ 2.90GHz", "core i5", 9),
    ("Intel(R) Core(TM) i9-9900KS CPU @ 4.00GHz", "core i9", 9),
    ("Intel(R) Core(TM) i7-9750H CPU @ 2.60GHz", "core i7", 9),
    ("Intel(R) Core(TM) i7-1065G7 CPU @ 1.30GHz", "core i7", 10),  # check value
    ("Intel(R) Core(TM) i5-1035G1 CPU @ 1.00GHz", "core i5", 10),
    ("Intel(R) Core(TM) i5-1038NG7 CPU @ 2.00GHz", "core i5", 10),
    ("Intel(R) Core(TM) i5-10210U CPU @ 1.60GHz", "core i5", 10),
    ("Intel(R) Core(TM) i5-10500 CPU @ 3.10GHz", "core i5", 10),
    ("Intel(R) Core(TM) i3-10110Y CPU @ 1.00GHz", "core i3", 10),
    ("Intel(R) Core(TM) i9-10980HK CPU @ 2.40GHz", "core i9", 10),
    ("11th Gen Intel(R) Core(TM) i5-1135G7 @ 2.40GHz", "core i5", 11),  # check value
    ("11th Gen Intel(R) Core(TM) i7-1185GRE @ 2.80GHz", "core i7", 11),
    ("11th Gen Intel(R) Core(TM) i3-1115G4E @ 3.00GHz", "core i3", 11),
    ("11th Gen Intel(R) Core(TM) i7-11700K @ 3.60GHz", "core i7", 11),
    ("11th Gen Intel(R) Core(TM) i9-11900KB @ 3.30GHz", "core i9", 11),
    ("12th Gen Intel(R) Core(TM) i5-1235U", "core i5", 12),
    ("12th Gen Intel(R) Core(TM) i7-1260P", "core i7", 12),
    ("12th Gen Intel(R) Core(TM) i5-12500", "core i5", 12),
    ("12th Gen Intel(R) Core(TM) i9-12900HX", "core i9", 12),
    ("12th Gen Intel(R) Core(TM) i3-12300HL", "core i3", 12),
    ("13th Gen Intel(R) Core(TM) i7-1355U", "core i7", 13),
    ("13th Gen Intel(R) Core(TM) i7-1370PRE", "core i7", 13),
    ("13th Gen Intel(R) Core(TM) i5-13600KF", "core i5", 13),
    ("13th Gen Intel(R) Core(TM) i7-13800HRE", "core i7", 13),
    ("Intel(R) Core(TM) i9-14900K", "core i9", 14),  # check value
    ("Intel(R) Core(TM) i7-14650HX", "core i7", 14),
    ("Intel(R) Core(TM) i3-14100T", "core i3", 14),
    ("Intel(R) Core(TM) i7-3930K CPU @ 3.20GHz", "core i7", None),
    ("Intel(R) Core(TM) i7-3820 CPU @ 3.60GHz", "core i7", None),
    ("Intel(R) Core(TM) i7-5820K CPU @ 3.30GHz", "core i7", None),
    ("Intel(R) Core(TM) i9-7980XE CPU @ 2.60GHz", "core i9", None),
    ("Intel(R) Core(TM) i9-10900X CPU @ 3.70GHz", "core i9", None),
    ("Intel(R) Core(TM) i5-L16G7 CPU @ 1.40GHz", "core i5", None),
    ("Intel(R) Core(TM) M-5Y10c CPU @ 0.80GHz", "core m", 5),
    ("Intel(R) Core(TM) m3-6Y30 CPU @ 0.90GHz", "core m3", 6),
    ("Intel(R) Core(TM) m3-7Y32 CPU @ 1.10GHz", "core m3", 7),
    ("Intel(R) Core(TM) m3-8100Y CPU @ 1.10GHz", "core m3", 8),
    ("Intel(R) Core(TM) 7 150U", "core 7", 1),
    ("Intel(R) Core(TM) 5 120U", "core 5", 1),
    ("Intel(R) Core(TM) 5 210H", "core 5", 2),
    ("Intel(R) Core(TM) Ultra 7 155H", "core ultra 7", 1),  # check value
    ("Intel(R) Core(TM) Ultra 5 125U", "core ultra 5", 1),
    ("Intel(R) Core(TM) Ultra 9 285K", "core ultra 9", 2),  # check value
    ("Intel(R) Core(TM) Ultra 7 258V", "core ultra 7", 2),
    ("Intel(R) Core(TM) Ultra 5 225", "core ultra 5", 2),
    ("Intel(R) Core(TM) Ultra 9 275HX", "core ultra 9", 2),
]
INTEL_SMALL: Final = [
    ("Intel(R) N100", "intel n", NONE),  # check value
    ("Intel(R) Processor N97", "intel n", NONE),
    ("Intel(R) N150", "intel n", NONE),
    ("Intel(R) Core(TM) i3-N305", "intel n", NONE),  # check value
    ("Intel(R) Core(TM) 3 N355", "intel n", NONE),
    ("Intel(R) Pentium(R) CPU G4560 @ 3.50GHz", "pentium", None),
    ("Intel(R) Pentium(R) Gold G5400 CPU @ 3.70GHz", "pentium", None),
    ("Intel(R) Pentium(R) Silver N6000 @ 1.10GHz", "pentium", None),
    ("Intel(R) Celeron(R) J4125 CPU @ 2.00GHz", "celeron", None),
    ("Intel(R) Celeron(R) CPU 3865U @ 1.80GHz", "celeron", None),
    ("Intel(R) Celeron(R) N4020 CPU @ 1.10GHz", "celeron", None),
    ("Intel(R) Atom(TM) CPU  E3845  @ 1.91GHz", "atom", None),
    ("Intel Atom(R) x6425E Processor @ 2.00GHz", "atom", None),
    ("Intel(R) Atom(TM) x7-Z8750  CPU @ 1.60GHz", "atom", None),
]
INTEL_XEON: Final = [
    ("Intel(R) Xeon(R) CPU E31230 @ 3.20GHz", "xeon e3", 1),
    ("Intel(R) Xeon(R) CPU E3-1230 V2 @ 3.30GHz", "xeon e3", 2),
    ("Intel(R) Xeon(R) CPU E3-1505M v5 @ 2.80GHz", "xeon e3", 5),
    ("Intel(R) Xeon(R) CPU E3-1275 v6 @ 3.80GHz", "xeon e3", 6),
    ("Intel(R) Xeon(R) CPU E5-2670 0 @ 2.60GHz", "xeon e5", 1),
    ("Intel(R) Xeon(R) CPU E5-1650 v2 @ 3.50GHz", "xeon e5", 2),
    ("Intel(R) Xeon(R) CPU E5-2687W v3 @ 3.10GHz", "xeon e5", 3),
    ("Intel(R) Xeon(R) CPU E5-2680 v4 @ 2.40GHz", "xeon e5", 4),  # check value
    ("Intel(R) Xeon(R) CPU E7- 4870  @ 2.40GHz", "xeon e7", 1),
    ("Intel(R) Xeon(R) CPU E7-8890 v4 @ 2.20GHz", "xeon e7", 4),
    ("Intel(R) Xeon(R) E-2176M  CPU @ 2.70GHz", "xeon e", None),
    ("Intel(R) Xeon(R) E-2388G CPU @ 3.20GHz", "xeon e", None),
    ("Intel(R) Xeon(R) W-2295 CPU @ 3.00GHz", "xeon w", None),
    ("Intel(R) Xeon(R) W-10855M CPU @ 2.80GHz", "xeon w", None),
    ("Intel(R) Xeon(R) w5-3425", "xeon w", None),
    ("Intel(R) Xeon(R) CPU D-1541 @ 2.10GHz", "xeon d", None),
    ("Intel(R) Xeon(R) D-2146NT CPU @ 2.30GHz", "xeon d", None),
    ("Intel(R) Xeon(R) Bronze 3106 CPU @ 1.70GHz", "xeon bronze", 1),
    ("Intel(R) Xeon(R) Bronze 3408U", "xeon bronze", 4),
    ("Intel(R) Xeon(R) Silver 4116 CPU @ 2.10GHz", "xeon silver", 1),
    ("Intel(R) Xeon(R) Silver 4210R CPU @ 2.40GHz", "xeon silver", 2),
    ("Intel(R) Xeon(R) Silver 4314 CPU @ 2.40GHz", "xeon silver", 3),
    ("INTEL(R) XEON(R) SILVER 4514Y", "xeon silver", 5),
    ("Intel(R) Xeon(R) Gold 6138 CPU @ 2.00GHz", "xeon gold", 1),
    ("Intel(R) Xeon(R) Gold 6230 CPU @ 2.10GHz", "xeon gold", 2),  # check value
    ("Intel(R) Xeon(R) Gold 6338 CPU @ 2.00GHz", "xeon gold", 3),  # check value
    ("Intel(R) Xeon(R) Gold 6438Y+", "xeon gold", 4),
    ("INTEL(R) XEON(R) GOLD 6530", "xeon gold", 5),
    ("Intel(R) Xeon(R) Platinum 8171M CPU @ 2.60GHz", "xeon platinum", 1),
    ("Intel(R) Xeon(R) Platinum 8272CL CPU @ 2.60GHz", "xeon platinum", 2),
    ("Intel(R) Xeon(R) Platinum 9242 CPU @ 2.30GHz", "xeon platinum", 2),
    ("Intel(R) Xeon(R) Platinum 8380HL CPU @ 2.90GHz", "xeon platinum", 3),
    ("Intel(R) Xeon(R) Platinum 8480+", "xeon platinum", 4),  # check value
    ("INTEL(R) XEON(R) PLATINUM 8592+", "xeon platinum", 5),
    ("Intel(R) Xeon(R) CPU Max 9480", "xeon max", 4),
    ("Intel(R) Xeon(R) 6980P", "xeon 6", 6),
    ("Intel(R) Xeon(R) 6780E", "xeon 6", 6),
]
AMD: Final = [
    ("AMD Ryzen 7 1700 Eight-Core Processor", "ryzen 7", 1),
    ("AMD Ryzen 5 1600 Six-Core Processor", "ryzen 5", 1),
    ("AMD Ryzen 5 2500U with Radeon Vega Mobile Gfx", "ryzen 5", 2),
    ("AMD Ryzen 3 PRO 2200G with Radeon Vega Graphics", "ryzen 3", 2),
    ("AMD Ryzen 5 3600 6-Core Processor", "ryzen 5", 3),
    ("AMD Ryzen 5 3400G with Radeon Vega Graphics", "ryzen 5", 3),
    ("AMD Ryzen 9 3950X 16-Core Processor", "ryzen 9", 3),
    ("AMD Ryzen 5 PRO 4650U with Radeon Graphics", "ryzen 5", 4),
    ("AMD Ryzen 7 PRO 4750GE with Radeon Graphics", "ryzen 7", 4),
    ("AMD Ryzen 5 5600X 6-Core Processor", "ryzen 5", 5),  # check value: series 5000
    ("AMD Ryzen 5 5500U with Radeon Graphics", "ryzen 5", 5),  # check value: series, not design
    ("AMD Ryzen 7 5800X3D 8-Core Processor", "ryzen 7", 5),
    ("AMD Ryzen 9 5980HS with Radeon Graphics", "ryzen 9", 5),
    ("AMD Ryzen 7 PRO 6850U with Radeon Graphics", "ryzen 7", 6),
    ("AMD Ryzen 5 7640U w/ Radeon 760M Graphics", "ryzen 5", 7),  # check value: 2023
    ("AMD Ryzen 5 7530U with Radeon Graphics", "ryzen 5", 7),  # check value: 2023
    ("AMD Ryzen 7 7840U w/ Radeon  780M Graphics", "ryzen 7", 7),
    ("AMD Ryzen 9 7945HX3D 16-Core Processor", "ryzen 9", 7),
    ("AMD Ryzen 5 7500F 6-Core Processor", "ryzen 5", 7),
    ("AMD Ryzen 7 8700G w/ Radeon 780M Graphics", "ryzen 7", 8),
    ("AMD Ryzen 7 PRO 8840HS w/ Radeon 780M Graphics", "ryzen 7", 8),
    ("AMD Ryzen 9 9950X3D 16-Core Processor", "ryzen 9", 9),
    ("AMD Ryzen 7 250 w/ Radeon 780M Graphics", "ryzen 7", None),
    ("AMD Ryzen Threadripper 1950X 16-Core Processor", "ryzen threadripper", 1),
    ("AMD Ryzen Threadripper 2990WX 32-Core Processor", "ryzen threadripper", 2),
    ("AMD Ryzen Threadripper 3970X 32-Core Processor", "ryzen threadripper", 3),
    ("AMD Ryzen Threadripper PRO 5995WX 64-Cores", "ryzen threadripper", 5),
    ("AMD Ryzen Threadripper 7980X 64-Cores", "ryzen threadripper", 7),
    ("AMD Ryzen Threadripper PRO 9995WX 96-Cores", "ryzen threadripper", 9),
    ("AMD Ryzen AI 9 HX 370 w/ Radeon 890M", "ryzen ai 9", 3),
    ("AMD Ryzen AI 7 PRO 360 w/ Radeon 880M", "ryzen ai 7", 3),
    ("AMD Ryzen AI 9 HX PRO 375 w/ Radeon 890M", "ryzen ai 9", 3),
    ("AMD RYZEN AI MAX+ 395 w/ Radeon 8060S", "ryzen ai max", 3),
    ("AMD RYZEN AI MAX+ PRO 395 w/ Radeon 8060S", "ryzen ai max", 3),
    ("AMD Ryzen Embedded V1605B with Radeon Vega Gfx", "ryzen embedded", None),
    ("AMD Ryzen Embedded V3C48", "ryzen embedded", None),
    ("AMD Athlon 200GE with Radeon Vega Graphics", "athlon", None),
    ("AMD Athlon Gold 3150U with Radeon Graphics", "athlon", None),
    ("AMD EPYC 7551P 32-Core Processor", "epyc", 1),
    ("AMD EPYC 7742 64-Core Processor", "epyc", 2),
    ("AMD EPYC 7H12 64-Core Processor", "epyc", 2),
    ("AMD EPYC 7F52 16-Core Processor", "epyc", 2),
    ("AMD EPYC 7763 64-Core Processor", "epyc", 3),  # check value
    ("AMD EPYC 75F3 32-Core Processor", "epyc", 3),
    ("AMD EPYC 7773X 64-Core Processor", "epyc", 3),
    ("AMD EPYC 9654 96-Core Processor", "epyc", 4),
    ("AMD EPYC 9684X 96-Core Processor", "epyc", 4),
    ("AMD EPYC 4564P 16-Core Processor", "epyc", 4),
    ("AMD EPYC 4584PX 16-Core Processor", "epyc", 4),
    ("AMD EPYC 8224PN 24-Core Processor", "epyc", 4),
    ("AMD EPYC 9575F 64-Core Processor", "epyc", 5),
    ("AMD EPYC 4545P 16-Core Processor", "epyc", 5),
]
APPLE: Final = [
    ("Apple M1", "apple m", 1),
    ("Apple M1 Ultra", "apple m", 1),
    ("Apple M2 Max", "apple m", 2),
    ("Apple M3 Pro", "apple m", 3),
    ("Apple M4", "apple m", 4),
    ("Apple M5", "apple m", 5),
]
MODELS: Final = INTEL_CORE + INTEL_SMALL + INTEL_XEON + AMD + APPLE

# Each of these resembles something in the table. From memory where such a model exists.
NOT_IN_THE_TABLE: Final = [
    # older than the table goes
    "Intel(R) Core(TM)2 Duo CPU     E8400  @ 3.00GHz",
    "Intel(R) Core(TM)2 Quad CPU    Q6600  @ 2.40GHz",
    "Intel(R) Pentium(R) 4 CPU 3.00GHz",
    "Intel(R) Pentium(R) Dual  CPU  E2180  @ 2.00GHz",
    "Intel(R) Xeon(R) CPU           X5650  @ 2.67GHz",
    "Intel(R) Xeon(R) CPU           E5405  @ 2.00GHz",
    "AMD Phenom(tm) II X6 1090T Processor",
    "AMD FX(tm)-8350 Eight-Core Processor",
    "AMD Athlon(tm) II X4 640 Processor",
    "AMD Athlon(tm) 64 X2 Dual Core Processor 4200+",
    "AMD A10-9700 RADEON R7, 10 COMPUTE CORES 4C+6G",
    "AMD Opteron(tm) Processor 6376",
    # virtual machines that hide their processor
    "QEMU Virtual CPU version 2.5+",
    "Common KVM processor",
    "Common 32-bit KVM processor",
    "AMD EPYC Processor",
    "AMD EPYC Processor (with IBPB)",
    "AMD EPYC-Milan Processor",
    "AMD EPYC",
    "Intel Xeon Processor (Skylake, IBRS)",
    "Intel Xeon Processor (Icelake)",
    "Intel Xeon E3-12xx v2 (Ivy Bridge)",
    "Intel Xeon E312xx (Sandy Bridge)",
    "Intel Core Processor (Haswell, no TSX)",
    "Intel Core i7 9xx (Nehalem Class Core i7)",
    "Intel(R) Xeon(R) CPU @ 2.20GHz",
    "Intel(R) Xeon(R) Processor @ 2.90GHz",
    "VirtualApple @ 2.50GHz",
    # engineering samples
    "Genuine Intel(R) 0000",
    "Genuine Intel(R) CPU 0000 @ 2.40GHz",
    "Genuine Intel(R) CPU  @ 2.00GHz",
    "AMD Eng Sample: 100-000000163_46/37_N",
    # made for one cloud, against the rule of the last digit
    "AMD EPYC 9V33X 96-Core Processor",
    # other makers
    "Snapdragon(R) X Elite - X1E80100 - Qualcomm(R) Oryon(TM) CPU",
    "Snapdragon(TM) 8cx Gen 2 @ 3.15 GHz",
    "Cortex-A72",
    "Hygon C86 7285 32-core Processor",
    "VIA Nano X2 U4025 @ 1.2 GHz",
    "Apple A18 Pro",
    # the words without a number, and parts of numbers
    "Intel(R) Core(TM) i5",
    "Intel(R) Core(TM) i5 CPU",
    "Intel(R) Core(TM) i5-",
    "Intel(R) Core(TM) i5-75000",
    "Intel(R) Core(TM) i5-7500Q",
    "Intel(R) Core(TM) i5-0500",
    "Intel(R) Core(TM) i5-1000",
    "Intel(R) Core(TM) i4-7500",
    "Intel(R) Core(TM) i7-1165",
    "Intel(R) Core(TM) i5-7500, Intel(R) Core(TM) i5-7500",
    "i5-7500",
    "XIntel(R) Core(TM) i5-7500",
    "Ryzen 5 3600",
    "AMD Ryzen 5 36000",
    "AMD Ryzen 5 0600",
    "AMD Ryzen 9 1950X",
    "AMD Ryzen Threadripper 6970X 32-Cores",
    "AMD EPYC 7766 64-Core Processor",
    "AMD EPYC 7264F",
    "Apple M",
    "Apple M0",
    "",
    " ",
    "@ 2.40GHz",
]
# Made up: what may come, or may not.
FUTURE: Final = [
    "15th Gen Intel(R) Core(TM) i5-15500",
    "Intel(R) Core(TM) i5-15500",
    "Intel(R) Core(TM) i7-1465U",
    "Intel(R) Core(TM) i3-N405",
    "Intel(R) N400",
    "Intel(R) Core(TM) Ultra 7 455H",
    "Intel(R) Core(TM) Ultra 11 285K",
    "Intel(R) Core(TM) 7 450U",
    "Intel(R) Xeon(R) CPU E5-2680 v5 @ 2.40GHz",
    "Intel(R) Xeon(R) Gold 6738",
    "Intel(R) Xeon(R) 7980P",
    "AMD Ryzen 5 10600X 6-Core Processor",
    "AMD Ryzen 7 350",
    "AMD Ryzen AI 9 HX 570",
    "AMD EPYC 9656 96-Core Processor",
    "AMD EPYC 9657 96-Core Processor",
    "Apple M6",
    "Apple M12 Pro",
    "Apple M4 Extreme",
]


@pytest.mark.parametrize(("model", "name", "number"), MODELS)
def test_real_models_have_their_series_and_generation(
    model: str, name: str, number: int | str | None
) -> None:
    """A model string as the system prints it gives the maker's series and generation."""
    assert _series(model) == known(name, f"a test, by the processor table of {TABLE.date}")
    generation = _generation(model)
    if number is None:
        assert generation.form is Form.UNKNOWN
        assert generation.why
    elif number == NONE:
        assert generation.form is Form.ABSENT
        assert "no generations" in generation.why
    else:
        assert (generation.form, generation.value) == (Form.KNOWN, number)


def test_every_pattern_is_needed_by_a_real_model() -> None:
    """Each pattern of the table is the one that decides for at least one model tested here."""
    used = {id(found.pattern) for model, _, _ in MODELS if (found := cpu_names._find(model, TABLE))}
    idle = [pattern.expression.pattern for pattern in TABLE.patterns if id(pattern) not in used]
    assert idle == []


PAGE: Final = Path(__file__).parents[2] / "docs" / "cpu-knowledge.md"


def test_every_series_stands_in_the_documentation() -> None:
    """Each series a model can have is spelt out on the page people write profiles by."""
    page = PAGE.read_text(encoding="utf-8")
    names = {name for _, name, _ in MODELS}
    assert {name for name in names if f"`{name}`" not in page} == set()


def test_the_documented_table_is_one() -> None:
    """The example of a table in the documentation is read, and knows what it shows."""
    example = PAGE.read_text(encoding="utf-8").split("```toml\n")[2].partition("```")[0]
    table = cpu_names.read(tomllib.loads(example))
    assert cpu_names.series(_reading("Intel(R) Xeon(R) Silver 4210R"), table).value == "xeon silver"
    assert cpu_names.generation(_reading("Intel(R) Xeon(R) Silver 4210R"), table).value == 2
    assert cpu_names.series(_reading("Intel(R) Xeon(R) Silver 4210Q"), table).form is Form.UNKNOWN


@pytest.mark.parametrize("model", [*NOT_IN_THE_TABLE, *FUTURE])
def test_what_is_not_in_the_table_is_unknown(model: str) -> None:
    """A model of a shape or number the table does not hold is unknown, and the reason quotes it."""
    for reading in (_series(model), _generation(model)):
        assert reading.form is Form.UNKNOWN
        assert "names no series this version knows" in reading.why
        assert repr(model)[:60] in reading.why


@pytest.mark.parametrize(
    "tidy",
    [
        str.upper,
        str.lower,
        lambda text: f"  {text}   ",
        lambda text: text.replace("(R)", "®").replace("(TM)", "™"),
        lambda text: text.replace("(R)", "").replace("(TM)", ""),
        lambda text: text.partition(" @")[0],
    ],
)
def test_spelling_does_not_matter(tidy: Any) -> None:
    """Case, spaces, the way trade marks are written and a missing clock change no answer."""
    for model, name, _ in MODELS:
        assert _series(tidy(model)).value == name
        assert _generation(tidy(model))[:2] == _generation(model)[:2]


def test_a_string_that_contradicts_itself_tells_no_generation() -> None:
    """Where "12th Gen" stands before a number of the 13th, neither is believed."""
    reading = _generation("12th Gen Intel(R) Core(TM) i5-13500")
    assert reading.form is Form.UNKNOWN
    assert "says generation 12, its number 13" in reading.why
    assert _series("12th Gen Intel(R) Core(TM) i5-13500").value == "core i5"


@pytest.mark.parametrize("model", [unknown("needs administrator rights"), absent("no processor")])
def test_an_unknown_model_hands_its_reason_on(model: Observation) -> None:
    """Where the model is not known, series and generation are unknown for the same reason."""
    for derive in (cpu_names.series, cpu_names.generation):
        assert derive(lambda _name: model, TABLE) == unknown(model.why)


def test_only_the_model_is_asked_for() -> None:
    """The derivation asks for cpu.model and nothing else."""
    asked = []

    def get(name: str) -> Observation:
        asked.append(name)
        return known("Apple M2", "sysctl machdep.cpu.brand_string")

    assert cpu_names.series(get, TABLE).source.startswith("sysctl machdep.cpu.brand_string, by the ")
    assert cpu_names.generation(get, TABLE).value == 2
    assert asked == ["cpu.model", "cpu.model"]


# Pieces of model strings in any order come far closer to the patterns than letters do.
PIECES: Final = sorted({word for model, _, _ in MODELS for word in model.split()} | set("019 -+@()"))
NEARLY: Final = st.lists(st.sampled_from(PIECES), max_size=12).flatmap(
    lambda words: st.sampled_from([" ", ""]).map(lambda space: space.join(words))
)


@given(st.one_of(NEARLY, st.text(st.characters(exclude_categories=()), max_size=400)))
def test_no_text_raises_or_gives_what_the_catalogue_refuses(model: str) -> None:
    """Whatever the string, each reading is unknown with a reason or holds a possible value."""
    for name, reading in (("cpu.series", _series(model)), ("cpu.generation", _generation(model))):
        if reading.form is Form.KNOWN:
            assert value_problem(reading.value, CATALOGUE[name].value) == ""
        else:
            assert reading.why
    assert (_series(model).form is Form.KNOWN) or _generation(model).form is Form.UNKNOWN


@pytest.mark.parametrize(
    "model",
    [
        "Intel(R) " * 100_000,
        "intel core i5-7500" + "u" * 100_000,
        "amd ryzen 5 " + "pro " * 100_000,
        "1st gen " * 100_000 + "intel ",
        "(" * 100_000,
        "\u00ae" * 100_000,
    ],
)
def test_long_texts_are_refused_at_once(model: str) -> None:
    """A text far longer than any model string costs next to nothing and is unknown."""
    start = time.perf_counter()
    assert _series(model).form is Form.UNKNOWN
    assert _generation(model).form is Form.UNKNOWN
    assert time.perf_counter() - start < 0.5  # common practice, no source; measured: under 1 ms


def test_the_costliest_pattern_the_reader_admits_is_quick() -> None:
    """A pattern with as many choices as may be, on a text that fits it badly, ends at once."""
    letters = "a?" * 16 + "a{9}" * 9
    table = cpu_names.read(_with({"series": "x", "pattern": letters, "generation": 1}))
    start = time.perf_counter()
    assert cpu_names.series(_reading("a" * 97), table).form is Form.KNOWN
    assert cpu_names.series(_reading("a" * 97 + "b"), table).form is Form.UNKNOWN
    assert time.perf_counter() - start < 2  # common practice, no source; measured: under 0.1 s


# ---------------------------------------------------------------- the table itself


def _with(entry: Any) -> dict[str, Any]:
    return {"meta": deepcopy(DATA["meta"]), "patterns": [entry]}


GOOD: Final = {"series": "thing {tier}", "pattern": "(?P<tier>[xy]) (?P<generation>[1-9])[0-9]{2}"}


def test_a_table_of_ones_own_is_read() -> None:
    """A newer table needs no newer program: its patterns decide, the first that fits."""
    second = {"series": "late", "pattern": "[a-z] [0-9]{3}", "generation": 99}
    table = cpu_names.read({"meta": DATA["meta"], "patterns": [GOOD, second]})
    assert table.date == date(2026, 11, 25)
    for model, name, number in (("Y 712", "thing y", 7), ("Z 712", "late", 99), ("X 012", "late", 99)):
        assert cpu_names.series(_reading(model), table).value == name
        assert cpu_names.generation(_reading(model), table).value == number


@pytest.mark.parametrize(
    ("entry", "key", "says"),
    [
        ("text", "patterns[0]", "a table"),
        ({**GOOD, "digit": 1}, "patterns[0].digit", "no such key"),
        ({"series": "x", "generation": 1}, "patterns[0].pattern", "not a pattern"),
        ({"series": "x", "pattern": "a*", "generation": 1}, "patterns[0].pattern", "not a pattern"),
        ({"series": "x", "pattern": "a+", "generation": 1}, "patterns[0].pattern", "not a pattern"),
        ({"series": "x", "pattern": "a.b", "generation": 1}, "patterns[0].pattern", "not a pattern"),
        ({"series": "x", "pattern": "Intel", "generation": 1}, "patterns[0].pattern", "not a pattern"),
        ({"series": "x", "pattern": "a{2,}", "generation": 1}, "patterns[0].pattern", "not a pattern"),
        ({"series": "x", "pattern": "(?:ab?){9}", "generation": 1}, "patterns[0].pattern", "repeated"),
        ({"series": "x", "pattern": "a{9}{9}", "generation": 1}, "patterns[0].pattern", "repeated"),
        ({"series": "x", "pattern": "a?" * 17, "generation": 1}, "patterns[0].pattern", "choices"),
        ({"series": "x", "pattern": "(?:a|b)" * 17, "generation": 1}, "patterns[0].pattern", "choices"),
        ({"series": "x", "pattern": "(?:a", "generation": 1}, "patterns[0].pattern", "regular expression"),
        ({"series": "x", "pattern": "[z-a]", "generation": 1}, "patterns[0].pattern", "regular expression"),
        ({"series": "x", "pattern": "(?P<generation>[0-9])"}, "patterns[0].pattern", "not 0"),
        ({"series": "x", "pattern": "(?P<generation>[a-z])"}, "patterns[0].pattern", "digits"),
        ({"series": "x", "pattern": "(?P<generation>[1-9])?"}, "patterns[0].pattern", "not optional"),
        ({**GOOD, "series": "Thing"}, "patterns[0].series", "lower case"),
        ({**GOOD, "series": ""}, "patterns[0].series", "lower case"),
        ({**GOOD, "series": "thing {other}"}, "patterns[0].series", "no group other"),
        ({**GOOD, "series": "thing {tier"}, "patterns[0].series", "braces"),
        ({**GOOD, "series": "thing {tier.upper}"}, "patterns[0].series", "braces"),
        ({**GOOD, "suffixes": ["k"]}, "patterns[0].suffixes", "no group suffix"),
        (
            {"series": "x", "pattern": "a(?P<suffix>b)", "generation": 1},
            "patterns[0].suffixes",
            "needs the list",
        ),
        (
            {"series": "x", "pattern": "a(?P<suffix>b)", "suffixes": [], "generation": 1},
            "patterns[0].suffixes",
            "a list of texts",
        ),
        ({**GOOD, "generation": 3}, "patterns[0].generation", "exactly one way"),
        ({"series": "x", "pattern": "a"}, "patterns[0].generation", "exactly one way"),
        ({"series": "x", "pattern": "a", "generation": 0}, "patterns[0].generation", "from 1 up"),
        ({"series": "x", "pattern": "a", "generation": True}, "patterns[0].generation", "from 1 up"),
        ({"series": "x", "pattern": "a", "no_generation": ""}, "patterns[0].generation", "says why"),
        ({"series": "x", "pattern": "a", "generation_unknown": 1}, "patterns[0].generation", "says why"),
    ],
)
def test_a_wrong_pattern_is_refused_by_its_key(entry: Any, key: str, says: str) -> None:
    """One thing wrong in a pattern gives one mistake, at its key, saying what would be right."""
    with pytest.raises(MistakesError) as caught:
        cpu_names.read(_with(entry), "newer/cpu.toml")
    (mistake,) = caught.value.mistakes
    assert caught.value.file == "newer/cpu.toml"
    assert mistake.key == key
    assert says in mistake.message


@pytest.mark.parametrize(
    ("change", "keys"),
    [
        ({"meta": None}, ["meta"]),
        ({"meta": {"format": 2, "date": date(2027, 1, 1), "sources": ["x"]}}, ["meta.format"]),
        ({"meta": {"format": "1", "date": "2027-01-01"}}, ["meta.format", "meta.date", "meta.sources"]),
        ({"meta": {**DATA["meta"], "day": 1}}, ["meta.day"]),
        ({"patterns": []}, ["patterns"]),
        ({"patterns": {"a": 1}}, ["patterns"]),
        ({"pattern": []}, ["pattern"]),
    ],
)
def test_a_wrong_table_is_refused(change: dict[str, Any], keys: list[str]) -> None:
    """What is wrong outside the patterns is told at its key, all of it at once."""
    with pytest.raises(MistakesError) as caught:
        cpu_names.read({**DATA, **change})
    assert [mistake.key for mistake in caught.value.mistakes] == keys
