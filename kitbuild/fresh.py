"""Whether there is nothing to do: told by the stamp, before any parser or library is loaded."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from kitbuild.outcome import Outcome
from kitbuild.own import own
from kitbuild.stamp import KitStamp, Row, Stamp, inputs_now, looks_the_same, problem_of, read_stamp


def nothing_to_do(wanted: Sequence[str], kits: Path, out: Path) -> tuple[Outcome, int] | None:
    """What a build of these codes, or of all, tells again and how many kits it is about; None to build."""
    stamp = read_stamp(out)
    if stamp is None or not stamp.clean or not (stamp.tidy or wanted):
        return None
    if stamp.own != own().all or not _read_before(stamp, kits):
        return None
    codes = tuple(code for code in stamp.codes if not wanted or code in wanted)
    if not codes or not set(wanted) <= set(codes):
        return None
    entries = {code: stamp.kits[code] for code in codes if code in stamp.kits}
    if len(entries) < len(codes) or not all(each.fresh and each.complete for each in entries.values()):
        return None
    if not all(looks_the_same(f"{out}/{code}", each.looks) for code, each in entries.items()):
        return None
    if not stamp.pages or not looks_the_same(str(out), stamp.pages):
        return None
    rows = told_again(stamp.found, entries.values(), everything=not wanted)
    return Outcome(tuple(problem_of(row) for row in rows), 0), len(codes)


def _read_before(stamp: Stamp, kits: Path) -> bool:
    """Whether kits/ holds what was read, byte for byte, and no more."""
    charts = (file for file in stamp.inputs if not file.endswith((".yaml", ".yml")))
    return inputs_now(kits, charts) == stamp.inputs


def told_again(found: Iterable[Row], kits: Iterable[KitStamp], *, everything: bool) -> list[Row]:
    """The problems of reading that concern these kits, and the kits' own, less those that are accepted."""
    chosen = list(kits)
    files = {file for kit in chosen for file in kit.sources}
    rows = [row for row in found if everything or not row[-1] or row[0] in files]
    for kit in chosen:
        accepted = list(kit.accepted)
        rows = [row for row in (*rows, *kit.left) if row not in accepted]
    return rows


def told_fresh(count: int) -> str:
    """The line that is told where nothing is to do."""
    return f"nothing to do: {'the kit is' if count == 1 else f'all {count} kits are'} up to date"
