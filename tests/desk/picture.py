"""``python -m tests.desk.picture``: draw the README's picture of the desk anew, from the desk as it is now.

A lesson with a driver and a mid iron is played by keys at 132 x 42. The drawing asks for no font elsewhere, and the
frame of a window is left away.
"""

from __future__ import annotations

import asyncio
import os
import re
import tempfile
from pathlib import Path

from arclore.tui.desk import Desk
from arclore.tui.lesson_store import Store

from tests.desk.fakes import keys, settled

SIZE = (132, 42)
TYPED = "1 1 1 1 1 1 enter 1 5 enter 1 5 1 1 p"  # both clubs start left; the driver bends far right, the iron far left
PICTURE = Path(__file__).parents[2] / ".pictures" / "desk.svg"
LEFT_AWAY = (r"<!--.*?-->", r"@font-face \{.*?\n    \}", r'<g transform="translate\(26,22\)">.*?</g>')


async def drawn() -> str:
    """The screen at the end of the lesson as an SVG."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_CONFIG_HOME"] = folder
        app = Desk(store=Store(Path(folder) / "lessons"))
        async with app.run_test(size=SIZE) as pilot:
            await settled(pilot)
            await keys(pilot, TYPED)
            return app.export_screenshot(title=" ")


def alone(picture: str) -> str:
    """The picture without anything that names another place, in a font that every system has a kind of."""
    for part in LEFT_AWAY:
        picture = re.sub(part, "", picture, flags=re.DOTALL)
    return picture.replace("Fira Code, monospace", "DejaVu Sans Mono, monospace")


if __name__ == "__main__":
    PICTURE.write_text(alone(asyncio.run(drawn())), encoding="utf-8")
    print(PICTURE)
