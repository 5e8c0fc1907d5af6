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
#away = [{ from = 2027-03-01, to = 2027-03-12 }]
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

#[data]
#per_run = "1.2 GB"
#runs_per_day = 20
#days_per_week = 5
#retention = "10 years"
#compressibility = "0 %"
#change_rate = "3 %"
#volume = "D:"
#reserve = "15 %"
#configuration = "40 GB"

# ------------------------------------------------------------ backup

#[backup]
#rpo = "24 h"
#rto = "8 h"
#window = { from = "20:00", to = "06:00" }
#scheme = "incremental"
#full_every = "week"
#daily = 4
#weekly = 4
#monthly = 12
#yearly = 10
#restore_test_every = "3 months"

#[[backup.destinations]]
#id = "file-server"
#title = "File server of the building"
#kind = "file server"
#capacity = "8 TB"
#link = "1 Gbit/s"
#offsite = false
#offline = false
#encrypted = true

# ------------------------------------------------------------ place

#[place]
#country = "AT"

#[place.room]
#temperature = "23 °C"
#humidity = "45 %"

#[[place.circuits]]
#id = "circuit-12"
#voltage = "230 V"
#rating = "16 A"
#protection = "breaker"
#other_load = "400 W"

#[[place.outlets]]
#id = "outlet-3"
#circuit = "circuit-12"
#rating = "16 A"
#sockets = 2

#[[place.things]]
#id = "pc"
#title = "Control PC"
#kind = "computer"
#plugged_into = "outlet-3"
#power = "250 W"
#count = 1

# ------------------------------------------------------------ network

#[network]
#administrator = "R. Amsel"
#booked = true

#[[network.lans]]
#id = "instruments"
#title = "Instrument network"
#role = "instrument"
#subnet = "192.0.2.0/24"

#[[network.hosts]]
#id = "pc"
#name = "lc-pc-07"
#lan = "instruments"
#address = "192.0.2.7"
#fixed = true
#what = "computer"

# ------------------------------------------------------------ tasks

#[[tasks]]
#id = "probe-candidates"
#title = "Probe the candidates"
#owner = "IT"
#takes = "2 working days"
"""
