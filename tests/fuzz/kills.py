"""`python -m tests.fuzz.kills N`: N builds killed at random moments, each followed by a whole one."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.build.kills import Killing


def main() -> None:
    """Stop at the first fault."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    with tempfile.TemporaryDirectory() as folder:
        killing = Killing(Path(folder) / "shop", seed)
        early = sum(killing.round() for _ in range(count))
    print(f"{count} builds of {killing.seconds:.1f} s: {early} were ended early, and all files were whole")


if __name__ == "__main__":
    main()
