"""Cut plans: beside published values, beside the proven bound, beside other rules, and how time grows.

`python -m tests.bench.cuts`; times are of the processor, in one process.
"""

from __future__ import annotations

import random
import statistics
import time
from dataclasses import replace

import rectpack

from kitbuild.production.cut_plan import cut
from kitbuild.production.cut_records import CutJob, Cutting, Supply, Wanted
from tests.production.instances import instances
from tests.production.test_cut_plan import SHEET, assert_sound

SEEDS = 50
"""Realistic jobs."""


def realistic(seed: int, pieces: int | None = None) -> CutJob:
    """1 to 12 blanks of 10 to 60 holes, 10 to 2,000 pieces, from sheets of 70 x 90 with a kerf."""
    chance = random.Random(seed)
    blanks, number = chance.randint(1, 12), pieces or chance.randint(10, 2000)
    shares = [chance.random() + 0.1 for _ in range(blanks)]
    wanted = tuple(
        Wanted(
            f"p{at}",
            chance.randint(10, 60),
            chance.randint(10, 60),
            chance.random() < 0.5,
            max(1, round(number * shares[at] / sum(shares))),
        )
        for at in range(blanks)
    )
    return CutJob(wanted, (SHEET,), 1)


def several(seed: int) -> CutJob:
    """The same from two sizes of sheet, and from offcuts at no cost of which there are few."""
    chance = random.Random(seed)
    sizes = [(chance.randint(20, 60), chance.randint(20, 80), chance.randint(1, 6)) for _ in range(4)]
    offcuts = tuple(Supply(f"o{at}", "sheet", w, h, 0, n) for at, (w, h, n) in enumerate(sizes))
    large = Supply("large", "sheet", 90, 130, chance.randint(240, 300))
    return replace(realistic(seed), supplies=(SHEET, large, *offcuts))


def timed(job: CutJob) -> tuple[Cutting, float]:
    """A plan that was looked at, and the seconds it took."""
    begin = time.process_time()
    made = cut(job)
    taken = time.process_time() - begin
    assert_sound(job, made)
    return made, taken


def packed(job: CutJob) -> int:
    """The fewer sheets of two ways of rectpack, kerfs kept; all blanks of a job turn, or none.

    One of the two need not be cuttable from edge to edge.
    """
    counts = []
    for algorithm in (rectpack.GuillotineBssfSas, rectpack.MaxRectsBssf):
        packer = rectpack.newPacker(rotation=job.wanted[0].may_turn, pack_algo=algorithm)
        for each in job.wanted:
            for _ in range(each.quantity):
                packer.add_rect(each.columns + job.kerf, each.rows + job.kerf)
        packer.add_bin(SHEET.columns + job.kerf, SHEET.rows + job.kerf, count=float("inf"))
        packer.pack()
        counts.append(len(packer))
    return min(counts)


def published() -> None:
    """Every open instance."""
    print("\nopen instances: plan, bound, best published, seconds")
    even = over = 0
    for each in instances():
        made, taken = timed(each.job)
        assert each.area_bound <= made.bound
        good = float(made.cost) <= each.published + 1e-6
        even, over = even + good, over + (made.cost > each.most)
        mark = "" if good else "  above"
        told = f"{int(made.cost):>10}{int(made.bound):>10}{each.published:>12g}{taken:7.2f}"
        print(f"  {each.name:<8}{told}{mark}")
    print(f"  {even} of {len(instances())} no more than published, {over} more than one sheet or 1 % over")


def bounded() -> None:
    """The realistic jobs: sheets over the bound and seconds."""
    made = [timed(realistic(seed)) for seed in range(SEEDS)]
    above = [int((each.cost - each.bound) / SHEET.cost) for each, _ in made]
    times = [taken for _, taken in made]
    print(f"\n{SEEDS} realistic jobs: {above.count(0)} at the bound, {max(above)} sheets over at most")
    print(f"  seconds: median {statistics.median(times):.3f}, most {max(times):.2f}")


def beside_rectpack() -> None:
    """The realistic jobs, all of whose blanks turn in every other job, in none of the rest."""
    ours, theirs = [], []
    for seed in range(SEEDS):
        job = realistic(seed)
        job = replace(job, wanted=tuple(replace(each, may_turn=seed % 2 == 0) for each in job.wanted))
        ours.append(timed(job)[0].sheets)
        theirs.append(packed(job))
    fewer = sum(our < their for our, their in zip(ours, theirs, strict=True))
    more = sum(our > their for our, their in zip(ours, theirs, strict=True))
    print(f"\nrectpack {sum(theirs)} sheets, ours {sum(ours)}; fewer in {fewer} of {SEEDS}, more in {more}")


def growing() -> None:
    """Ten times as many pieces."""
    some, many = (sum(timed(realistic(s, n))[1] for s in range(20)) for n in (1000, 10_000))
    print(f"\n10,000 pieces take {many / some:.2f} times as long as 1,000")


def mixed() -> None:
    """Several kinds of sheet, few offcuts: cost over the bound."""
    gaps, times = [], []
    for seed in range(SEEDS):
        made, taken = timed(several(seed))
        gaps.append(100 * float(made.cost / made.bound - 1) if made.bound else 0.0)
        times.append(taken)
    print(f"\nseveral kinds: over the bound median {statistics.median(gaps):.2f} %, most {max(gaps):.2f} %")
    print(f"  seconds: median {statistics.median(times):.3f}, most {max(times):.2f}")


def main() -> None:
    """Everything, in about four minutes."""
    cut(realistic(0))
    bounded()
    beside_rectpack()
    growing()
    mixed()
    published()


if __name__ == "__main__":
    main()
