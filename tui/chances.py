"""A chance in words with its number beside it: how a cause stands against the field, and how likely a thing is."""

from __future__ import annotations

from arclore.tui.command.page import in_hundred

STANDS_OUT = 0.15  # a chance below this is no lead to lean on
LEADS = ((0.85, "leads, nearly sure"), (0.5, "leads, likelier than not"), (STANDS_OUT, "leads, but not sure"))
FAR_FROM_SURE = "leads, but far from sure"
LIKELY = (
    (0.97, "nearly sure"),
    (0.8, "very likely"),
    (0.6, "likely"),
    (0.4, "as likely as not"),
    (0.15, "possible"),
    (0.05, "unlikely"),
)
HARDLY = "hardly likely"
CLOSE, POSSIBLE = 0.7, 0.3  # of the leader's chance


def standing(chance: float, top: float, first: bool) -> str:
    """How a cause stands: the leader by how sure it is, the others by their share of the leader's chance."""
    if first:
        words = next((words for least, words in LEADS if chance >= least), FAR_FROM_SURE)
    elif chance >= 0.5:
        words = "likely too"
    else:
        share = chance / top if top else 0.0
        words = "close behind" if share >= CLOSE else "possible" if share >= POSSIBLE else "less likely"
    return f"{words} ({in_hundred(chance)})"


def likely(chance: float) -> str:
    """How likely a thing is by itself."""
    return f"{next((words for least, words in LIKELY if chance >= least), HARDLY)} ({in_hundred(chance)})"
