"""How a form is laid out: sections by kind, each with the top fields that stand in it; what is left comes last."""

from __future__ import annotations

from arclore.tui.form.fields import Field, fields_of

KEPT = "where it is kept"
REST = "more"
_SUPPORT = ("what it rests on", ("evidence", "sources"))
SECTIONS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "drill": (
        ("what it is", ("title", "for", "clubs", "minutes")),
        ("how it is done", ("steps", "dose", "pass_mark")),
        ("safety", ("not_for", "cautions", "hazards", "space_m")),
        ("the one thought", ("cue", "cue_focus", "fade", "retest")),
        ("easier and harder", ("easier", "harder")),
        ("place and kit", ("where", "kit")),
        ("what it changes", ("effect",)),
        _SUPPORT,
    ),
    "check": (
        ("what it is", ("title", "asks", "clubs", "minutes")),
        ("how it is done", ("how", "where", "kit")),
        ("what it tells", ("results", "type", "likelihood", "measurement", "changed_set_up")),
        ("safety", ("not_for", "cautions")),
        _SUPPORT,
    ),
    "cause": (
        ("what it is", ("title", "mechanism", "clubs", "family", "stage")),
        ("what to tell the student", ("tell_student",)),
        ("how common it is", ("how_common",)),
        ("what comes of it", ("moves", "adds_scatter", "leads_to")),
        _SUPPORT,
    ),
    "symptom": (
        ("what it is", ("title", "category", "clubs")),
        ("what to ask", ("question", "confirm")),
        ("what the ball did, or how often it is seen anyway", ("outcome", "leak", "akin_to")),
        _SUPPORT,
    ),
}
WRITER = Field(("writer",), "your name", "who writes this; kept in the entry", "text", True)
FOLDER = Field(("folder",), "library", "the library folder that it is kept in; Enter chooses", "folder", True)


def sections_of(kind: str, changing: bool) -> list[tuple[str, list[Field]]]:
    """The sections of a form; the file's name is asked only of a new entry."""
    fields = fields_of(kind)
    placed = {name for _, names in SECTIONS[kind] for name in names}
    laid = [
        (title, [field for name in names for field in fields if field.path[0] == name])
        for title, names in SECTIONS[kind]
    ]
    own = [field for field in fields if field.path == ("id",) and not changing]
    rest = [field for field in fields if field.path[0] not in placed and field.path != ("id",)]
    return [*laid, (KEPT, [*own, WRITER, FOLDER]), (REST, rest)]
