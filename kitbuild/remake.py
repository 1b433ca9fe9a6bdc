"""One kit made again: only those of its outputs that show something else than those that lie there.

A kit whose inputs are those that are remembered is not computed at all. Otherwise all its documents
are composed, and drawn where their content differs: drawing knows no more, so none can be out of date.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from kitbuild import __version__
from kitbuild.base.problem import Expected, Problem
from kitbuild.build import Made, Output, make, outputs
from kitbuild.content import content_digest
from kitbuild.editions import since_release
from kitbuild.memory import Memory, Standing, remember, standing
from kitbuild.output.files import manifest_bytes, manifest_for, write_outputs
from kitbuild.own import digest, own
from kitbuild.parts import difference, parts
from kitbuild.spec.folder import KITS
from kitbuild.spec.records import Kit
from kitbuild.stamp import MANIFEST, KitStamp, Look, PackedLooks, examined, look, row_of, settled

SHOWN = 3
"""Outputs that are named of those that were made again."""


@dataclass(frozen=True, slots=True)
class Task:
    """A kit to be made, the warnings of reading it, its files (SHA-256), and how its outputs looked."""

    kit: Kit
    warnings: tuple[Problem, ...]
    inputs: Mapping[str, str]
    looks: Mapping[str, Look]


class Result(NamedTuple):
    """How a kit ended: what to tell of it, or the problems that stopped it, and how it looks now."""

    code: str
    told: str
    problems: tuple[Problem, ...]
    exit_code: int
    stamp: KitStamp | None


def up_to_date(task: Task, out: Path) -> Result | None:
    """A kit that needs no making; its manifest is set right where it names other bytes of a spec file.

    None where an input differs, or an output is not what its manifest says.
    """
    before = standing(out, task.kit.code)
    memory = before.memory
    if memory is None or memory.key != _key(task, placed=memory.placed):
        return None
    folder = out / task.kit.code
    differing, looks = examined(folder, before.digests, task.looks)
    if differing:
        return None
    manifest = _with_inputs(before.manifest, {**task.inputs, **own().files})
    if manifest_bytes(manifest) != before.manifest:
        write_outputs(folder, {}, manifest, before.digests)
        memory = memory._replace(manifest=hashlib.sha256(manifest_bytes(manifest)).hexdigest())
        remember(out, task.kit.code, memory)
    return Result(task.kit.code, "", (), 0, _stamp(task, out, memory, before.digests, looks))


def remake(task: Task, out: Path) -> Result:
    """Make a kit and write what is new of it; its problems, with all as it was, where that cannot be done."""
    try:
        return write(task, since_release(make(task.kit, task.warnings), KITS), out)
    except Expected as expected:
        return Result(task.kit.code, "", expected.problems, expected.exit_code, None)


def write(task: Task, made: Made, out: Path) -> Result:
    """Write what is new of a kit that was made, its manifest last; WriteProblem leaves all as it was."""
    kit, before, folder = task.kit, standing(out, task.kit.code), out / task.kit.code
    differing, _ = examined(folder, before.digests, task.looks)
    planned = {each.name: each for each in outputs(made)}
    contents = {name: content_digest(each.content) for name, each in planned.items()}
    kept = {name: before.digests[name] for name in _same(before, contents) if name not in differing}
    files = {name: each.draw() for name, each in planned.items() if name not in kept}
    manifest = _manifest(task, made, files, kept)
    written = manifest_bytes(manifest)
    if files or written != before.manifest:
        write_outputs(folder, files, manifest, kept)
    memory = _memory(task, made, contents, hashlib.sha256(written).hexdigest())
    remember(out, kit.code, memory)
    told = _told(task, folder, tuple(files), len(planned), _reason(task, before, differing))
    return Result(kit.code, told, (), 0, _stamp(task, out, memory, planned, {}))


def _manifest(
    task: Task, made: Made, files: Mapping[str, bytes], kept: Mapping[str, str]
) -> dict[str, object]:
    return manifest_for(
        version=__version__,
        code=made.kit.code,
        edition=made.kit.edition,
        warnings=[str(problem) for problem in made.warnings],
        files=files,
        inputs={each.name: _inputs(each, task.inputs) for each in outputs(made)},
        kept=kept,
    )


def _same(before: Standing, contents: Mapping[str, str]) -> Iterator[str]:
    """The outputs that would be drawn as those that were written before."""
    memory = before.memory
    if memory and memory.own.drawing == own().drawing:
        for name, content in contents.items():
            if memory.contents.get(name) == content and name in before.digests:
                yield name


def _memory(task: Task, made: Made, contents: Mapping[str, str], manifest: str) -> Memory:
    left = tuple(row_of(problem) for problem in made.warnings)
    accepted = tuple(row_of(problem) for problem in made.accepted)
    key = _key(task, placed=bool(left or accepted))
    return Memory(own(), key, dict(parts(task.kit)), manifest, contents, left, accepted)


def _key(task: Task, *, placed: bool) -> str:
    """One digest of all that a kit is made from.

    The bytes of its files count only where places in them are told: their values are among the parts.
    """
    warnings = [str(problem) for problem in task.warnings]
    files = sorted(task.inputs.items()) if placed else sorted(task.inputs)
    return digest(repr((own().all, parts(task.kit), warnings, files)))


def _inputs(output: Output, files: Mapping[str, str]) -> dict[str, str]:
    """The kit's spec files, and what of the tool an output depends on, each with its SHA-256."""
    names = ["kitbuild/program", "kitbuild/schemas", f"kitbuild/wording/{output.language}.yaml"]
    if not output.name.endswith(".csv"):
        names.append("kitbuild/fonts")
    return dict(files) | {name: own().files[name] for name in names}


def _with_inputs(manifest: bytes, digests: Mapping[str, str]) -> dict[str, object]:
    """A manifest with the digests that its inputs have now."""
    told = json.loads(manifest)
    for output in told["outputs"].values():
        output["inputs"] = {name: digests[name] for name in output["inputs"]}
    return told


def _stamp(
    task: Task, out: Path, memory: Memory, names: Mapping[str, object], known: Mapping[str, Look]
) -> KitStamp:
    """How the kit's files look now; those that may still change unseen are left out."""
    folder = out / task.kit.code
    looks = {name: known.get(name) or look(folder / name) for name in names}
    looks[MANIFEST] = look(folder / MANIFEST)
    seen = {name: each for name, each in looks.items() if each and settled(each)}
    complete = len(seen) == len(looks)
    sources = tuple(sorted(task.inputs))
    return KitStamp(True, complete, memory.manifest, PackedLooks(seen), sources, memory.left, memory.accepted)


def _told(task: Task, folder: Path, files: tuple[str, ...], total: int, reason: str) -> str:
    """The line that is told of a kit that was made: what of it, and why; of a new one nothing more."""
    line = f"{task.kit.code}: edition {task.kit.edition}, {folder}"
    if not reason:
        return line
    if not files:
        return f"{line}: nothing to print again, though {reason}"
    what = " and ".join(filter(None, (", ".join(files[:-1]), files[-1])))
    what = what if len(files) <= SHOWN else f"{len(files)} of {total} files"
    return f"{line}: made {what} again, because {reason}"


def _reason(task: Task, before: Standing, differing: tuple[str, ...]) -> str:
    """Why a kit that was built before is made again; "" for one that was not."""
    if before.new:
        return ""
    memory = before.memory
    if memory is None:
        return "its manifest is not that of a finished build"
    reasons = [
        *_of_the_tool(memory),
        *_of_the_files(differing),
        difference(memory.parts, dict(parts(task.kit))),
    ]
    return "; ".join(filter(None, reasons)) or "the warnings or the files that it is read from changed"


def _of_the_tool(memory: Memory) -> Iterator[str]:
    """What of the tool is another than it was."""
    then, now = memory.own, own()
    changed = [name for name in (*then.files, *now.files) if then.files.get(name) != now.files.get(name)]
    changed += ["Python or a library"] if then.libraries != now.libraries else []
    if changed:
        yield f"{', '.join(dict.fromkeys(changed))} changed"


def _of_the_files(differing: tuple[str, ...]) -> Iterator[str]:
    """Which outputs are not what their manifest says."""
    if differing:
        one = f"{differing[0]} differs" if len(differing) == 1 else f"{len(differing)} files differ"
        yield f"{one} from the manifest"
