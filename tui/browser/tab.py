"""The program behind one tab: a desk whose screen goes to the server that started it.

What it says of an error goes to the server's log; so it names places in the code and never holds a student's words.
"""

from __future__ import annotations

import logging
import sys
import threading

from arclore.tui.broken import broken


def report_without_words() -> None:
    """From now on an error that nothing has caught is told by its kind and place alone."""
    logging.disable(logging.CRITICAL)
    sys.excepthook = lambda _kind, error, _trace: print(broken(error), file=sys.stderr)
    threading.excepthook = lambda found: print(broken(found.exc_value), file=sys.stderr)


if __name__ == "__main__":
    report_without_words()
    from arclore.tui.desk import run

    sys.exit(run())
