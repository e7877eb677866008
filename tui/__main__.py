"""``python -m arclore.tui`` is the command ``arclore``."""

import sys

from arclore.tui.command import main

if __name__ == "__main__":
    sys.exit(main())
