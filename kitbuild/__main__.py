"""`python -m kitbuild`."""

import sys

from kitbuild.cli import main

sys.exit(main())
