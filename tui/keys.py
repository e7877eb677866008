"""What can be done at the desk, once: keys, footer, help and command palette are all made from this table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from textual.binding import Binding


@dataclass(frozen=True)
class Deed:
    """One thing to do: its keys, the action it calls, its name, what it does, and whether the footer shows it."""

    keys: str
    action: str
    name: str
    about: str
    footer: bool = False
    spoken: str = ""  # the keys as a person reads them, where they differ

    def binding(self, scope: str = "lesson") -> Binding:
        """The binding of its keys; its id, in the scope of its screen, lets the keys be changed."""
        name = self.action.replace("(", "-").replace(")", "").replace("'", "")
        return Binding(self.keys, self.action, self.name, show=self.footer, id=f"{scope}.{name}")


LESSON = (
    Deed("0", "zero", "not sure", "answer with: not sure"),
    Deed("s", "wave('skipped')", "skip", "leave this question"),
    Deed("enter", "confirm", "done", "that is all, where several may be chosen", spoken="Enter"),
    Deed("minus", "type('-')", "minus", "begin a number below zero", spoken="-"),
    Deed("u", "undo", "undo", "take the last answer back", footer=True),
    Deed("U,ctrl+y", "redo", "redo", "give the answer last taken back again", spoken="U"),
    Deed("up", "step(-1)", "question before", "go to the question before"),
    Deed("down", "step(1)", "question after", "go to the question after"),
    Deed("pageup", "page(-1)", "page up", "scroll a long question up", spoken="PageUp"),
    Deed("pagedown", "page(1)", "page down", "scroll a long question down", spoken="PageDown"),
    Deed("r", "view('ranking')", "ranking", "the ranking, and back", footer=True),
    Deed("e", "view('why')", "why", "the explanation of the marked cause, and back", footer=True),
    Deed("c", "check", "check", "the next check; again: another one", footer=True),
    Deed("d", "drill", "drill", "the drill; again: another one", footer=True),
    Deed("p", "picture", "picture", "what the club did, drawn; again: the next picture", footer=True),
    Deed("i", "what_if", "what if", "move ball, tee, aim, swing, face or body and see what comes of it"),
    Deed("o", "wrap", "wrap", "the page to take home: look at it and save it"),
    Deed("v", "student", "student view", "one thing in plain words, to be turned to the student"),
    Deed("g", "at_hand", "what have we got", "minutes, place and kit at hand; any of it may be skipped"),
    Deed("t", "tally", "count balls", "ten balls without help, one key each"),
    Deed("L", "lessons", "earlier lessons", "earlier lessons: next visit, go on, copy, delete"),
    Deed("l", "library", "library", "search and read the library"),
    Deed("ctrl+n", "write", "write", "write a drill, check, cause or symptom of your own", spoken="Ctrl+N"),
    Deed("w", "words", "words", "type the student's own words", footer=True),
    Deed("j", "mark(1)", "next cause", "mark the next cause"),
    Deed("k", "mark(-1)", "cause before", "mark the cause before"),
    Deed("N", "new", "new lesson", "end this lesson and begin a new one"),
    Deed("escape", "view('question')", "question", "back to the question", spoken="Esc"),
    Deed("question_mark,f1", "help", "help", "help for what has the focus, and all keys", footer=True, spoken="?"),
)
CLOSE = Deed("escape", "dismiss", "close", "back to the lesson", footer=True, spoken="Esc")
HELP = Deed("question_mark,f1", "help", "help", "help for this screen, and its keys; F1 in a field", True, "? or F1")
WHAT_IF = (
    *(Deed(str(n + 1), f"line({n})", f"line {n + 1}", f"choose line {n + 1}") for n in range(6)),
    Deed("left,minus", "move(-1)", "less", "one step back, lower, left or toward the target", True, "left or -"),
    Deed("right,plus", "move(1)", "more", "one step forward, higher, right or away from it", True, "right or +"),
    Deed("c", "club", "next club", "the same change with the next club", footer=True),
    Deed("0", "reset", "as it was", "put everything back as it was", footer=True),
    HELP,
    CLOSE,
)
WRAP = (
    Deed("s", "save", "save", "save the page, as text and for the browser or printer", footer=True),
    Deed("f", "fields", "fields", "go to the fields: name, day of the re-test, folder; Enter comes back", footer=True),
    Deed("c", "proved", "it was this", "it proved to be this cause: kept for learning; again: taken back", footer=True),
    Deed("y", "over(True)", "write over", "write over files that stand already, where asked"),
    Deed("n", "over(False)", "keep", "keep files that stand already, where asked"),
    HELP,
    CLOSE,
)
LIBRARY = (
    Deed("slash", "query", "search", "back to the search", footer=True, spoken="/"),
    Deed("ctrl+n", "write", "write", "write an entry of your own, or copy or change this one", True, "Ctrl+N"),
    Deed("b,backspace", "back", "back", "back the way you came", footer=True, spoken="b"),
    Deed("space", "scroll(1)", "page down", "scroll the entry down", footer=True, spoken="Space"),
    Deed("minus", "scroll(-1)", "page up", "scroll the entry up", spoken="-"),
    HELP,
    CLOSE,
)
STUDENT = (HELP, CLOSE)
WORDS = (
    Deed("1,y", "judge(True)", "accept", "take what the words may mean as seen", footer=True, spoken="1"),
    Deed("2,n", "judge(False)", "refuse", "leave it out", footer=True, spoken="2"),
    HELP,
    CLOSE,
)
RESUME = (
    *(Deed(str(n + 1), f"take({n})", f"lesson {n + 1}", f"go on with lesson {n + 1}") for n in range(5)),
    Deed("n,escape", "take(-1)", "new lesson", "begin a new lesson; these are kept, and L lists them", True, "n"),
    HELP,
)
STOP = (
    Deed("u", "leave('undo')", "take back", "take the answer back: it was a slip", footer=True),
    Deed("N", "leave('new')", "new lesson", "end this lesson and begin a new one", footer=True),
    HELP,
)
TALLY = (
    Deed("u", "back", "ball back", "take the last ball back", footer=True),
    Deed("w", "what", "what is counted", "count another thing: start, bend, contact", footer=True),
    Deed("c", "club", "next club", "count with the next club", footer=True),
    HELP,
    CLOSE,
)
LESSONS = (
    Deed("x", "copy", "copy", "save a copy of the marked lesson among your documents", footer=True),
    Deed("D", "delete", "delete", "delete the marked lesson for good, after asking once", footer=True),
    HELP,
    CLOSE,
)
REBIND = (
    Deed("x", "reset", "all as they came", "put all keys back as they came", footer=True),
    HELP,
    CLOSE,
)
WRITE = (HELP, CLOSE)
FORM = (
    Deed("ctrl+s", "save", "save", "save it in the library named at the end of the form", True, "Ctrl+S"),
    Deed("ctrl+r", "read", "read it", "how coach and student will read it, and back", True, "Ctrl+R"),
    Deed("ctrl+g", "next", "what is open", "go to the next field to fill in or to mend", True, "Ctrl+G"),
    Deed("f8", "throw", "throw away", "throw the draft away; asked twice", spoken="F8"),
    HELP,
    Deed("escape", "leave", "leave", "leave; what is typed is kept and offered again", footer=True, spoken="Esc"),
)
PICK = (
    Deed("space", "choose", "choose", "choose the marked line, or leave it out", footer=True, spoken="Space"),
    Deed("down", "into", "into the list", "from typing into the list", spoken="Down"),
    HELP,
    Deed("escape", "close", "done", "take what is chosen", footer=True, spoken="Esc"),
)
ROWS = (
    Deed("delete,d", "remove", "remove", "remove the marked line", footer=True, spoken="Del or d"),
    HELP,
    Deed("escape", "close", "done", "back to the form", footer=True, spoken="Esc"),
)
ROW = (HELP, Deed("escape", "close", "done", "back; what is typed is kept", footer=True, spoken="Esc"))
APP = (
    Deed("m", "app.units", "metres or yards", "lengths in metres and centimetres, or in yards and inches"),
    Deed("K", "app.rebind", "keys", "give a deed a key of your own"),
    Deed("ctrl+t", "app.light", "sun or dusk", "dark on light, or light on dark"),
    Deed("q", "app.leave", "quit", "quit; the lesson is kept and offered again", footer=True),
    Deed("ctrl+c", "app.interrupt", "save and quit", "save and quit, from anywhere"),
)


def key_for(action: str, own: Mapping[str, str]) -> str:
    """The key of a deed of the lesson as a person reads it, one's own where there is one."""
    deed = next(deed for deed in LESSON if deed.action == action)
    return own.get(str(deed.binding().id)) or deed.spoken or deed.keys


def help_rows(deeds: Sequence[Deed] = LESSON, own: Mapping[str, str] | None = None) -> list[tuple[str, str]]:
    """Every key of a screen and what it does; of the lesson's where no others are given. ``own``: keys of one's own."""
    changed = own or {}
    rows = [(changed.get(str(deed.binding().id)) or deed.spoken or deed.keys, deed.about) for deed in (*deeds, *APP)]
    digits = [("1 to 9", "choose the answer with that digit")] if deeds is LESSON else []
    return [*digits, *rows, ("ctrl+p", "all of these by name")]
