"""`build`: the range read, and those of its kits made again that are not what would be made now."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from kitbuild.base.problem import Place, Problem, WriteProblem, errors
from kitbuild.build import sources
from kitbuild.crew import Ended, crew
from kitbuild.fresh import told_again, told_fresh
from kitbuild.memory import forget, remembered
from kitbuild.outcome import Outcome
from kitbuild.output.files import explained, replace_file, sweep
from kitbuild.output.lock import only_one
from kitbuild.own import own
from kitbuild.progress import Progress
from kitbuild.remake import Result, Task, remake, up_to_date
from kitbuild.spec.folder import KITS, read_range
from kitbuild.spec.records import Kit, Range
from kitbuild.spec.words import listed
from kitbuild.stamp import (
    KEPT,
    MANIFEST,
    RELEASED,
    STAMP,
    KitStamp,
    Look,
    Stamp,
    file_digest,
    look,
    manifest_digests,
    problem_of,
    read_stamp,
    released_now,
    row_of,
    stamp_bytes,
)

Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Shop:
    """What every kit of one build has in common, and the kits that are asked for."""

    out: Path
    tasks: tuple[Task, ...]


def build_kits(wanted: Sequence[str], out: Path, tell: Tell, jobs: int) -> Outcome:
    """Build the kits of these codes, or all; one kit's problem does not stop the others."""
    kits, found = read_range(KITS)
    chosen = [kit for kit in (kits.kits if kits else ()) if not wanted or kit.code in wanted]
    if kits is None or not chosen:
        return Outcome(
            tuple(each for each in found if not wanted or not each.warning), int(bool(errors(found)))
        )
    kits = replace(kits, digests={**kits.digests, **released_now(KITS)})
    try:
        with only_one(out, out / KEPT / "lock"):
            return _locked(kits, chosen, found, out, tell, jobs, everything=not wanted)
    except WriteProblem as problem:
        return Outcome(problem.problems, problem.exit_code)


def _locked(
    kits: Range,
    chosen: Sequence[Kit],
    found: tuple[Problem, ...],
    out: Path,
    tell: Tell,
    jobs: int,
    *,
    everything: bool,
) -> Outcome:
    """The same with the folder to ourselves. The stamp is gone until all is done."""
    before = read_stamp(out)
    with explained(out):
        (out / KEPT / STAMP).unlink(missing_ok=True)
    shop = Shop(out, tuple(_task(kit, kits, found, before) for kit in chosen))
    for folder in (out, out / KEPT, out / KEPT / "kits", *(out / kit.code for kit in chosen)):
        if folder.is_dir():
            sweep(folder)
    results = {result.code: result for result in _results(shop, tell, jobs)}
    if not (errors(found) or any(result.told or result.problems for result in results.values())):
        tell(told_fresh(len(chosen)))
    others = _others(kits, out)
    if everything and not errors(found):
        _remove(others, out, tell)
        others = ()
    pages, failed = _pages(kits, out)
    _write_stamp(_stamp(kits, found, before, results)._replace(tidy=not others, pages=pages), out)
    return _outcome(found, [*(results[kit.code] for kit in chosen), *failed], everything=everything)


def _pages(kits: Range, out: Path) -> tuple[dict[str, Look], list[Result]]:
    """The pages of the range written, how they look, and what stopped them."""
    from kitbuild.range_page import write_pages

    try:
        names = write_pages(out, [kit.code for kit in kits.kits], kits.kits[0].house)
    except WriteProblem as problem:
        return {}, [Result("", "", problem.problems, problem.exit_code, None)]
    return {name: seen for name in names if (seen := look(out / name))}, []


def _task(kit: Kit, kits: Range, found: Sequence[Problem], before: Stamp | None) -> Task:
    released = [file for file in kits.digests if f"/{RELEASED}/{kit.code}/" in file]
    inputs = {file: kits.digests[file] for file in sorted((*sources(kit), *released))}
    warnings = tuple(each for each in found if each.warning and each.place.file in inputs)
    entry = before.kits.get(kit.code) if before else None
    return Task(kit, warnings, inputs, entry.looks if entry else {})


def _results(shop: Shop, tell: Tell, jobs: int) -> Iterator[Result]:
    """Every kit's result; what is told of them comes in the order of their codes."""
    settled = {at: _settled(task, shop.out) for at, task in enumerate(shop.tasks)}
    todo = [at for at, result in settled.items() if result is None]
    progress, next_told = Progress(len(todo)), 0
    names = [task.kit.code for task in shop.tasks]
    work = crew(todo, partial(_make, shop), jobs, lambda at: progress.begun(names[at]))
    with closing(work):  # type: ignore[type-var]
        for result in _unbroken(work, shop):
            settled[names.index(result.code)] = result
            progress.ended(result.code)
            while next_told < len(names) and (done := settled[next_told]):
                if done.told:
                    progress.clear()
                    tell(done.told)
                next_told += 1
    progress.clear()
    yield from (result for result in settled.values() if result)


def _unbroken(work: Iterator[Result], shop: Shop) -> Iterator[Result]:
    """The results; WriteProblem where a process was ended from outside."""
    try:
        yield from work
    except Ended as ended:
        message = "a process of the build was ended from outside, perhaps for want of memory"
        cure = "build again; with --jobs 1 it takes the least memory"
        raise WriteProblem([Problem(Place(shop.out.as_posix()), "KB807", message, cure)]) from ended


def _settled(task: Task, out: Path) -> Result | None:
    """The result of a kit that needs no making."""
    try:
        return up_to_date(task, out)
    except WriteProblem as problem:
        return Result(task.kit.code, "", problem.problems, problem.exit_code, None)


def _make(shop: Shop, at: int) -> Result:
    return remake(shop.tasks[at], shop.out)


def _stamp(
    kits: Range, found: Sequence[Problem], before: Stamp | None, results: Mapping[str, Result]
) -> Stamp:
    """What is known now; kits that were not asked for stay as fresh as what was read is the same."""
    clean = not errors(found)
    same = before is not None and before.own == own().all and before.inputs == kits.digests and before.clean
    entries: dict[str, KitStamp] = {}
    for kit in kits.kits:
        result, earlier = results.get(kit.code), before.kits.get(kit.code) if before else None
        if result and result.stamp:
            entries[kit.code] = result.stamp
        elif not result and earlier:
            entries[kit.code] = earlier._replace(fresh=earlier.fresh and same)
    codes = tuple(kit.code for kit in kits.kits)
    return Stamp(own().all, clean, False, kits.digests, codes, tuple(map(row_of, found)), entries)


def _write_stamp(stamp: Stamp, out: Path) -> None:
    """Write the stamp; without it the next build only takes longer."""
    with suppress(WriteProblem):
        replace_file(out / KEPT / STAMP, stamp_bytes(stamp))


def _outcome(found: Sequence[Problem], results: Sequence[Result], *, everything: bool) -> Outcome:
    """All problems, each once: those of reading that concern the kits, of the kits, and what stopped them."""
    rows = [row_of(problem) for problem in found]
    made = [result.stamp for result in results if result.stamp]
    told = [problem_of(row) for row in told_again(rows, made, everything=everything)]
    told += [problem for result in results for problem in result.problems]
    codes = [result.exit_code for result in results]
    return Outcome(tuple(told), max([int(bool(errors(found))), *codes]))


def _others(kits: Range, out: Path) -> tuple[str, ...]:
    """The kits that were built here and that the range has no more."""
    codes = {kit.code for kit in kits.kits}
    return tuple(code for code in remembered(out) if code not in codes)


def _remove(codes: Sequence[str], out: Path, tell: Tell) -> None:
    """Remove what was made of kits, and their pages; a file that was altered since stays, and is told."""
    from kitbuild.range_page import page_of

    for code in codes:
        folder = out / code
        with explained(folder):
            left = _remove_outputs(folder)
            page_of(out, code).unlink(missing_ok=True)
            forget(out, code)
        tell(f"{code}: no longer in the range, {left or f'its files in {folder} are removed'}")


def _remove_outputs(folder: Path) -> str:
    """Remove the outputs that are as they were built; what is to be told of the others, "" for none."""
    if not folder.is_dir():
        return ""
    manifest = b""
    with suppress(OSError):
        manifest = (folder / MANIFEST).read_bytes()
    digests = manifest_digests(manifest)
    if not digests:
        if not any(folder.iterdir()):
            return ""
        why = f"{MANIFEST} is missing or damaged, so that nobody can say which of them were built"
        return f"but its files in {folder} stay: {why}; remove them by hand"
    found = {name: file_digest(folder / name) for name in digests if (folder / name).is_file()}
    altered = sorted(name for name, digest in found.items() if digest != digests[name])
    for name in (*(name for name in found if name not in altered), MANIFEST):
        (folder / name).unlink()
    with suppress(OSError):
        folder.rmdir()
    if not altered:
        return ""
    they = "stay: they were" if altered[1:] else "stays: it was"
    kept = f"{listed(altered, 'and')} {they} altered since, by hand or by a build that was ended"
    return f"its files in {folder} are removed, but {kept}"
