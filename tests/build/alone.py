"""Tests that divide their own process: each runs in one that has one thread alone."""

from __future__ import annotations

import json
import subprocess
import sys

from tests.build.tiny import environment


def alone(module: str, *arguments: object) -> dict[str, int]:
    """What a module of these tests tells as JSON when it is run by itself."""
    command = [sys.executable, "-m", module, *map(str, arguments)]
    done = subprocess.run(command, env=environment(), capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)
