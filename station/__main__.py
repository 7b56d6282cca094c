"""Run the command by `python -m station`."""

import sys

from station.cli import main

sys.exit(main())
