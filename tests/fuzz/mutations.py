"""Ways to damage the demo range: bytes, lines, tokens, numbers, and parts put where others belong."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from typing import Final

Files = dict[str, str]
Mutation = Callable[[random.Random, Files, str], str]

NUMBER: Final = re.compile(r"(?<![\w#-])[0-9]+(?:\.[0-9]+)?(?![\w-])")
TOKEN: Final = re.compile(r"[A-Za-z0-9_-]+|[^\sA-Za-z0-9_-]")
NUMBERS: Final = (
    "0",
    "-1",
    "1",
    "2",
    "3",
    "1000000000",
    "0.5",
    "1e9",
    "999999999999999999999",
    "2000",
    "40",
    "7.25",
)
FILLERS: Final = (
    *(
        "",
        "\n",
        ": ",
        "- ",
        "{",
        "}",
        "[",
        "]",
        "{}",
        "[]",
        '"',
        "'",
        "#",
        "&a ",
        "*a",
        "!!x ",
        "  ",
        "|",
        ">",
        "?",
        "%",
    ),
    *(
        "\t",
        "\r",
        "\x00",
        "\x7f",
        "\u0085",
        "\u2028",
        "\ufeff",
        "\U0001f9f6",
        "=1+1",
        "../../x",
        "---",
        "...",
        "<<: *a",
    ),
)
WORDS: Final = (
    *(
        "flame",
        "scallop",
        "diamond",
        "flat",
        "sleeve",
        "cushion",
        "once",
        "twice",
        "woven",
        "plastic",
        "holes",
    ),
    *(
        "mm",
        "in",
        "yd",
        "true",
        "null",
        "NO",
        "kind",
        "kit",
        "2 down 3",
        "3 up 1",
        "6x1",
        "9x9",
        "10 %",
        "JPY",
    ),
    *(
        "ribbon",
        "medallion",
        "hungarian point",
        "four-way",
        "charted",
        "box",
        "framed",
        "ornament",
        "lengthen",
        "peak",
        "valley",
        "between",
        "round",
        "heart",
        "6 2",
        "1-12",
        "side left",
        "1-9: 4 night, 2 mist",
        "rowan-berry.csv",
    ),
)


def bytes_cut(chance: random.Random, files: Files, name: str) -> str:
    """A span is cut out, or something else put in its place."""
    text = files[name]
    start = chance.randrange(len(text) + 1)
    filler = chance.choice(FILLERS) if chance.random() < 0.8 else chr(chance.randrange(0x3000))
    return text[:start] + filler + text[start + chance.randrange(12) :]


def a_line(chance: random.Random, files: Files, name: str) -> str:
    """A line is taken out, doubled, moved, or indented otherwise."""
    lines = files[name].splitlines()
    at = chance.randrange(len(lines) or 1)
    line = lines.pop(at) if lines else ""
    way = chance.randrange(4)
    if way == 1:
        lines[at:at] = [line, line]
    elif way == 2:
        lines.insert(chance.randrange(len(lines) + 1), line)
    elif way == 3:
        lines.insert(at, " " * chance.randrange(9) + line.lstrip())
    return "\n".join(lines) + "\n"


def a_token(chance: random.Random, files: Files, name: str) -> str:
    """A word or sign becomes another of the range, or is spoilt."""
    text = files[name]
    found = list(TOKEN.finditer(text))
    if not found:
        return text
    match = chance.choice(found)
    other = chance.choice(TOKEN.findall(files[chance.choice(sorted(files))]) or [""])
    new = chance.choice([other, chance.choice(WORDS), match[0] + "x", match[0][1:], match[0].upper(), '""'])
    return text[: match.start()] + new + text[match.end() :]


def a_number(chance: random.Random, files: Files, name: str) -> str:
    """A number becomes an extreme one, or one that is near."""
    text = files[name]
    found = list(NUMBER.finditer(text))
    if not found:
        return text
    match = chance.choice(found)
    near = str(max(0, int(float(match[0])) + chance.randint(-9, 9))) if len(match[0]) < 9 else "1"
    new = chance.choice([chance.choice(NUMBERS), near, near, str(chance.randrange(2001))])
    return text[: match.start()] + new + text[match.end() :]


def long_text(chance: random.Random, files: Files, name: str) -> str:
    """A value becomes very long."""
    text = files[name]
    found = list(re.finditer(r": ([^\n{\[]+)", text))
    if not found:
        return text
    match = chance.choice(found)
    word = chance.choice(["x", "wool ", "M", "\u00e9", "1", "a: ", "[", "-"])
    return text[: match.start(1)] + word * chance.choice([40, 60, 2000, 20000]) + text[match.end(1) :]


def a_part(chance: random.Random, files: Files, name: str) -> str:
    """A part with all that is below it takes the place of another, from any file."""
    lines, source = files[name].splitlines(), files[chance.choice(sorted(files))].splitlines()
    mine, others = _parts(lines), _parts(source)
    if not mine or not others:
        return files[name]
    (start, end, indent), (first, last, depth) = chance.choice(mine), chance.choice(others)
    moved = [" " * indent + line[depth:] for line in source[first:last]]
    return "\n".join([*lines[:start], *moved, *lines[end:]]) + "\n"


def _parts(lines: list[str]) -> list[tuple[int, int, int]]:
    """First line, line after the last, and indentation of each key with what is below it."""
    depths = [len(line) - len(line.lstrip()) if line.strip() else None for line in lines]
    found = []
    for at, depth in enumerate(depths):
        if depth is None or ":" not in lines[at]:
            continue
        end = at + 1
        while end < len(lines) and (depths[end] is None or depths[end] > depth):
            end += 1
        found.append((at, end, depth))
    return found


MUTATIONS: Final[tuple[Mutation, ...]] = (
    bytes_cut,
    a_line,
    a_token,
    a_token,
    a_number,
    a_number,
    long_text,
    a_part,
)


def damaged(seed: int, files: Files) -> tuple[str, bytes]:
    """A file of the range, damaged in one to three ways; the same for the same seed."""
    chance = random.Random(seed)
    name = chance.choice(sorted(files))
    now = dict(files)
    for _ in range(chance.choice([1, 1, 1, 2, 3])):
        now[name] = chance.choice(MUTATIONS)(chance, now, name)
    content = now[name].encode("utf-8", "surrogatepass")
    if chance.random() < 0.03:
        at = chance.randrange(len(content) + 1)
        content = content[:at] + chance.randbytes(3) + content[at:]
    return name, content
