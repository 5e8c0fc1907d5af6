"""The words of a fresh worksheet: what each section is for, and examples that are not read.

A line that begins with ``#`` and no space is TOML once the ``#`` is taken away; tests take all of
them away at once. People, names and figures in examples are invented.
"""

from __future__ import annotations

from typing import Final

HEAD: Final = """\
# What only people know about one installation. Fill in between the quotes; "" is not answered yet.
#
# Lines that begin with # are not read. "# words" explain. "#key = value", with no space behind
# the #, is an example: take its # away, and that of the [heading] above it, and put in your value.
#
# Days stand without quotes: 2027-03-15. Amounts stand in quotes with their unit: "500 GB", "16 A".
# Never write a password, key or code here: write who holds it and where it is kept.
#
# pcaudit worksheet validate FILE              checks this file and tells each mistake with its line
# pcaudit assess --worksheet FILE              holds this PC and these answers against the profiles
# pcaudit assess SNAPSHOT --worksheet FILE     the same for a saved snapshot

format = 1
"""

INSTALLATION: Final = """\
# day            the installation day: day = 2027-03-15; what is late follows from it
# site           building and room
# service_life   how long the instrument is to be in use: "10 years"
"""

USE: Final = """\
# profiles       files, as seen from this one; the first is the main one
# options        of the profiles, those the lab chose: ["mass-detector"]
# parameters     { instruments = 2 }
# concessions    file of what may be accepted although it falls short
"""

PEOPLE: Final = """\
# ------------------------------------------------------------ people

# Whom the sections below may name by the id behind the point; away: days on which they cannot come.

#[people.network-admin]
#name = "R. Amsel"
#role = "network administrator"
#contact = "ext. 4711"
#away = [{ from = 2027-03-01, to = 2027-03-05 }]
"""

STATES: Final = """\
# state          in hand, requested, missing, or not needed (then say because = "..." and by = "...")
# holder         who has it: an id of [people], or a text
# deputy         who else can reach it; a credential has two people
# kept           where it is, never the secret itself
# requested      day it was ordered or asked for
# expected       day it was promised for
# expires        last day it is valid
# measured       the value, with its unit
# lead_time, owner, needed   where they differ from what the profile says
# after          ids of arrangements and tasks that must be done first: ["order-paper"]
# reference      true: what looks like a key in this table is an order number

# What the lab needs beside it has a kind and a title of its own:
#[arrangements.lifting-table]
#kind = "supply"
#title = "A lifting table for the instrument"
#needed = "on the day"
#lead_time = "5 working days"
#owner = "facilities"
#state = "missing"
"""

OTHERS: Final = """\
# ------------------------------------------------------------ calendar

#[calendar]
#working_days = ["monday", "tuesday", "wednesday", "thursday", "friday"]
#holidays = [2027-01-01, 2027-01-06]

# ------------------------------------------------------------ data

# used, capacity   of the volume, while there is no snapshot of the PC

#[data]
#per_run = "50 MB"
#runs_per_day = 20
#days_per_week = 5
#retention = "10 years"
#compressibility = "0 %"
#change_rate = "3 %"
#volume = "D:"
#used = "20 GB"
#capacity = "4 TB"
#reserve = "15 %"
#configuration = "40 GB"

# ------------------------------------------------------------ backup

# rpo, rto, mtd    most work that may be lost, longest time to restore, longest time without the PC
# image            size of the system image, while there is no snapshot of the PC
# last_restore_test, restore_test_every   when a restore was last tried, and how often it is
# recovery         who restores, from which boot medium, and where the keys are kept; never a key

#[backup]
#rpo = "26 h"
#rto = "24 h"
#mtd = "3 d"
#window = { from = "20:00", to = "06:00" }
#scheme = "incremental"
#full_every = "month"
#daily = 5
#weekly = 4
#monthly = 1
#yearly = 10
#image = "90 GB"
#last_restore_test = 2027-02-26
#restore_test_every = "3 months"
#recovery = { who = "network-admin", medium = "stick 8, IT cupboard", keys = "safe in room C 201" }

# every      how often a copy goes there
# measured   rate of a copy that was timed; without it a lower bound and a cautious estimate count
# holds      ["full"] where no copies between fulls go there

#[[backup.destinations]]
#id = "file-server"
#title = "File server of the building"
#kind = "file server"
#capacity = "40 TB"
#link = "1 Gbit/s"
#measured = "600 Mbit/s"
#offsite = false
#offline = false
#encrypted = true
#every = "day"

#[[backup.destinations]]
#id = "tape"
#title = "Tapes, fetched each month"
#kind = "tape"
#capacity = "40 TB"
#link = "6 Gbit/s"
#offsite = true
#offline = true
#encrypted = true
#holds = ["full"]
#every = "month"

# ------------------------------------------------------------ place

#[place]
#country = "AT"

#[place.room]
#temperature = "23 °C"
#humidity = "45 %"
#cooling = "3 kW"

# other_load   what hangs on the circuit and is not listed here, in VA; "0 W" for nothing

#[[place.circuits]]
#id = "circuit-12"
#voltage = "230 V"
#rating = "16 A"
#protection = "breaker"
#other_load = "450 VA"

#[[place.outlets]]
#id = "outlet-3"
#circuit = "circuit-12"
#type = "F"
#rating = "16 A"
#sockets = 2

#[[place.supplies]]
#id = "ups"
#title = "Uninterruptible supply of the PC"
#plugged_into = "outlet-3"
#sockets = 4
#capacity_va = "1000 VA"
#capacity_w = "900 W"
#input_va = "1200 VA"
#efficiency = "90 %"
#battery = { voltage = "12 V", charge = "9 Ah", count = 2, remaining = "100 %" }
#runtime_needed = "10 min"
#runtimes = [{ load = "300 W", runtime = "14 min" }]

# basis        nameplate or measured
# continuous   on for three hours and longer
# lan          of [[network.lans]], where it needs a wall port

#[[place.things]]
#id = "pc"
#title = "Control PC"
#kind = "computer"
#plugged_into = "ups"
#power = "250 W"
#power_factor = 0.95
#basis = "nameplate"
#continuous = true
#count = 1
#stands_on = "bench-2"
#width = "180 mm"
#depth = "450 mm"
#height = "380 mm"
#mass = "11 kg"
#clear_sides = "25 mm"
#clear_behind = "80 mm"
#clear_above = "0 mm"
#lan = "site"

#[[place.benches]]
#id = "bench-2"
#width = "2.4 m"
#depth = "750 mm"
#height = "720 mm"
#load = "200 kg"
#headroom = "1 m"

#[[place.ports]]
#id = "C4-17"
#lan = "site"
#speed = "1 Gbit/s"
#tested = true

# ------------------------------------------------------------ network

#[network]
#administrator = "network-admin"
#booked = true

# gateway, dynamic   "none" where there is no gateway, and where no addresses are given out

#[[network.lans]]
#id = "instruments"
#title = "Instrument network"
#role = "instrument"
#subnet = "192.168.40.0/29"
#gateway = "none"
#dynamic = "none"

#[[network.lans]]
#id = "site"
#title = "Site network"
#role = "site"
#subnet = "10.20.30.0/24"
#gateway = "10.20.30.1"
#dynamic = ["10.20.30.100-10.20.30.199"]

#[[network.hosts]]
#id = "pc"
#name = "LC-PC-07"
#lan = "instruments"
#address = "192.168.40.1"
#fixed = true
#what = "computer"

#[[network.hosts]]
#id = "pc-site"
#name = "LC-PC-07"
#lan = "site"
#address = "10.20.30.44"
#fixed = true
#what = "computer"

#[[network.openings]]
#id = "licence-service"
#from = "pc-site"
#to = "licences.lab.example"
#port = 27000
#protocol = "tcp"
#state = "in hand"

# ------------------------------------------------------------ tasks

# begun, done   a day, or true
# note          for whoever does it

#[[tasks]]
#id = "probe-candidates"
#title = "Probe the candidates"
#owner = "network-admin"
#takes = "2 working days"
#begun = 2027-02-26
#note = "the two PCs in the storeroom, as administrator"

#[[tasks]]
#id = "first-run"
#title = "First run, and a restore from its backup"
#owner = "operator"
#after = ["probe-candidates"]
#on_the_day = { from = "13:30", takes = "2 h" }
"""
