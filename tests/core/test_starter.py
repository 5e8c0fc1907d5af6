"""A first profile: what was answered is asked, and nothing else."""

from __future__ import annotations

import re
import tomllib

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.advice import advise
from pcaudit.core.catalogue import OS_TYPES
from pcaudit.core.compile import KINDS
from pcaudit.core.profile import AnyOf, Items, Profile, Scalar
from pcaudit.core.starter import (
    PLACEHOLDER,
    QUESTIONS,
    Answers,
    compiled,
    noticed,
    refusal,
    starter,
    toml_string,
)
from pcaudit.errors import MistakesError

ALWAYS = {"power.sleep_after": "never", "power.hibernate_after": "never"}
BY_NAME = {question.name: question for question in QUESTIONS}


def _in_force(text: str) -> str:
    """The starter with every example in force."""
    return re.sub(r"(?m)^#(?=\S)", "", text)


def _asked(profile: Profile) -> dict[str, str]:
    """Every condition in words, by its id; of alternatives by the reading's."""
    said = {}
    for condition in profile.conditions:
        several = (
            [one for alternative in condition.alternatives for one in alternative.conditions]
            if isinstance(condition, AnyOf)
            else [condition]
        )
        for one in several:
            assert isinstance(one, Scalar) and one.id not in said
            said[one.id] = one.requirement.says()
    return said


def _refused(**given: str) -> tuple[str, str]:
    """What is wrong with the last of some answers."""
    return refusal(Answers(**given), BY_NAME[list(given)[-1]])


def test_a_fresh_starter_asks_only_that_the_pc_stays_awake() -> None:
    """Without an answer a starter is a valid profile, with a title, that invents no requirement."""
    profile = compiled(starter(Answers()), "new.toml")
    assert profile.title == PLACEHOLDER
    assert _asked(profile) == ALWAYS
    assert not profile.arrangements and not profile.options and not profile.parameters


def test_every_answer_becomes_its_condition() -> None:
    """Each answer stands as the condition it is about, as it was written."""
    answers = Answers(
        title="Balance logger",
        os="Linux",
        os_product="Debian GNU/Linux",
        os_version=">=12,<14",
        memory="16 GB",
        memory_recommended="32 GB",
        cores="4",
        free_space="200 GB",
        screen="1920 x 1080",
        ports="2",
    )
    profile = compiled(starter(answers), "new.toml")
    assert profile.title == "Balance logger"
    assert _asked(profile) == {
        **ALWAYS,
        "os.type": "linux",
        "os.product": "Debian GNU/Linux",
        "os.version": ">=12,<14",
        "memory.installed": "at least 16 GB (32 GB recommended)",
        "cpu.cores": "at least 4",
        "storage.system_free": "at least 200 GB (186.3 GiB)",
        "display.primary_width": "at least 1920",
        "display.primary_height": "at least 1080",
        "network.wired_count": "at least 2",
    }


@pytest.mark.parametrize("kind", ["", *OS_TYPES])
@pytest.mark.parametrize("memory", ["", "64 GB"])
def test_every_example_in_a_starter_is_right(kind: str, memory: str) -> None:
    """With every example in force the starter still compiles, and nothing in it is remarked on."""
    answers = Answers(title="x", os=kind, os_product="A" if kind == "macos" else "", memory=memory)
    profile = compiled(_in_force(starter(answers)), "new.toml")
    assert len(profile.conditions) >= 20
    assert advise(profile) == ()
    assert profile.parameters and profile.options


def test_a_starter_shows_what_is_often_forgotten() -> None:
    """Encryption and a restart that is due stand as advice, and the instrument's port stays awake."""
    answers = Answers(title="x")
    assert _asked(compiled(starter(answers), "new.toml")) == ALWAYS  # examples ask nothing
    conditions = {one.id: one for one in compiled(_in_force(starter(answers)), "new.toml").conditions}
    for name, words in (("storage.system_encrypted", "yes"), ("os.restart_pending", "no")):
        asked = conditions[name]
        assert isinstance(asked, Scalar) and asked.requirement.says() == f"{words} (advised)"
    port = conditions["network.adapters[instrument-port]"]
    assert isinstance(port, Items)
    assert {key.name: key.says() for key in port.keys}["power_saving"] == "no"


def test_a_starter_shows_one_arrangement_of_each_kind() -> None:
    """Every kind of arrangement has an example."""
    profile = compiled(_in_force(starter(Answers())), "new.toml")
    assert [one.kind for one in profile.arrangements] == list(KINDS)


@pytest.mark.parametrize("answers", [Answers(), Answers(os="windows", memory="16 GB", cores="4")])
def test_every_line_is_read_or_explains_or_is_an_example(answers: Answers) -> None:
    """No line is longer than 100 characters, and a comment is words or an example, never unclear."""
    for line in starter(answers).splitlines():
        assert len(line) <= 100
        assert re.match(r"($|[\[a-z]|# ?$|# \S|# ?-|#  |#\[|#[a-z_]+ = )", line), line


def test_each_condition_is_explained() -> None:
    """Above every heading of a condition in force stand words that say what it is."""
    answers = Answers(os="windows", memory="16 GB", cores="4", free_space="1 GB", screen="1x1", ports="1")
    lines = starter(answers).splitlines()
    heads = [n for n, line in enumerate(lines) if line.startswith("[")]
    assert len(heads) == 9
    for head in heads:
        above = "\n".join(lines[max(head - 12, 0) : head])
        assert re.search(r"^# \w", above, re.M), lines[head]


@pytest.mark.parametrize(
    ("given", "message", "hint"),
    [
        ({"title": " "}, "an empty answer", "leave it out"),
        ({"title": "a\x1bb"}, "\\x1b", "take it out"),
        ({"title": "a\u202eb"}, "\\u202e", "take it out"),
        ({"os": "win"}, "'win' is no word", "windows"),
        ({"os_version": ">=11"}, "nothing without --os", "both"),
        ({"os": "linux", "os_version": ">=12"}, "nothing without --os-product", "Debian"),
        ({"os": "windows", "os_version": "newest"}, "'newest' is no version", ""),
        ({"os": "windows", "os_version": ">=14,<12"}, "no version satisfies", "exclude each other"),
        ({"memory": "16"}, "has no unit", "16 GB"),
        ({"memory": "16 gb"}, "'gb' is not a unit", "'GB'"),
        ({"os": "windows", "os_edition": "profesional"}, "'profesional' is no word", "pro"),
        ({"os": "windows", "os_edition": "pro,,home"}, "an empty text", ""),
        ({"os": "macos", "os_edition": "pro"}, "only windows has editions", "leave it out"),
        ({"memory": ">=16 GB"}, "'>=16 GB' begins with a sign", "write the amount alone, such as 16 GB"),
        ({"cores": "\u22654"}, "begins with a sign", "write the amount alone, such as 4"),
        ({"memory": "16.000 MB"}, "two ways", '"16000 MB"'),
        ({"memory": "0 GB"}, "0 asks nothing", "leave it out"),
        ({"memory_recommended": "16 GB"}, "nothing without --memory", "both"),
        ({"memory": "16 GB", "memory_recommended": "8 GB"}, "looser than the minimum", ""),
        ({"cores": "four"}, "'four' where a whole number belongs", "without quotes"),
        ({"cores": "2.5"}, "'2.5' where a whole number belongs", "without quotes"),
        ({"cores": "-4"}, "'-4' where a whole number belongs", "without quotes"),
        ({"cores": "9" * 5000}, "where a whole number belongs", "without quotes"),
        ({"cores": "00"}, "0 asks nothing", "leave it out"),
        ({"free_space": "200 GB/s"}, "is not a unit", "TB"),
        ({"screen": "1920"}, "no width and height", "1920x1080"),
        ({"screen": "1920x0"}, "0 asks nothing", "leave it out"),
        ({"ports": "two"}, "'two' where a whole number belongs", "without quotes"),
    ],
)
def test_what_is_wrong_with_an_answer(given: dict[str, str], message: str, hint: str) -> None:
    """A wrong answer is refused by the rule profiles are compiled by, with what would be right."""
    said = _refused(**given)
    assert message in said[0]
    assert hint in said[1]


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.name)
def test_the_example_of_a_question_is_a_right_answer(question: object) -> None:
    """Every question comes with an example that is accepted, after the examples before it."""
    given: dict[str, str] = {}
    for one in QUESTIONS:
        if one.name == "os":
            given["os"] = "windows"
        given[one.name] = one.example
        assert refusal(Answers(**given), one) == ("", "")
        if one is question:
            return


@given(st.text())
def test_a_text_comes_back_from_toml(text: str) -> None:
    """Any text is the same once TOML has read what was written."""
    assert tomllib.loads(f"key = {toml_string(text)}\n") == {"key": text}


@pytest.mark.parametrize(
    ("title", "read"),
    [
        ('The "fast" one', 'The "fast" one'),
        ("C:\\Data\\new", "C:\\Data\\new"),
        ("two\nlines\r\nand\ta tab", "two lines and a tab"),
        ("  around  ", "around"),
        ("Messger\u00e4t \u6e2c\u5b9a \U0001f600", "Messger\u00e4t \u6e2c\u5b9a \U0001f600"),
        ("'''\"\"\" ]] # =", "'''\"\"\" ]] # ="),
        ('"\n[cpu.cores]\nminimum = 1\n#', '" [cpu.cores] minimum = 1 #'),
    ],
)
def test_any_title_can_be_written(title: str, read: str) -> None:
    """Quotes, backslashes and other scripts stay; a title is one line, and never more than that."""
    answers = Answers(title=title)
    assert refusal(answers, BY_NAME["title"]) == ("", "")
    profile = compiled(starter(answers), "new.toml")
    assert profile.title == read
    assert _asked(profile) == ALWAYS


_sizes = st.builds(
    "{}{}{}".format, st.integers(1, 4096), st.sampled_from(["", " "]), st.sampled_from(["GB", "TB", "MiB"])
)
_counts = st.integers(1, 512).map(str)
_right = {
    "title": st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S", "Zs"])),
    "os": st.sampled_from(["windows", "Linux", "macos"]),
    "os_product": st.sampled_from(["Debian GNU/Linux", 'Odd "name" \\ x']),
    "os_edition": st.sampled_from(["pro", "Pro, enterprise"]),
    "os_version": st.sampled_from([">=12", "10.0.26100", ">=1,<20"]),
    "memory": _sizes,
    "memory_recommended": _sizes,
    "cores": _counts,
    "free_space": _sizes,
    "screen": st.builds("{}x{}".format, _counts, _counts),
    "ports": _counts,
}
_any = {name: st.text(max_size=12) | right for name, right in _right.items()}


@given(st.fixed_dictionaries({}, optional=_any))
def test_what_is_accepted_is_what_is_asked(given_: dict[str, str]) -> None:
    """Whatever is answered: either it is refused in words, or the starter compiles and asks just that."""
    answers = Answers()
    for question in QUESTIONS:
        if question.name in given_:
            tried = answers._replace(**{question.name: given_[question.name]})
            message, _ = refusal(tried, question)
            answers = answers if message else tried
    asked = _asked(compiled(starter(answers), "new.toml"))
    readings = {
        "os": ["os.type"],
        "os_product": ["os.product"],
        "os_edition": ["os.edition"],
        "os_version": ["os.version"],
        "memory": ["memory.installed"],
        "cores": ["cpu.cores"],
        "free_space": ["storage.system_free"],
        "screen": ["display.primary_width", "display.primary_height"],
        "ports": ["network.wired_count"],
    }
    wanted = {name for key, names in readings.items() if getattr(answers, key) for name in names}
    assert asked.keys() == ALWAYS.keys() | wanted
    for key in ("cores", "ports"):
        if getattr(answers, key):
            assert asked[readings[key][0]] == f"at least {int(getattr(answers, key))}"
    if answers.os_version:
        assert asked["os.version"] == answers.os_version
    assert ("recommended" in asked.get("memory.installed", "")) is bool(answers.memory_recommended)


@given(st.fixed_dictionaries({}, optional=_right))
def test_right_answers_are_accepted(given_: dict[str, str]) -> None:
    """A refusal of a well-formed answer is one of a missing or a larger other answer, or of a blank title."""
    answers = Answers()
    for question in QUESTIONS:
        if question.name not in given_:
            continue
        tried = answers._replace(**{question.name: given_[question.name]})
        message, hint = refusal(tried, question)
        if message:
            refusable = ("title", "os_product", "os_edition", "os_version", "memory_recommended")
            assert question.name in refusable
            assert message and (hint or "looser" in message)
        else:
            answers = tried


def test_several_editions_are_one_of() -> None:
    """Editions with commas between are a list, of which one must be the PC's."""
    asked = _asked(compiled(starter(Answers(os="windows", os_edition="Pro, enterprise")), "new.toml"))
    assert asked["os.edition"] == "one of: pro, enterprise"


def test_an_answer_is_remarked_on_once() -> None:
    """What is remarked on an answer is told with it, not again with the next."""
    windows = Answers(os="windows", os_edition="pro")
    versions = windows._replace(os_version=">=22631")
    ((seen, better),) = noticed(versions, windows)
    assert "met by no Windows" in seen and ">=10.0.22631" in better
    assert noticed(versions._replace(memory="16 GB"), versions) == ()


def test_a_version_of_windows_alone_is_remarked_on() -> None:
    """Without an edition the remark says that Home and servers have the same versions."""
    windows = Answers(os="windows")
    ((seen, better),) = noticed(windows._replace(os_version=">=10.0.22000"), windows)
    assert "Windows Server" in seen and "add edition" in better


def test_answers_that_were_not_checked_are_not_compiled() -> None:
    """A starter of wrong answers is a profile with mistakes, never one that asks something else."""
    with pytest.raises(MistakesError):
        compiled(starter(Answers(cores="four")), "new.toml")
