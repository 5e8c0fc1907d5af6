"""A first profile for a person to go on from: answers in, commented TOML out.

What was answered stands as a condition. Everything else stands beside it as an example that is
not read: a line that begins with ``#`` and no space is TOML once the ``#`` is taken away.
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from pcaudit.core.catalogue import OS_TYPES
from pcaudit.core.compile import compile_profile
from pcaudit.core.places import place_in
from pcaudit.core.profile import Profile
from pcaudit.core.starter_text import (
    ARRANGEMENTS,
    CHOICES,
    DISPLAY,
    HEAD,
    OS_EXAMPLES,
    OS_HEAD,
    OS_MORE,
    PORT,
    POWER,
    SOFTWARE,
    VOLUME,
    WORDS,
)
from pcaudit.core.texts import fold
from pcaudit.core.toml_text import parse_toml
from pcaudit.errors import MistakesError

PLACEHOLDER: Final = "Name of the instrument software"
"""Title of a starter whose title was not answered: a profile has one."""


class Answers(NamedTuple):
    """What was answered, each as it was written; empty where it was not.

    Attributes:
        title: What the profile is for.
        os: Type of operating system.
        os_product: Its product name.
        os_edition: Editions of Windows, with commas between.
        os_version: Range of versions.
        memory: Least memory fitted.
        memory_recommended: Memory that is better.
        cores: Least number of cores.
        free_space: Least free space on the system volume.
        screen: Least width and height of the screen in pixels: ``1920x1080``.
        ports: Least number of wired network ports.
    """

    title: str = ""
    os: str = ""
    os_product: str = ""
    os_edition: str = ""
    os_version: str = ""
    memory: str = ""
    memory_recommended: str = ""
    cores: str = ""
    free_space: str = ""
    screen: str = ""
    ports: str = ""


class Question(NamedTuple):
    """What is asked for an answer.

    Attributes:
        name: The answer, as ``Answers`` names it.
        ask: The question.
        why: What it is for, and how it is written.
        example: A good answer.
        needs: Another answer without which this one means nothing.
    """

    name: str
    ask: str
    why: str
    example: str
    needs: str = ""


QUESTIONS: Final = (
    Question(
        "title", "Title", "The software and its use; it stands at the top of every report.", "Balance logger"
    ),
    Question(
        "os", "Operating system", "The system the software runs on: windows, linux or macos.", "windows"
    ),
    Question(
        "os_product",
        "Product",
        "Which linux, in its own words; a version means nothing without it.",
        "Debian GNU/Linux",
        "os",
    ),
    Question(
        "os_edition",
        "Editions of it",
        "Those that will do, with commas between. Home, S mode and Windows Server have the same versions as"
        " Pro: only the edition tells them apart.",
        "pro, enterprise",
        "os",
    ),
    Question(
        "os_version",
        "Versions of it",
        "Those tested: >= from, <= up to, < below, with commas between. Windows 11 is from 10.0.22000 on, and"
        " servers share its builds.",
        ">=10.0.22000",
        "os",
    ),
    Question("memory", "Memory fitted, at least", "With less the PC is refused.", "16 GB"),
    Question(
        "memory_recommended",
        "Memory recommended",
        "With less the PC is accepted, and the report says that more is better.",
        "32 GB",
        "memory",
    ),
    Question("cores", "Processor cores, at least", "Cores, not threads.", "4"),
    Question(
        "free_space",
        "Free space on the system volume, at least",
        "For the set-up, and for what grows there: 1 GB = 1000 MB, as drives are sold.",
        "200 GB",
    ),
    Question("screen", "Screen, at least", "Width and height in pixels.", "1920x1080"),
    Question(
        "ports",
        "Wired network ports, at least",
        "One for the instrument, and one for the site network where both are used.",
        "2",
    ),
)
"""Every answer with its question, in the order they are asked."""

# -- values


def toml_string(text: str) -> str:
    """A text as a basic string of TOML 1.0: quotes, backslashes and control characters escaped."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + re.sub("[\x00-\x1f\x7f]", lambda match: f"\\u{ord(match[0]):04x}", escaped) + '"'


def _number(text: str) -> str:
    """A whole number as TOML has it; anything else as text, which the compiler refuses."""
    digits = text.strip()
    return str(int(digits)) if re.fullmatch("[0-9]{1,15}", digits) else toml_string(text)


_SCREEN: Final = "([0-9]{1,6}) ?[xX\u00d7*] ?([0-9]{1,6})"


def _screen(text: str) -> tuple[str, str]:
    match = re.fullmatch(_SCREEN, text.strip())
    return (str(int(match[1])), str(int(match[2]))) if match else ("", "")


def _os(text: str) -> str:
    return fold(text) if fold(text) in OS_TYPES else text


def _editions(text: str) -> str:
    """One edition as a text, several as a list of texts."""
    words = [toml_string(word.strip()) for word in text.split(",")]
    return words[0] if len(words) == 1 else f"[{', '.join(words)}]"


def _twice(amount: str, otherwise: str) -> str:
    """An example of more: twice an amount such as "16 GB"."""
    match = re.fullmatch(r"\s*([0-9]{1,6})(\D.*)?", amount)
    return f"{2 * int(match[1])}{match[2] or ''}" if match else otherwise


# -- text


def _line(key: str, given: str, example: str) -> str:
    return f"{key} = {given}" if given else f"#{key} = {example}"


def _section(name: str, given: str, example: str, *more: str) -> list[str]:
    """A condition with a minimum: in force where one is given, else an example."""
    return [f"[{name}]" if given else f"#[{name}]", _line("minimum", given, example), *more]


def _title(text: str) -> str:
    return re.sub(r"[ \t\r\n\f\v]+", " ", text).strip()


def _os_block(answers: Answers) -> list[str]:
    chosen = _os(answers.os)
    given = {
        "product": toml_string(answers.os_product) if answers.os_product else "",
        "edition": _editions(answers.os_edition) if answers.os_edition else "",
        "version": toml_string(answers.os_version) if answers.os_version else "",
    }
    examples = OS_EXAMPLES.get(chosen, {})
    lines = ["[[os.any_of]]", f"type = {toml_string(chosen)}"]
    lines += [f"{key} = {answer}" for key, answer in given.items() if answer and key not in examples]
    return lines + [_line(key, given.get(key, ""), example) for key, example in examples.items()]


def _os_example(kind: str) -> list[str]:
    keys = {"type": f'"{kind}"', **OS_EXAMPLES[kind]}
    return ["#[[os.any_of]]", *(_line(key, "", example) for key, example in keys.items())]


def _operating_system(answers: Answers) -> list[str]:
    chosen = _os(answers.os)
    lines = _os_block(answers) if answers.os else []
    for kind in OS_TYPES[:2]:
        if kind != chosen:
            lines += ["", *_os_example(kind)] if lines else _os_example(kind)
    return lines


def _amounts(answers: Answers) -> list[str]:
    memory = toml_string(answers.memory) if answers.memory else ""
    better = toml_string(answers.memory_recommended) if answers.memory_recommended else ""
    example = toml_string(_twice(answers.memory, "32 GB"))
    free = toml_string(answers.free_space) if answers.free_space else ""
    cores = _number(answers.cores) if answers.cores else ""
    return [
        "# Cores of the processor, not threads. Whole numbers stand without quotes.",
        *_section("cpu.cores", cores, "4", '#because = "processing of the last run goes on beside the next"'),
        "",
        "# Memory fitted, in GB as memory is sold.",
        "# minimum      with less the PC is refused",
        "# recommended  with less the PC is accepted, and the report says that more is better",
        *_section("memory.installed", memory, '"16 GB"', _line("recommended", better, example)),
        '#because = "a whole run is kept in memory"',
        '#remedy = "add modules of the type fitted"',
        '#owner = "purchasing"',
        "# More for each of something the lab chooses; [parameters.instruments] below declares it:",
        '#per = { instruments = "4 GB" }',
        "",
        "# Free space on the volume the operating system is on; 1 GB = 1000 MB, as drives are sold.",
        *_section("storage.system_free", free, '"200 GB"'),
    ]


def _outside(answers: Answers) -> list[str]:
    width, height = _screen(answers.screen)
    if answers.screen and not width:
        width = toml_string(answers.screen)
    ports = _number(answers.ports) if answers.ports else ""
    return [
        DISPLAY,
        *_section("display.primary_width", width, "1920"),
        *_section("display.primary_height", height, "1080"),
        "",
        "# Wired network ports, cabled or not.",
        *_section("network.wired_count", ports, "2"),
        PORT.rstrip("\n"),
    ]


def starter(answers: Answers) -> str:
    """A first profile.

    Args:
        answers: Checked by ``refusal``.

    Returns:
        TOML that compiles as it is, and would with every example in force.
    """
    title = toml_string(_title(answers.title) or PLACEHOLDER)
    parts = [
        HEAD + f"title = {title}\n",
        WORDS,
        OS_HEAD + "\n".join(_operating_system(answers)) + "\n" + OS_MORE,
        _rule("processor, memory, storage") + "\n".join(_amounts(answers)) + "\n" + VOLUME,
        _rule("screen and network") + "\n".join(_outside(answers)) + "\n",
        _rule("power") + POWER,
        _rule("software") + SOFTWARE,
        _rule("what the lab chooses") + CHOICES,
        _rule("what people must have ready") + ARRANGEMENTS,
    ]
    return "\n\n".join(part.rstrip("\n") + "\n" for part in parts)


def _rule(title: str) -> str:
    return f"# {'-' * 60} {title}\n\n"


# -- checking


def compiled(text: str, name: str) -> Profile:
    """Compile a starter.

    Args:
        text: As ``starter`` writes it.
        name: Of its file.

    Raises:
        MistakesError: It was made of answers that are not right.
    """
    data, places = parse_toml(text, name)
    return compile_profile(
        data, path=name, place=lambda path: place_in(places, name, places.offset(path)), text=text
    )


def _is_zero(amount: str) -> bool:
    return bool(re.fullmatch(r"\s*0+(\.0*)?\s*([^0-9.].*)?", amount))


_IN_WORDS: Final = ("title", "os", "os_product", "os_edition", "os_version")
"""Answers that are no amounts."""


def _incomplete(answers: Answers, question: Question) -> tuple[str, str]:
    """What is wrong with an answer before it is compiled; empty where nothing is."""
    given = getattr(answers, question.name)
    if not given.strip():
        return "an empty answer", f"leave it out, or write it such as {question.example}"
    if question.needs and not getattr(answers, question.needs):
        return f"it means nothing without --{question.needs}", "give both"
    if question.name == "os_edition" and _os(answers.os) != "windows":
        return "only windows has editions", "leave it out"
    if question.name == "os_version" and _os(answers.os) == "linux" and not answers.os_product:
        return "on linux a version means nothing without --os-product", "such as Debian GNU/Linux"
    if question.name == "screen" and not all(_screen(given)):
        return f"{given!r:.60} is no width and height", "write them in pixels, such as 1920x1080"
    amounts = _screen(given) if question.name == "screen" else (given,)
    if question.name in _IN_WORDS:
        return "", ""
    if given.strip()[0] in "<>=\u2264\u2265":
        return f"{given!r:.60} begins with a sign", f"write the amount alone, such as {question.example}"
    if any(map(_is_zero, amounts)):
        return "0 asks nothing", "leave it out"
    return "", ""


def noticed(answers: Answers, before: Answers) -> tuple[tuple[str, str], ...]:
    """What is remarked on a starter of some answers, and was not before the last of them.

    Args:
        answers: Found right by ``refusal``.
        before: The same without the last one.

    Returns:
        What was noticed and what would be better, for each remark.
    """
    from pcaudit.core.advice import advise

    def told(given: Answers) -> list[tuple[str, str]]:
        return [(one.noticed, one.better) for one in advise(compiled(starter(given), "the answer"))]

    known = told(before)
    return tuple(one for one in told(answers) if one not in known)


def refusal(answers: Answers, question: Question) -> tuple[str, str]:
    """What is wrong with one answer, by the rules profiles are compiled by.

    Args:
        answers: It, and answers that were found right before it.
        question: The question it answers.

    Returns:
        What is wrong and what would be right; two empty texts where the answer is right.
    """
    message, hint = _incomplete(answers, question)
    if message:
        return message, hint
    try:
        compiled(starter(answers), "the answer")
    except MistakesError as error:
        return error.mistakes[0].message, error.mistakes[0].hint
    return "", ""
