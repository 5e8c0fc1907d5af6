"""Words that name nobody, by which redacting tells a role from a person."""

from __future__ import annotations

from typing import Final

COMMON: Final = frozenset(
    (
        *("account", "admin", "administrator", "administrators", "and", "been", "console", "default"),
        *("defaultuser", "desktop", "domain", "for", "from", "guest", "have", "home", "host", "http"),
        *("https", "install", "laptop", "linux", "local", "localdomain", "localhost", "macos"),
        *("network", "not", "proxy", "public", "root", "server", "service", "shared", "system", "that"),
        *("the", "this", "user", "users", "were", "wheel", "will", "windows", "wins", "with"),
        *("workgroup", "workstation"),
    )
)
"""Words that every PC has, and by some of which reasons are read; their folders are no user's."""

ROLES: Final = frozenset(
    (
        *("analyst", "assistant", "chemist", "colleague", "contact", "department"),
        *("deputy", "desk", "director", "doctor", "electrician", "engineer", "facilities", "facility"),
        *("frau", "group", "head", "helpdesk", "herr", "info", "installation", "installer"),
        *("instrument", "lab", "laboratory", "lead", "leader", "mail", "maintenance", "manager"),
        *("operator", "owner", "phone", "planner", "prof", "professor", "purchasing"),
        *("responsible", "safety", "scientist", "security", "staff", "student"),
        *("supervisor", "supplier", "support", "team", "technician", "telephone", "trainer", "vendor"),
    )
)
"""Roles and titles: whoever bears one is not named by it, and reports speak of them.

Common practice, no source.
"""

PLACES: Final = frozenset(
    ("bench", "building", "cabinet", "drawer", "floor", "office", "room", "safe", "site")
)
"""Places that stand beside a role: "office manager" is nobody's name. Common practice, no source."""
