"""How long a spec of 2,000 lines takes to be checked, as a ratio to PyYAML's C loader on the same bytes."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import yaml

from kitbuild.spec.folder import read_range
from tests.bench.timing import best_ms

KITS = Path(__file__).parent.parent.parent / "kits"
LINES = 2000


def thread(number: int) -> str:
    """One thread of a materials file, a key on each line."""
    return f"""  wool-{number:05}:
    title: Tapestry wool {number}
    fibre: wool
    colour: "#{number:06x}"
    colour_name: Colour {number}
    put_up: skein
    put_up_length: 10 m
    thickness: 1.9 mm
    cost: 1.35
    bin: A-01
"""


def materials() -> str:
    """A materials file of 2,000 lines: canvases and needles of the demo range, and threads."""
    demo = (KITS / "materials.yaml").read_text(encoding="utf-8")
    rest = LINES - demo.count("\n")
    more = "".join(thread(number) for number in range(rest // 10))
    return demo.replace("threads:\n", f"threads:\n{more}") + "# end\n" * (rest % 10)


def piece(number: int) -> str:
    """One piece of a kit, a key on each line."""
    return f"""  piece-{number}:
    title: Coaster {number}
    copies: 1
    use: coaster
    canvas: plastic-7
    may_turn: false
    pattern:
      family: flame
      over: 4
      line:
        groups_of: 2
        step: 2
        down: 4
        up: 4
        turns: once
      colours:
        - bark
        - moss
        - gorse
        - lichen
      repeats: 2
      ends:
        left: 0
        right: 2
    columns: 26
    rows: 27
    finish:
      kind: flat
      edge: bark
      corner: 3
"""


def colourway(number: int) -> str:
    """One colourway, a key on each line."""
    threads = {"bark": "wool-0123", "moss": "wool-0488", "gorse": "wool-0702", "lichen": "wool-0009"}
    palette = "".join(f"      {key}:\n        thread: {name}\n" for key, name in threads.items())
    title = f"    title: Way {number}\n    price: 34.00\n    about: A way.\n    care: Wipe it.\n"
    return f"  WAY{number}:\n{title}    palette:\n{palette}"


def kit() -> str:
    """A kit file of nearly 2,000 lines: as many pieces and colourways as one may have."""
    head = (
        "kind: kit\nedition: 1\ndate: 2026-10-01\nage_grade: adult\npolicy: even\nneedles: {needle-16: 2}\n"
    )
    pieces = "".join(map(piece, range(40)))
    ways = "".join(map(colourway, range(40)))
    text = f"{head}pieces:\n{pieces}colourways:\n{ways}"
    return text + "# end\n" * (LINES - text.count("\n"))


def faulty(text: str) -> str:
    """The same with an empty title in its middle, so that the full validator is asked."""
    lines = text.splitlines()
    at = next(at for at, line in enumerate(lines) if at > LINES // 3 and "title:" in line)
    lines[at] = f'{lines[at].partition(":")[0]}: ""'
    return "\n".join(lines) + "\n"


def check_ms(name: str, text: str) -> float:
    """Reading the demo range with this file in it, less reading it without: schema, rules and records."""
    with tempfile.TemporaryDirectory() as folder:
        kits = Path(folder) / "kits"
        shutil.copytree(KITS, kits)
        without = (
            best_ms(lambda: read_range(kits)) if name not in {path.name for path in kits.iterdir()} else 0
        )
        (kits / name).write_text(text, encoding="utf-8")
        return best_ms(lambda: read_range(kits)) - without


def rows() -> Iterator[str]:
    """One line of results a file."""
    for title, name, text in (
        ("materials", "materials.yaml", materials()),
        ("kit", "long.yaml", kit()),
        ("materials with a fault", "materials.yaml", faulty(materials())),
        ("kit with a fault", "long.yaml", faulty(kit())),
    ):
        content = text.encode()
        loader = best_ms(lambda: yaml.load(content, Loader=yaml.CSafeLoader))  # noqa: B023 - called at once
        taken = check_ms(name, text)
        lines = text.count("\n")
        ratio = f"{taken / loader:5.1f} x the C loader ({loader:.1f} ms)"
        yield f"  {title:<24}{lines} lines  {taken:7.1f} ms  {ratio}"


def report() -> None:
    """Print what a spec of 2,000 lines takes."""
    print("spec of 2,000 lines, checked against the schema and all rules:")
    print(*rows(), sep="\n")


if __name__ == "__main__":
    report()
