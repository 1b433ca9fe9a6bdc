"""Make the fonts of this folder again from the whole DejaVu Sans; needs fonttools.

`python -m kitbuild.fonts.make FOLDER`, FOLDER holding DejaVuSans.ttf and DejaVuSans-Bold.ttf (version 2.37).
Both faces get the same code points, which are written to coverage.txt, one range (hexadecimal) a line.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

FACES = ("DejaVuSans", "DejaVuSans-Bold")

#: Unicode blocks that are kept as far as both faces have them.
WANTED = (
    (0x0020, 0x024F),  # Latin with its extensions A and B
    (0x02B0, 0x036F),  # modifiers, combining marks
    (0x0370, 0x052F),  # Greek, Cyrillic
    (0x1E00, 0x1EFF),  # Latin extended additional
    (0x2000, 0x218F),  # punctuation, super- and subscripts, currency, letterlike, number forms
    (0x2190, 0x22FF),  # arrows, mathematical operators
    (0x2460, 0x2473),  # numbers in rings
    (0x2500, 0x25FF),  # box drawing, blocks, geometric shapes
    (0x2600, 0x266F),  # signs, ballot boxes, card suits
    (0x26A0, 0x26A0),  # warning sign
    (0x2701, 0x2767),  # scissors, tick marks, crosses, stars
    (0x2794, 0x27BE),  # dingbat arrows
    (0xFB00, 0xFB06),  # Latin ligatures
    (0xFFFD, 0xFFFD),  # replacement
)
#: Characters that steer a program instead of leaving ink: never drawn, so never covered.
UNWANTED = frozenset((0x00AD, 0x034F, *range(0x200B, 0x2010), *range(0x2028, 0x202F), *range(0x2060, 0x2070)))

#: Seconds since 1904 of 2016-07-30, the day of DejaVu 2.37.
MODIFIED = 3552681600


def main(folder: Path) -> None:
    """Write both faces and coverage.txt beside this module."""
    here = Path(__file__).parent
    points = _shared_points(folder)
    for face in FACES:
        _write(folder / f"{face}.ttf", here / f"{face}-subset.ttf", points)
    lines = [f"{first:04X}-{last:04X}" for first, last in _ranges(points)]
    (here / "coverage.txt").write_text("\n".join(lines) + "\n", encoding="ascii", newline="\n")
    (here / "LICENSE-DejaVu.txt").write_text(_licence(folder), encoding="ascii", newline="\n")


def _licence(folder: Path) -> str:
    names = TTFont(folder / f"{FACES[0]}.ttf")["name"]
    texts = [names.getDebugName(0), names.getDebugName(13)]
    lines = [line.rstrip() for text in texts for line in (text.strip() + "\n").split("\n")]
    return "\n".join(lines).strip() + "\n"


def _shared_points(folder: Path) -> list[int]:
    cmaps = [set(TTFont(folder / f"{face}.ttf").getBestCmap()) for face in FACES]
    wanted = {point for first, last in WANTED for point in range(first, last + 1)}
    return sorted(wanted.intersection(*cmaps) - UNWANTED)


def _write(source: Path, target: Path, points: Iterable[int]) -> None:
    options = subset.Options(
        layout_features=[], hinting=False, name_IDs=["*"], notdef_outline=True, recalc_timestamp=False
    )
    options.drop_tables += ["GSUB", "GPOS", "GDEF", "kern", "MATH", "FFTM"]
    font = subset.load_font(str(source), options)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=points)
    subsetter.subset(font)
    font["head"].created = font["head"].modified = MODIFIED
    subset.save_font(font, str(target), options)


def _ranges(points: Iterable[int]) -> Iterator[tuple[int, int]]:
    first = last = -1
    for point in points:
        if point != last + 1:
            if first >= 0:
                yield first, last
            first = point
        last = point
    yield first, last


if __name__ == "__main__":
    main(Path(sys.argv[1]))
