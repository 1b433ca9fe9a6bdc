"""The folder of spec files: read all of them, and tell every problem at once."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

from kitbuild.base.problem import Place, Problem, errors
from kitbuild.spec.charts import LARGEST_CHART_BYTES, ChartFile, read_chart
from kitbuild.spec.check import Checked, check
from kitbuild.spec.draft import Draft, pieces
from kitbuild.spec.lessons import lesson_record
from kitbuild.spec.make import exchanged, house_record, materials_record
from kitbuild.spec.make_kits import kit_records, trial_record
from kitbuild.spec.records import Kit, Range, Trial
from kitbuild.spec.rules import faults
from kitbuild.spec.source import Source
from kitbuild.spec.words import shown
from kitbuild.spec.yaml_text import LARGEST_BYTES, read_text

Reading = tuple[Checked | None, tuple[Problem, ...]]
Reader = Callable[[str, bytes], Reading]

_TESTED = re.compile(rb"^kit: +[\"']?([A-Z][A-Z0-9]{1,11})[\"']?\s*(?:#.*)?$", re.MULTILINE)
KITS: Final = Path("kits")
"""Where a range lies, from where the tool is run."""
NOTHING: Final[Mapping[str, str]] = MappingProxyType({})

_KIND = re.compile(rb"^kind: +[\"']?(kit|test|class)[\"']?\s*(?:#.*)?$", re.MULTILINE)


def read(file: str, content: bytes) -> Reading:
    """A spec file parsed and checked by itself: None where it has an error."""
    parsed, problems = read_text(file, content)
    if parsed is None:
        return None, problems
    checked, found = check(parsed)
    return checked, (*problems, *found)


class Remembered:
    """Reads spec files; one that is as it was when it was last read is not parsed again."""

    def __init__(self) -> None:
        self._last: dict[str, tuple[bytes, Reading]] = {}

    def __call__(self, file: str, content: bytes) -> Reading:
        """As `read`."""
        last = self._last.get(file)
        if last is None or last[0] != content:
            last = self._last[file] = (content, read(file, content))
        return last[1]


def read_range(
    folder: Path, instead: Mapping[str, str] = NOTHING, reader: Reader = read
) -> tuple[Range | None, tuple[Problem, ...]]:
    """Read every `*.yaml` and `*.yml` of `folder`, not of folders below it.

    The range holds the kits whose files have no error; it is None when the workshop file, the
    materials or the wording have one. The problems are sorted by place; warnings are among them.
    Kits are made with the material that `instead` names by its key in place of another.
    """
    name = folder.resolve().name
    contents, problems = _contents(folder, name)
    checked: list[Checked] = []
    complete = all_kits = not problems
    withheld: set[str] = set()
    for file, content in contents.items():
        one, found = reader(file, content)
        problems += found
        if one:
            checked.append(one)
            continue
        meant = _KIND.search(content)
        sure = meant is not None and not any(problem.code == "KB201" for problem in found)
        complete &= sure
        all_kits &= sure and meant is not None and meant[1] != b"kit"
        withheld |= _named_in_test(content)
    parts = (tuple(one for one in checked if one.kind == kind) for kind in _KINDS)
    draft = Draft(name, *parts, complete, all_kits, _charts(folder, name, checked))
    if contents or not problems:
        problems += faults(draft)
    unique = tuple(sorted(set(problems)))
    digests = _digests(contents, draft.charts.values())
    return _range(draft, unique, digests, withheld, instead), unique


def _digests(contents: Mapping[str, bytes], charts: Iterable[ChartFile]) -> dict[str, str]:
    """File → SHA-256 of all that was read."""
    read = {**contents, **{chart.source.file: chart.source.content for chart in charts}}
    return {file: hashlib.sha256(content).hexdigest() for file, content in read.items()}


def _named_in_test(content: bytes) -> set[str]:
    """The code of the kit that a test file speaks of which could not be read, as far as it can be told."""
    kind, code = _KIND.search(content), _TESTED.search(content)
    return {code[1].decode()} if code and kind and kind[1] == b"test" else set()


def _charts(folder: Path, name: str, checked: list[Checked]) -> dict[str, ChartFile]:
    """The chart files that kits name, those that can be read; a plain name cannot lead out of the folder."""
    found: dict[str, ChartFile] = {}
    kits = (kit for kit in checked if kit.kind == "kit")
    named = {piece.get("pattern", {}).get("chart_file") for kit in kits for piece, _ in pieces(kit)}
    for file in sorted(each for each in named if each):
        if not os.path.lexists(folder / file):
            continue
        try:
            content = _bytes(folder / file, LARGEST_CHART_BYTES)
        except OSError as error:
            told = _unread(f"{name}/{file}", error)
            found[file] = ChartFile(Source(told.place.file, b"", {}, {}), (), (told,))
        else:
            found[file] = read_chart(f"{name}/{file}", content)
    return found


def codes(folder: Path, reader: Reader = read) -> frozenset[str]:
    """The kit codes that the files of `folder` name, whether or not they can be built."""
    contents, _ = _contents(folder, folder.resolve().name)
    checked = (reader(file, content)[0] for file, content in contents.items())
    return frozenset(code for one in checked if one and one.kind == "kit" for code in _codes(one))


def _codes(kit: Checked) -> Iterator[str]:
    colourways = kit.data.get("colourways")
    names = [kit.data.get("code"), *(colourways if isinstance(colourways, dict) else ())]
    return (name for name in names if isinstance(name, str))


_KINDS = ("workshop", "materials", "kit", "test", "wording", "class")


def _contents(folder: Path, name: str) -> tuple[dict[str, bytes], list[Problem]]:
    """The bytes of each spec file by the name that problems show; hidden files are passed over."""
    if not folder.is_dir():
        place, cure = Place(shown(folder).strip("`")), "run in the folder that holds it"
        return {}, [Problem(place, "KB101", "there is no such folder", cure)]
    contents: dict[str, bytes] = {}
    problems: list[Problem] = []
    paths = [path for path in folder.iterdir() if path.suffix in (".yaml", ".yml")]
    for path in sorted(path for path in paths if not path.name.startswith(".")):
        file = f"{name}/{shown(path.name).strip('`')}"
        try:
            contents[file] = _bytes(path)
        except OSError as error:
            problems.append(_unread(file, error))
    return contents, problems


def _unread(file: str, error: OSError) -> Problem:
    reason = (error.strerror or str(error)).lower()
    cure = "check the file and its permissions"
    return Problem(Place(file), "KB101", f"the file cannot be read: {reason}", cure)


def _bytes(path: Path, most: int = LARGEST_BYTES) -> bytes:
    if not path.is_file():
        raise OSError("not a plain file")
    with path.open("rb") as file:
        return file.read(most + 1)


def _charts_of(kit: Checked, draft: Draft) -> set[str]:
    """The files that the charts of a kit were read from."""
    names = (piece.get("pattern", {}).get("chart_file") for piece, _ in pieces(kit))
    return {draft.charts[name].source.file for name in names if name in draft.charts}


def _trials(draft: Draft, bad: set[str]) -> dict[str, tuple[Trial, ...]]:
    """The test stitches of each kit, in the order of their files."""
    found: dict[str, tuple[Trial, ...]] = {}
    for file in draft.tests:
        if file.source.file not in bad:
            code, trial = trial_record(file)
            found[code] = (*found.get(code, ()), trial)
    return found


def _badly_tested(draft: Draft, bad: set[str]) -> set[str]:
    """The codes of kits with a faulty test file: without its answers they would be packed wrongly."""
    return {file.data.get("kit", "") for file in draft.tests if file.source.file in bad}


def _range(
    draft: Draft,
    problems: tuple[Problem, ...],
    digests: Mapping[str, str],
    withheld: set[str],
    instead: Mapping[str, str],
) -> Range | None:
    """The kits without a fault, but for those `withheld`: what was tested of them could not be read."""
    bad = {problem.place.file for problem in errors(problems)}
    ground = {file.source.file for file in (*draft.workshops, *draft.materials, *draft.wordings)}
    if not draft.complete or len(draft.workshops) != 1 or not draft.materials or ground & bad:
        return None
    house = house_record(draft.workshops[0], draft.wordings)
    materials = materials_record(draft.materials, house.currency)
    used = exchanged(materials, instead)
    kits: list[Kit] = []
    trials, withheld = _trials(draft, bad), withheld | _badly_tested(draft, bad)
    for file in draft.kits:
        if file.source.file not in bad and not _charts_of(file, draft) & bad:
            found = kit_records(file, used, house, draft.charts, trials)
            kits += [kit for kit in found if kit.code not in withheld]
    lessons = tuple(lesson_record(file) for file in draft.classes if file.source.file not in bad)
    return Range(tuple(sorted(kits, key=lambda kit: kit.code)), materials, house, digests, lessons)
