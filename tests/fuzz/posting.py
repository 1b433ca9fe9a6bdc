"""`python -m tests.fuzz.posting N`: N postings of a run killed at random moments."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.build.test_ledger import kill_often


def main() -> None:
    """Stop at the first ledger that is neither the old one nor the new one."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    with tempfile.TemporaryDirectory() as folder:
        posted = kill_often(Path(folder), count, seed)
    print(f"{count} postings killed: {posted} had happened, {count - posted} had not, none was in between")


if __name__ == "__main__":
    main()
