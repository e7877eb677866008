"""Run every bench of this folder and print what each measures: ``python -m tests.bench [NAME ...]``.

A bench is a module here with a function ``run`` that returns the lines to print.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path


def main(wanted: list[str]) -> int:
    """Run the named benches, or all; 2 for a name that is not there."""
    found = sorted(path.stem for path in Path(__file__).parent.glob("[!_]*.py"))
    unknown = sorted(set(wanted) - set(found))
    if unknown:
        print(f"no bench named {', '.join(unknown)}; there are: {', '.join(found)}", file=sys.stderr)
        return 2
    for name in wanted or found:
        print(name)
        for line in importlib.import_module(f"tests.bench.{name}").run():
            print(f"  {line}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
