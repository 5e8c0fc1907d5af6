"""Every form of a condition against every form of a reading."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.catalogue import CATALOGUE, Absent, Type
from pcaudit.core.conditions import FORMS, Requirement, Test as Asked, forms_for, judge, judge_value
from pcaudit.core.profile import Scalar
from pcaudit.core.report import Verdict
from pcaudit.core.snapshot import Form, Observation
from pcaudit.core.truth import Truth
from tests.core.builders import (
    GB,
    MARGINAL,
    MET,
    UNMET,
    UNVERIFIED,
    absent,
    at_least,
    finding_of,
    profile_of,
    unknown,
    value,
    verdict_of,
)

# For each form: the condition, a value that meets it and one that does not.
KNOWN: list[tuple[str, Any, Any]] = [
    ('memory.installed = { minimum = "16 GB" }', 16 * GB, 16 * GB - 1),
    ('memory.installed = { maximum = "16 GB" }', 16 * GB, 16 * GB + 1),
    ('memory.installed = { equal = "16 GB" }', 16 * GB, 16 * GB + 1),
    ("cpu.cores = { minimum = 4 }", 4, 3),
    ("cpu.cores = { maximum = 4 }", 4, 5),
    ("cpu.cores = { equal = 4 }", 4, 5),
    ('power.sleep_after = { minimum = "30 min" }', 1800, 1799),
    ('power.sleep_after = { minimum = "30 min" }', "never", 60),
    ('power.sleep_after = { maximum = "30 min" }', 1800, "never"),
    ('power.sleep_after = "never"', "never", 10**8),
    ('power.sleep_after = { equal = "30 min" }', 1800, "never"),
    ("computer.firmware_date = { minimum = 2024-02-29 }", "2024-02-29", "2024-02-28"),
    ("computer.firmware_date = { maximum = 2024-02-29 }", "2024-02-29", "2024-03-01"),
    ("computer.firmware_date = { equal = 2024-02-29 }", "2024-02-29T23:59:59+00:00", "2024-03-01"),
    ('computer.model = "OptiBench 7"', " optibench  7 ", "OptiBench 70"),
    ('computer.model = ["A 1", "A 2"]', "a 2", "A 3"),
    ('computer.model = { one_of = ["A 1", "A 2"] }', "a 2", "A 3"),
    ('computer.model = { none_of = ["A 1", "A 2"] }', "A 3", "a 2"),
    ('computer.model = { matches = "a [12]*" }', "A 1 plus", "A 3"),
    ('computer.model = { matches = ["x*", "A ?"] }', "A 1", "A 10"),
    ('computer.chassis = "Desktop"', "desktop", "laptop"),
    ('computer.chassis = { none_of = "laptop" }', "desktop", "laptop"),
    ("power.usb_suspend = false", False, True),
    ("power.usb_suspend = { equal = true }", True, False),
    ('computer.tpm_version = ">=2.0"', "2.0", "1.2"),
    ('computer.tpm_version = ["1.2", ">=2.0"]', "1.2", "1.3"),
    ('computer.firmware_version = { version = ">=1.0.0-rc.1", scheme = "semver" }', "1.0.0", "1.0.0-rc.0"),
    ('cpu.features = { includes = ["avx", "AVX2"] }', ["avx2", "avx", "fma"], ["avx"]),
    ('cpu.features = { includes_any = ["avx", "neon"] }', ["neon"], ["fma"]),
    ('cpu.features = { excludes = "hypervisor" }', ["avx"], ["avx", "hypervisor"]),
]


def _reading(condition: str) -> str:
    return condition.partition(" = ")[0]


@pytest.mark.parametrize(("condition", "good", "bad"), KNOWN)
def test_a_known_value_meets_a_condition_or_does_not(condition: str, good: Any, bad: Any) -> None:
    """A value at the bound is met, one just past it unmet."""
    assert verdict_of(condition, {_reading(condition): value(good)}) is MET
    assert verdict_of(condition, {_reading(condition): value(bad)}) is UNMET


@pytest.mark.parametrize("condition", [condition for condition, _, _ in KNOWN])
@pytest.mark.parametrize("form", [unknown(), {}, {"value": []}, {"value": {}}, None])
def test_what_is_not_known_is_unverified_under_every_condition(condition: str, form: Any) -> None:
    """No condition takes an unknown or misread value for met or unmet, and each says why."""
    if form == {"value": []} and "features" in condition:
        form = {"value": [None]}
    finding = finding_of(condition, {_reading(condition): form})
    assert finding.verdict is UNVERIFIED
    assert finding.why
    assert finding.found == "not known"
    assert finding.value is None


@pytest.mark.parametrize("condition", [condition for condition, _, _ in KNOWN])
def test_absence_means_what_the_catalogue_says(condition: str) -> None:
    """What does not exist satisfies exclusions, and all else where the catalogue says so."""
    name = _reading(condition)
    satisfied = (
        CATALOGUE[name].absent is Absent.SATISFIES or "none_of" in condition or "excludes" in condition
    )
    finding = finding_of(condition, {name: absent("no such thing")})
    assert finding.verdict is (MET if satisfied else UNMET)
    assert finding.found == "none (no such thing)"


@pytest.mark.parametrize("condition", [condition for condition, _, _ in KNOWN])
def test_a_reading_that_was_never_taken_says_to_probe_again(condition: str) -> None:
    """A reading missing from an older snapshot is unknown and the reason says what to do."""
    finding = finding_of(condition, {})
    assert finding.verdict is UNVERIFIED
    assert "probe again" in finding.why


# A lower bound proves a minimum and disproves a maximum, never the reverse.
@pytest.mark.parametrize(
    ("condition", "low", "verdict"),
    [
        ('memory.installed = { minimum = "16 GB" }', 16 * GB, MET),
        ('memory.installed = { minimum = "16 GB" }', 16 * GB - 1, UNVERIFIED),
        ('memory.installed = { maximum = "16 GB" }', 16 * GB + 1, UNMET),
        ('memory.installed = { maximum = "16 GB" }', 16 * GB, UNVERIFIED),
        ('memory.installed = { equal = "16 GB" }', 16 * GB + 1, UNMET),
        ('memory.installed = { equal = "16 GB" }', 16 * GB, UNVERIFIED),
        ('memory.installed = { minimum = "8 GB", recommended = "16 GB" }', 16 * GB, MET),
        ('memory.installed = { minimum = "8 GB", recommended = "16 GB" }', 8 * GB, MARGINAL),
        ('memory.installed = { minimum = "8 GB", recommended = "16 GB" }', 4 * GB, UNVERIFIED),
        ('memory.installed = { minimum = "8 GB", maximum = "16 GB" }', 8 * GB, UNVERIFIED),
        ("cpu.cores = { minimum = 4 }", 8, MET),
        ('power.sleep_after = { minimum = "30 min" }', 1800, MET),
        ('power.sleep_after = { maximum = "30 min" }', 1801, UNMET),
        ('power.sleep_after = "never"', 10**8, UNVERIFIED),
        ('power.sleep_after = { minimum = "never" }', 10**8, UNVERIFIED),
    ],
)
def test_a_lower_bound_proves_only_upwards(condition: str, low: int, verdict: Verdict) -> None:
    """What is known only to be no lower meets minimums, breaks maximums and leaves the rest open."""
    finding = finding_of(condition, {_reading(condition): at_least(low)})
    assert finding.verdict is verdict
    assert finding.found.startswith("at least ")
    assert finding.why == "firmware not readable"
    assert finding.value == low


@pytest.mark.parametrize(
    "condition",
    [
        c
        for c, _, _ in KNOWN
        if CATALOGUE[_reading(c)].value.type.value
        in ("text", "word", "boolean", "date", "version", "set of texts")
    ],
)
def test_no_lower_bound_of_what_has_no_order_is_believed(condition: str) -> None:
    """A snapshot that gives a lower bound of a text, a date or a version leaves the condition open."""
    assert verdict_of(condition, {_reading(condition): at_least(1)}) is UNVERIFIED
    assert verdict_of(condition, {_reading(condition): at_least("2.0")}) is UNVERIFIED


def test_a_form_without_bounds_says_nothing_about_one() -> None:
    """Forms that know nothing of lower bounds leave them open, whoever asks."""
    requirement = Requirement(
        "computer.model", CATALOGUE["computer.model"].value, (Asked(FORMS["matches"], ("A 1",)),)
    )
    held = judge(requirement, Observation(Form.AT_LEAST, 1, "", "who knows"))
    assert (held.truth, held.why) == (Truth.UNKNOWN, "who knows")


@pytest.mark.parametrize(
    ("condition", "seen", "verdict"),
    [
        ('cpu.features = { includes = "avx" }', ["avx"], MET),
        ('cpu.features = { includes = "avx" }', ["fma"], UNVERIFIED),
        ('cpu.features = { includes_any = "avx" }', ["avx"], MET),
        ('cpu.features = { includes_any = "avx" }', ["fma"], UNVERIFIED),
        ('cpu.features = { excludes = "avx" }', ["avx"], UNMET),
        ('cpu.features = { excludes = "avx" }', ["fma"], UNVERIFIED),
        ('network.name_servers = { excludes = "192.0.2.1" }', [], UNVERIFIED),
    ],
)
def test_an_incomplete_set_proves_only_what_it_shows(
    condition: str, seen: list[str], verdict: Verdict
) -> None:
    """What was seen is there; what was not seen may be."""
    form = value(seen, complete=False, why="half of it is hidden")
    finding = finding_of(condition, {_reading(condition): form})
    assert finding.verdict is verdict
    assert ("half of it is hidden" in finding.why) is (verdict is UNVERIFIED)


@pytest.mark.parametrize(
    ("condition", "seen", "verdict"),
    [
        ('memory.installed = { minimum = "8 GB", recommended = "16 GB" }', 16 * GB, MET),
        ('memory.installed = { minimum = "8 GB", recommended = "16 GB" }', 8 * GB, MARGINAL),
        ('memory.installed = { minimum = "8 GB", recommended = "16 GB" }', 7 * GB, UNMET),
        ('memory.installed = { maximum = "16 GB", recommended = "8 GB" }', 8 * GB, MET),
        ('memory.installed = { maximum = "16 GB", recommended = "8 GB" }', 9 * GB, MARGINAL),
        ('memory.installed = { maximum = "16 GB", recommended = "8 GB" }', 17 * GB, UNMET),
        ('memory.installed = { minimum = "8 GB", advised = true }', 8 * GB, MET),
        ('memory.installed = { minimum = "8 GB", advised = true }', 7 * GB, MARGINAL),
        ('memory.installed = { minimum = "8 GB", recommended = "16 GB", advised = true }', 9 * GB, MARGINAL),
        ('power.sleep_after = { minimum = "30 min", recommended = "never" }', 1800, MARGINAL),
        ('power.sleep_after = { minimum = "30 min", recommended = "never" }', "never", MET),
    ],
)
def test_short_of_what_is_recommended_is_marginal(condition: str, seen: Any, verdict: Verdict) -> None:
    """Required and recommended met is met, required alone marginal, less unmet; advised never unmet."""
    finding = finding_of(condition, {_reading(condition): value(seen)})
    assert finding.verdict is verdict
    assert finding.binding is ("advised" not in condition)


def test_an_advised_condition_that_cannot_be_known_is_unverified_and_does_not_bind() -> None:
    """An unknown reading is told even where the condition is only advised."""
    finding = finding_of('memory.installed = { minimum = "8 GB", advised = true }', {})
    assert finding.verdict is UNVERIFIED
    assert not finding.binding


@pytest.mark.parametrize(("level", "verdict"), [("x86-64-v2", MET), ("x86-64-v3", UNMET)])
def test_a_bare_level_means_at_least(level: str, verdict: Verdict) -> None:
    """A processor of a level has those below it and not those above."""
    from pcaudit.core.catalogue import LEVEL_FEATURES

    features = [*LEVEL_FEATURES["x86-64-v1"], *LEVEL_FEATURES["x86-64-v2"]]
    readings = {"os.machine": value("x86_64"), "cpu.features": value(features)}
    assert verdict_of(f'cpu.level = "{level}"', readings) is verdict


def test_text_that_is_exact_is_compared_by_letter() -> None:
    """Mount points and service names differ by case, and patterns on them too."""
    table = '[[storage.volumes]]\nid = "a"\nmount = "/Data"\n'
    pattern = '[[storage.volumes]]\nid = "a"\nmount = { matches = "/Da*" }\n'
    for text in (table, pattern):
        assert verdict_of(text, {"storage.volumes": value([{"mount": "/Data"}])}) is MET
        assert verdict_of(text, {"storage.volumes": value([{"mount": "/data"}])}) is UNMET


@pytest.mark.parametrize(
    ("condition", "words"),
    [
        (
            'memory.installed = { minimum = "16 GB", recommended = "32 GB" }',
            "at least 16 GB (32 GB recommended)",
        ),
        ('memory.installed = { minimum = "16 GB", advised = true }', "at least 16 GB (advised)"),
        ('memory.installed = { minimum = "8 GB", maximum = "16 GB" }', "at least 8 GB, at most 16 GB"),
        ('memory.installed = { equal = "16 GB" }', "exactly 16 GB"),
        ('power.sleep_after = "never"', "never"),
        ("power.usb_suspend = false", "no"),
        ('computer.model = ["A", "B"]', 'one of: "A", "B"'),
        ('computer.model = { none_of = ["A", "B"] }', 'none of: "A", "B"'),
        ('computer.model = { matches = "A*" }', "like A*"),
        ('computer.tpm_version = ["1.2", ">=2"]', "1.2 or >=2"),
        ('computer.tpm_version = { version = ">=2", scheme = "debian" }', ">=2 (debian)"),
        ('cpu.features = { includes = ["avx", "fma"] }', "with all of: avx, fma"),
        ('cpu.features = { excludes = "avx" }', "without avx"),
        ('cpu.level = "x86-64-v2"', "at least x86-64-v2"),
        ("computer.firmware_date = { minimum = 2024-02-29 }", "at least 2024-02-29"),
    ],
)
def test_every_condition_is_said_in_words(condition: str, words: str) -> None:
    """What is required reads like a sentence's end, units and all."""
    assert finding_of(condition, {}).required == words


def test_a_long_set_shows_only_what_was_asked() -> None:
    """Of a hundred features the finding names those the profile asks about."""
    condition = 'cpu.features = { includes = ["avx", "avx2"] }'
    finding = finding_of(condition, {"cpu.features": value(["sse", "fma", "avx"])})
    assert finding.found == "has avx; lacks avx2"


@pytest.mark.parametrize("kind", [kind for kind in Type if kind is not Type.LIST])
def test_every_type_can_be_asked_about(kind: Type) -> None:
    """Each type of reading has at least one form, and each form a type."""
    assert forms_for(kind)
    assert all(form.types for form in FORMS.values())


def test_a_value_known_in_full_is_judged_the_same_both_ways() -> None:
    """The short way of judging a value agrees with the long one."""
    record = CATALOGUE["cpu.cores"]
    requirement = Requirement(record.name, record.value, (Asked(FORMS["minimum"], 4),))
    for cores in (3, 4):
        seen = Observation(Form.KNOWN, cores)
        assert judge_value(requirement, cores) == judge(requirement, seen)


@pytest.mark.parametrize(
    ("condition", "said"),
    [
        ('[memory.installed]\nminimum = "1.25 GB"', "at least 1.25 GB"),
        ('[memory.installed]\nminimum = "1000 MB"', "at least 1000 MB"),
        ('[storage.system_free]\nminimum = "250 GB"', "at least 250 GB (232.8 GiB)"),
        ('[cpu.base_clock]\nminimum = "2.45 GHz"', "at least 2.45 GHz"),
    ],
)
def test_what_is_required_is_said_as_it_was_written(condition: str, said: str) -> None:
    """A limit is never rounded: held against the vendor's paper it must be the same figure."""
    (scalar,) = profile_of(condition).conditions
    assert isinstance(scalar, Scalar)
    assert scalar.requirement.says() == said
