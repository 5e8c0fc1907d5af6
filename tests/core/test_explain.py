"""Profiles in sentences: everything that is asked is said, with the place that asks it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

import pytest
from hypothesis import given

from pcaudit.core import phrases
from pcaudit.core.catalogue import CATALOGUE, GROUPS, Type
from pcaudit.core.compile import compile_profile
from pcaudit.core.conditions import FORMS, Requirement, Test as Asked
from pcaudit.core.explain import Explanation, Row, explain
from pcaudit.core.explain_rows import Note
from pcaudit.core.places import Path
from pcaudit.core.profile import AnyOf, Items, Meta, Profile, ProfileSource, Scalar, When
from pcaudit.core.units import NEVER
from pcaudit.core.wording import show_exact, show_number
from pcaudit.errors import Place
from tests.core.builders import HEAD, profile_of
from tests.core.generated_profiles import Table, profiles

# -- single rows


def _rows(explanation: Explanation) -> list[Row]:
    return [row for section in explanation.sections for row in section.rows]


def _only(text: str) -> Row:
    (row,) = _rows(explain(profile_of(text)))
    return row


SENTENCES: list[tuple[str, str]] = [
    ('memory.installed = { minimum = "16 GB" }', "The installed memory must be at least 16 GB."),
    (
        'memory.installed = { minimum = "1.25 GB", recommended = "2.5 GB" }',
        "The installed memory must be at least 1.25 GB (recommended: at least 2.5 GB).",
    ),
    (
        'memory.installed = { minimum = "8 GB", recommended = "16 GB", advised = true }',
        "The installed memory should be at least 8 GB (recommended: at least 16 GB).",
    ),
    ("cpu.cores = { minimum = 4, maximum = 8 }", "The number of cores must be at least 4 and at most 8."),
    ("cpu.cores = { equal = 4 }", "The number of cores must be exactly 4."),
    (
        "cpu.cores = { maximum = 8, recommended = 4 }",
        "The number of cores must be at most 8 (recommended: at most 4).",
    ),
    ("computer.virtual = false", "The PC must not be a virtual machine."),
    ("computer.virtual = { equal = true, advised = true }", "The PC should be a virtual machine."),
    ('power.sleep_after = "never"', "The PC must never sleep when idle on mains."),
    (
        'power.screen_off_after = "never"',
        "The screen must never be switched off when the PC is idle on mains.",
    ),
    (
        'power.screen_off_after = { minimum = "100 min" }',
        "The idle time on mains after which the screen is switched off must be at least 100 min.",
    ),
    (
        "os.support_ends = { minimum = 2027-06-30 }",
        "The last day of security updates must be 2027-06-30 or later.",
    ),
    (
        "computer.firmware_date = { maximum = 2027-06-30 }",
        "The date of the firmware must be 2027-06-30 or earlier.",
    ),
    ('computer.model = "Bench 7"', 'The model of the PC must be "Bench 7".'),
    ("computer.model = 'A \"B\"'", 'The model of the PC must be "A \\"B\\"".'),
    (
        'os.language = ["en", "de", "fr"]',
        'The language of the user interface must be "en", "de" or "fr".',
    ),
    ('os.time_zone = { none_of = "UTC" }', 'The time zone must not be "UTC".'),
    ('os.time_zone = { none_of = ["UTC", "GMT"] }', 'The time zone must not be any of: "UTC", "GMT".'),
    (
        'computer.model = { matches = "B*", none_of = "B7" }',
        'The model of the PC must not be "B7" and must match the pattern "B*".',
    ),
    (
        'computer.model = { matches = ["B*", "C?"] }',
        'The model of the PC must match one of the patterns "B*", "C?".',
    ),
    ('computer.tpm_version = ">=1.2,<3"', "The TPM version must be at least 1.2 and below 3."),
    (
        'computer.tpm_version = ["1.2", ">2", "!=4"]',
        "The TPM version must be 1.2, or above 2, or other than 4.",
    ),
    (
        'computer.tpm_version = { version = "~=2.2", scheme = "pep440" }',
        'The TPM version must be "~=2.2" (as pep440 orders versions).',
    ),
    ('cpu.features = { includes = ["aes", "avx"] }', "The processor features must include all of: aes, avx."),
    (
        'cpu.features = { includes_any = ["aes", "avx"], excludes = "fma" }',
        "The processor features must include at least one of: aes, avx and must not include fma.",
    ),
    ('cpu.level = "x86-64-v2"', "The x86-64 level of the processor must be at least x86-64-v2."),
    (
        'memory.usable = { per = { "cpu.threads" = "1 GB" } }',
        'The usable memory must be at least 1 GB for each of "Threads" (cpu.threads).',
    ),
    (
        'storage.system_size = { minimum = "512 GiB" }',
        "The size of the system volume must be at least 512 GiB (549.8 GB).",
    ),
    (
        'storage.system_free = { minimum = "60 GB", adds = false }',
        (
            "The free space on the system volume must be at least 60 GB (55.9 GiB). Where several "
            "products share "
            "the PC, this is not added to theirs."
        ),
    ),
    (
        "memory.slots = { minimum = 2, adds = true }",
        (
            "The number of memory slots must be at least 2. Where several products share the PC, this "
            "amount is added to those of the other products."
        ),
    ),
    (
        'memory.ecc = { equal = true, when = { "os.type" = "windows", "cpu.cores" = { minimum = 4 } } }',
        (
            "Only where the operating system is Windows, and the number of cores is at least 4: the "
            "memory must be "
            "error-correcting."
        ),
    ),
    ('memory.ecc = { equal = true, title = "Safe" }', 'The memory must be error-correcting ("Safe").'),
    (
        (
            '[[network.adapters]]\nid = "port"\ntitle = "Port"\nmedium = "wired"\nlink_up = true\n'
            'capable_speed = { minimum = "1 Gbit/s" }\npower_saving = false'
        ),
        (
            "There must be at least one network adapter that is wired, whose link is up, whose "
            "highest possible "
            'speed is at least 1 Gbit/s and that is not allowed to be powered down ("Port").'
        ),
    ),
    (
        '[[software.packages]]\nid = "old"\ncount = 0\nname = { matches = "Old*" }',
        'There must be no installed program whose name matches the pattern "Old*".',
    ),
    (
        (
            '[[display.screens]]\nid = "s"\ncount = { minimum = 1, recommended = 2 }\nprimary = true\n'
            "width = { minimum = 1920, advised = true }"
        ),
        (
            "There must be at least one screen (recommended: at least 2) that is the primary one and "
            "whose width in "
            "pixels is at least 1920 (advised only)."
        ),
    ),
    (
        '[[storage.volumes]]\nid = "v"\ncount = { minimum = 2, maximum = 3 }\nencrypted = true',
        "There must be at least 2 and at most 3 volumes that are encrypted.",
    ),
    (
        '[[storage.volumes]]\nid = "v"\ncount = { equal = 1 }\nadvised = true\nencrypted = false',
        "There should be exactly one volume that is not encrypted.",
    ),
    (
        '[[storage.drives]]\nid = "d"\ncount = { maximum = 2, recommended = 0 }',
        "There must be at most 2 drives (recommended: no).",
    ),
    (
        '[[storage.drives]]\nid = "d"\nown = false\nbus = "nvme"',
        "There must be at least one drive whose bus is nvme. Other rows may be served by the same items.",
    ),
]


@pytest.mark.parametrize(("text", "sentence"), SENTENCES)
def test_a_condition_is_a_sentence(text: str, sentence: str) -> None:
    """Each form of condition is said in plain English, nothing of it left out or rounded."""
    assert _only(text).text == sentence


def test_the_words_around_a_condition_are_kept() -> None:
    """Reason, remedy and owner stand under the row, with its line and the id findings use."""
    row = _only('[cpu.cores]\nminimum = 4\nbecause = "speed"\nremedy = "buy"\nowner = "purchasing"')
    assert row.notes == (Note("why", "speed"), Note("do", "buy"), Note("by", "purchasing"))
    assert (row.number, row.id, row.profile, row.line) == (1, "cpu.cores", "p.toml", 3)


def test_a_condition_that_needs_others_says_so() -> None:
    """A version means nothing without its system, so its row says on which it can be met."""
    version = _rows(explain(profile_of('[os]\ntype = "windows"\nversion = ">=10"')))[1]
    assert version.text == (
        "The version of the operating system must be at least 10. It can be met only where the operating "
        "system is Windows."
    )


def test_alternatives_are_lettered_sentences() -> None:
    """Each alternative is a sentence with its own words and place; advised parts say that they are."""
    row = _only(
        '[[os.any_of]]\ntitle = "Windows"\ntype = "windows"\nversion = ">=10"\nbecause = "tested"\n'
        '[os.any_of.edition]\nequal = "pro"\nadvised = true\nbecause = "domain"\n'
        '[[os.any_of]]\ntype = "linux"\nwhen = { "computer.virtual" = false }\n'
        'language = { equal = "en", when = { "cpu.cores" = { minimum = 2 } } }\n'
        '[[os.any_of]]\nversion = "10"\ntype = { equal = "windows", advised = true }'
    )
    assert row.text == "One of these must hold:"
    assert [way.text for way in row.ways] == [
        (
            "Windows: the operating system is Windows; the version of the operating system is at least "
            "10; and the "
            "edition is pro (advised only)."
        ),
        (
            "Only where the PC is not a virtual machine: the operating system is Linux and the language "
            "of the user "
            'interface is "en" (only where the number of cores is at least 2).'
        ),
        (
            "The version of the operating system is 10 (of a PC where the operating system is "
            "Windows) and the "
            "operating system is Windows (advised only)."
        ),
    ]
    assert [way.line for way in row.ways] == [3, 12, 16]
    assert row.ways[0].notes == (Note("why", "tested"), Note("why", "Edition: domain"))


def test_a_single_alternative_and_lists_in_it() -> None:
    """One alternative alone is no choice, and items may be asked for inside it."""
    row = _only(
        '[[storage.any_of]]\nsystem_encrypted = true\n[[storage.any_of.drives]]\nid = "d"\n'
        "count = { minimum = 2 }\nadvised = true\n"
    )
    assert row.text == "This must hold:"
    assert row.ways[0].text == (
        "The system volume is encrypted and there are at least 2 drives (advised only)."
    )


def test_items_an_alternative_shares_are_said_to_be_shared() -> None:
    """The words own = false are said inside an alternative too."""
    row = _only('[[storage.any_of]]\n[[storage.any_of.drives]]\nid = "d"\nown = false\n')
    assert row.ways[0].text == "There is at least one drive that may serve others as well."


def test_an_alternatives_section_may_be_limited() -> None:
    """What a whole section is limited to stands above its alternatives."""
    row = _only('[cpu]\nwhen = { "computer.chassis" = "laptop" }\n[[cpu.any_of]]\ncores = { minimum = 2 }')
    assert row.text == "Only where the chassis is laptop: this must hold:"


PARAMETERS = (
    '[parameters]\ninstruments = { default = 3, minimum = 1, maximum = 4, title = "Balances", unit = '
    '"pieces" }\n'
    "share = { default = 0.5 }\n"
)


def test_parameters_say_range_default_and_unit() -> None:
    """A parameter is a row: what may be chosen, and what it is where nothing is."""
    rows = _rows(explain(profile_of(PARAMETERS + "[cpu.cores]\nminimum = 1")))
    assert [row.text for row in rows[:2]] == [
        (
            'The lab chooses "Balances" (instruments): a whole number from 1 to 4 pieces. Where it '
            "chooses nothing, "
            "this is 3 pieces."
        ),
        "The lab chooses share: a number from 0 up. Where it chooses nothing, this is 0.5.",
    ]
    assert [(row.id, row.line) for row in rows[:2]] == [("instruments", 4), ("share", 5)]


def test_amounts_per_something_are_worked_out() -> None:
    """The sum for the default is shown with its terms, of conditions, items and alternatives alike."""
    per = 'minimum = "8 GB", recommended = "16 GB", per = { instruments = "0.5 GB" }'
    rows = _rows(
        explain(
            profile_of(
                f"{PARAMETERS}[memory]\ninstalled = {{ {per} }}\n"
                '[[storage.volumes]]\nid = "v"\nfree = { per = { instruments = "1 GB", share = "1 GB" } }\n'
                "[[cpu.any_of]]\nthreads = { per = { instruments = 2 }, recommended = 3 }\n"
            )
        )
    )
    of_cpu, of_memory, of_volumes = rows[2:]
    assert of_memory.text == (
        'The installed memory must be at least 8 GB plus 512 MB for each of "Balances" (instruments) '
        "(recommended: at least 16 GB plus the same). With the default (instruments 3) the installed memory "
        "comes to at least 9.5 GB = 8 GB + 3 x 512 MB (recommended: at least 17.5 GB)."
    )
    assert of_volumes.text == (
        "There must be at least one volume whose free space is at least 1 GB (953.7 MiB) for each of "
        '"Balances" '
        "(instruments) plus 1 GB (953.7 MiB) for each of share. With the default (instruments 3, "
        "share 0.5) the "
        "free space comes to at least 3.5 GB (3.3 GiB) = 3 x 1 GB + 0.5 x 1 GB."
    )
    assert of_cpu.ways[0].text.endswith(
        "With the default (instruments 3) the number of threads comes to at least 6 = 3 x 2 (recommended: at "
        "least 9)."
    )


def test_options_say_what_they_add() -> None:
    """An option names the rows it adds, and conditions that hang on an option name it."""
    said = explain(
        profile_of(
            '[cpu.cores]\nminimum = 4\nwhen = { detector = true, "tray" = false }\n'
            '[options.detector]\ntitle = "Mass detector"\n'
            '[options.detector.memory.installed]\nminimum = "32 GB"\n'
            '[[options.detector.arrangements]]\nid = "gas"\nkind = "supply"\ntitle = "Nitrogen"\n'
            "[options.tray.cpu.cores]\nminimum = 2\n"
        )
    )
    assert [(section.title, section.within) for section in said.sections] == [
        ("Processor", False),
        ("Option", False),
        ("Memory", True),
        ("What people must have ready", True),
        ("Option", False),
        ("Processor", True),
    ]
    rows = _rows(said)
    assert [row.number for row in rows] == [1, 2, 3, 4, 5, 6]
    assert rows[0].text.startswith(
        'Only where the option "Mass detector" (detector) is chosen, and the option tray is not chosen: the'
    )
    assert rows[1].text == (
        'The lab may choose "Mass detector" (detector). Only where it does, this adds rows 3 to 4.'
    )
    assert rows[4].text == "The lab may choose tray. Only where it does, this adds row 6."
    assert said.counts == "3 conditions, 1 arrangement, 2 options"


def test_arrangements_say_kind_day_and_lead_time() -> None:
    """An arrangement says what it is, when it is needed and how long it takes to get."""
    (row, other) = _rows(
        explain(
            profile_of(
                '[cpu.cores]\nminimum = 4\n[[arrangements]]\nid = "a"\nkind = "person"\ntitle = "An '
                'operator"\n'
                'lead_time = "2 weeks"\nneeded = "on the day"\nwhen = { "computer.virtual" = true }\n'
            )
        )
    )
    assert row.id == "cpu.cores"
    assert other.text == (
        'Only where the PC is a virtual machine: "An operator" (person) must be ready on the day; getting it '
        "takes 2 weeks."
    )


def test_the_same_id_in_an_option_means_the_same_thing() -> None:
    """Items of one id are the same items, and an option's arrangement replaces one of the same id."""
    rows = _rows(
        explain(
            profile_of(
                '[[network.adapters]]\nid = "port"\nmedium = "wired"\n'
                '[[arrangements]]\nid = "a"\nkind = "person"\ntitle = "One"\n'
                '[[options.fast.network.adapters]]\nid = "port"\nlink_up = true\n'
                '[[options.fast.arrangements]]\nid = "a"\nkind = "person"\ntitle = "Another"\n'
            )
        )
    )
    assert rows[3].text.endswith(
        "The same items as in row 1 are meant: what both rows ask is asked of them together."
    )
    assert rows[4].text.endswith("Where this option is chosen, this takes the place of row 2.")
    assert "row" not in rows[0].text + rows[1].text


# -- the files


def _built(base: str, own: str) -> Profile:
    """A profile on another one, both with their texts."""
    below = _with_text(profile_of(base), "base.toml", base)
    profile = _with_text(profile_of(own), "own.toml", own)
    return profile._replace(sources=(*below.sources, *profile.sources))


def _with_text(profile: Profile, path: str, text: str) -> Profile:
    arrangements = tuple(one._replace(meta=one.meta._replace(profile=path)) for one in profile.arrangements)
    source = ProfileSource(profile.title, path, "0" * 64, HEAD + text)
    return profile._replace(path=path, sources=(source,), arrangements=arrangements)


def test_files_say_what_they_are() -> None:
    """Title, issue, publisher, contact, note and base stand with their lines, the file itself first."""
    own = (
        'issued = 2026-10-01\npublisher = "Workshop"\ncontact = "desk"\nnote = "slow"\n'
        'based_on = ["base.toml", "x.toml"]\n[cpu.cores]\nminimum = 1\n'
    )
    said = explain(_built("[cpu.cores]\nminimum = 2\n", own))
    assert [(file.path, file.sha256) for file in said.files] == [
        ("own.toml", "0" * 64),
        ("base.toml", "0" * 64),
    ]
    assert [tuple(fact) for fact in said.files[0].facts] == [
        ("title", "A profile", 2),
        ("issued", "2026-10-01", 3),
        ("publisher", "Workshop", 4),
        ("contact", "desk", 5),
        ("note", "slow", 6),
        ("based on", "base.toml, x.toml", 7),
    ]


def test_an_arrangement_said_again_names_what_it_replaces() -> None:
    """Where a file says an arrangement of its base anew, the row names the place that no longer counts."""
    text = '[cpu.cores]\nminimum = 1\n[[arrangements]]\nid = "a"\nkind = "person"\ntitle = "One"\n'
    *_, row = _rows(explain(_built(text, text)))
    assert row.text.endswith(" This takes the place of what base.toml says under the same id in line 5.")


# -- the legend


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ('computer.model = { matches = "B*" }', "In a pattern"),
        ('computer.model = "B"', "Texts in quotation marks"),
        ('computer.tpm_version = "2"', "Versions are compared only"),
        ('memory.installed = { minimum = "1 GB" }', "Memory is counted"),
        ('storage.system_size = { minimum = "1 GB" }', "Storage is counted"),
        ('[[storage.drives]]\nid = "d"', "serves one thing only"),
        ('[[storage.any_of]]\ndrives = [{ id = "d" }]', "serves one thing only"),
        ('[[storage.any_of]]\ndrives = [{ id = "d" }]', "Alternatives have"),
        ('[[storage.any_of]]\nsystem_free = { minimum = "1 GB" }', "each needs the free space"),
        ('[[storage.volumes]]\nid = "d"\nfree = { minimum = "1 GB" }', "each needs the free space"),
        ('memory.ecc = { equal = true, when = { "cpu.cores" = { minimum = 2 } } }', "Only where"),
        ('[[cpu.any_of]]\nmodel = "x"', "Texts in quotation marks"),
        ('[options.o.cpu]\nmodel = "x"', "Texts in quotation marks"),
    ],
)
def test_the_legend_explains_what_the_rows_use(text: str, word: str) -> None:
    """A reader is told of patterns, versions, sizes and the like where a row uses them, and only there."""
    assert word in " ".join(explain(profile_of(text)).legend)
    assert word not in " ".join(explain(profile_of("cpu.cores = { minimum = 2 }")).legend)


def test_every_reading_can_be_spoken_of() -> None:
    """What is true or false has something it is or is not, and every list's items have a name."""
    for name, record in CATALOGUE.items():
        if record.value.type is Type.BOOLEAN:
            assert phrases.of_reading(name, record.value).complement not in ("", "true"), name
        if record.value.type is Type.LIST:
            assert "under" not in phrases.of_items(name, several=True), name
        for key, spec in record.items.items():
            if spec.type is Type.BOOLEAN:
                assert phrases.of_key(name, key, spec).complement not in ("", "true"), (name, key)


@pytest.mark.parametrize(
    ("title", "inside"),
    [("Memory slots", "memory slots"), ("TPM version", "TPM version"), ("x86-64 level", "x86-64 level")],
)
def test_titles_inside_a_sentence(title: str, inside: str) -> None:
    """A title's capital goes inside a sentence, an abbreviation's stay."""
    assert phrases.lowered(title) == inside


# -- everything is said


def _numbered(data: Table) -> Profile:
    """The profile of a mapping, every key in a line of its own."""
    lines: dict[Path, int] = {}

    def place(path: Path) -> Place:
        return Place("p.toml", lines.setdefault(path, len(lines) + 1))

    return compile_profile(data, path="p.toml", place=place)


def _operands(tests: Iterable[Asked], requirement: Requirement) -> Iterator[str]:
    """The operands of tests as they must be read on the page."""
    for test in tests:
        key, operand = test.form.key, test.operand
        if key == "version":
            odd = [one.text for one in operand if any(c.operator == "~=" for c in one.clauses)]
            yield from odd or [clause.text for one in operand for clause in one.clauses]
        elif isinstance(operand, tuple):
            yield from (text.replace('"', '\\"') for text in operand)
        elif not isinstance(operand, bool) and not (key == "minimum" and requirement.scales and not operand):
            yield show_exact(operand, requirement.spec)


def _of_requirement(one: Requirement) -> Iterator[str]:
    yield from _operands((*one.required, *one.advised), one)
    for scale in one.scales:
        yield show_exact(scale.amount, one.spec)
        yield scale.name


def _of_when(when: When) -> Iterator[str]:
    for one in when.requirements:
        yield from _of_requirement(one)
        if "." not in one.name:
            yield one.name
    for name, _ in when.options:
        yield name


def _said(text: str, pieces: Iterable[str]) -> None:
    """Assert that a sentence holds every piece, one as often as it is asked."""
    for piece in sorted(pieces, key=len, reverse=True):
        found = re.search(rf"(?<![\w.]){re.escape(piece)}(?![\w])", text, re.IGNORECASE)
        found = found or re.search(re.escape(piece), text)
        assert found, (piece, text)
        text = text[: found.start()] + "\x00" + text[found.end() :]


def _main(text: str) -> str:
    """A row's text without what only repeats it worked out."""
    return text.partition(" With the default (")[0]


def _check_words(meta: Meta, text: str, notes: Iterable[Note]) -> None:
    said = [note.text.rpartition(": ")[2] if meta.because == "" else note.text for note in notes]
    for words in (meta.because, meta.remedy, meta.owner):
        assert not words or any(words in note for note in (*said, *(note.text for note in notes)))
    assert not meta.title or meta.title.replace('"', '\\"') in text or meta.title in text
    assert ("nly where" in text) or not (meta.when.requirements or meta.when.options)


def _denials(one: Requirement) -> int:
    """Tests that ask for something not to be so."""
    tests = one.required + one.advised
    return sum(test.operand is False or test.form.key in ("none_of", "excludes") for test in tests)


def _check_scalar(one: Scalar, text: str, modal: bool) -> None:
    requirement = one.requirement
    assert text.count(" not ") >= _denials(requirement) + sum(map(_denials, one.meta.when.requirements))
    wanted = [*_of_requirement(requirement), *_of_when(one.meta.when)]
    wanted += [one.meta.title.replace('"', '\\"')] if one.meta.title else []
    _said(_main(text), wanted)
    if modal:
        assert f" {'must' if requirement.required else 'should'} " in text
        assert "(advised only)" not in text
    assert ("(recommended: " in text) >= bool(requirement.required and requirement.advised)
    for test in (*requirement.required, *requirement.advised):
        if isinstance(test.operand, bool):
            complement = phrases.of_reading(one.record.name, one.record.value).complement
            verb = ("must" if requirement.required else "should") if modal else "is"
            be = " be" if modal else ""
            assert f"{verb}{'' if test.operand else ' not'}{be} {complement}" in text


def _check_items(one: Items, text: str) -> None:
    assert text.count(" not ") >= sum(map(_denials, (*one.keys, *one.meta.when.requirements)))
    wanted = [piece for key in one.keys for piece in _of_requirement(key)]
    wanted += _of_when(one.meta.when)
    wanted += [one.meta.title.replace('"', '\\"')] if one.meta.title else []
    for bounds in ({one.minimum, one.maximum}, {one.better_minimum, one.better_maximum}):
        # "Exactly one" says both ends at once.
        wanted += [{0: "no", 1: "one"}.get(count, str(count)) for count in bounds if count is not None]
    _said(_main(text), wanted)
    for key in one.keys:
        assert phrases.of_key(one.record.name, key.name, key.spec).subject in text
        assert ("(advised only)" in text) >= (not key.required and not one.meta.advised)
    advised = sum(not key.required for key in one.keys) * (not one.meta.advised)
    assert text.count("(advised only)") >= advised


def _check_condition(condition: Any, row: Row) -> None:
    if isinstance(condition, AnyOf):
        assert len(row.ways) == len(condition.alternatives)
        _said(row.text, _of_when(condition.meta.when))
        for alternative, way in zip(condition.alternatives, row.ways, strict=True):
            assert way.line == alternative.meta.line
            _said(_main(way.text), _of_when(alternative.meta.when))
            _check_words(alternative.meta, way.text, way.notes)
            for one in alternative.conditions:
                _check_words(one.meta, way.text, way.notes)
                if isinstance(one, Scalar):
                    _check_scalar(one, way.text, modal=False)
                else:
                    _check_items(one, way.text)
        return
    assert row.ways == ()
    _check_words(condition.meta, row.text, row.notes)
    if isinstance(condition, Scalar):
        _said(row.text, [p for guard in condition.guards for p in _operands(guard.required, guard)])
        _check_scalar(condition, row.text, modal=True)
    else:
        assert ("There must be" in row.text or "there must be" in row.text) is not condition.meta.advised
        _check_items(condition, row.text)


def _advised(data: Table) -> Table:
    """The same profile, with every condition outside alternatives advised where it has a table."""
    changed = dict(data)
    for group in GROUPS.keys() & data.keys():
        section = dict(data[group])
        for key in section.keys() - {"any_of", "when"}:
            if isinstance(section[key], dict):
                section[key] = {**section[key], "advised": True}
            elif CATALOGUE[f"{group}.{key}"].value.type is Type.LIST:
                section[key] = [{**table, "advised": True} for table in section[key]]
        changed[group] = section
    return changed


@given(profiles() | profiles().map(_advised))
def test_everything_a_profile_asks_is_said(data: Table) -> None:
    """Every condition, arrangement, parameter and option has its row: id, place, operands, limits, words."""
    profile = _numbered(data)
    rows = _rows(explain(profile))
    assert [row.number for row in rows] == list(range(1, len(rows) + 1))
    by_place = {(row.id, row.line): row for row in rows}
    options = profile.options
    conditions = [*profile.conditions, *(c for option in options for c in option.conditions)]
    wanted = [*profile.arrangements, *(a for option in options for a in option.arrangements)]
    assert len(by_place) == len(rows)
    assert len(rows) == len(conditions) + len(wanted) + len(options) + len(profile.parameters)
    for condition in conditions:
        _check_condition(condition, by_place[condition.id, condition.meta.line])
    for one in wanted:
        row = by_place[one.id, one.meta.line]
        title = one.meta.title.replace('"', '\\"')
        _said(row.text, [title, one.kind, one.needed, one.lead_time, *_of_when(one.meta.when)])
        _check_words(one.meta, row.text, row.notes)
    for option in options:
        _said(by_place[option.name, option.line].text, [option.name, option.title.replace('"', '\\"')])
    for parameter in profile.parameters.values():
        numbers = [n for n in (parameter.minimum, parameter.maximum, parameter.default) if n is not None]
        text = by_place[parameter.name, parameter.line].text
        _said(text, [parameter.name, *map(show_number, numbers), parameter.unit, parameter.unit])
        assert parameter.title.replace('"', '\\"') in text


def test_a_form_nobody_described_is_said_in_its_own_words() -> None:
    """A form that is added to the table of forms is said by its own words until it gets a sentence."""
    row = _only("cpu.cores = { minimum = 4 }")
    assert "at least 4" in row.text
    profile = profile_of("cpu.cores = { minimum = 4 }")
    (condition,) = profile.conditions
    assert isinstance(condition, Scalar)
    form = FORMS["minimum"]._replace(key="about", says=lambda operand, spec: f"about {operand}")
    requirement = condition.requirement._replace(required=(Asked(form, 4),))
    changed = profile._replace(conditions=(condition._replace(requirement=requirement),))
    assert _rows(explain(changed))[0].text == "The number of cores must be about 4."


def test_never_beside_another_bound_is_still_said() -> None:
    """Where never is one of several bounds, each of them is said."""
    row = _only(f'power.sleep_after = {{ minimum = "1 h", maximum = "{NEVER}" }}')
    assert row.text == (
        "The idle time on mains after which the PC sleeps must be at least 1 h and at most never."
    )
