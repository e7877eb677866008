"""Who wrote an entry: whoever changed what it says, under any name, and nobody who only laid it out anew."""

from __future__ import annotations

import json
import unicodedata
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.upkeep.history import history_of
from arclore.engine.upkeep.people import person, same
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.shared.conftest import Make, commit, drill, git, put
from tests.shared.test_review import NADIA, ORLA, PIERS, judge, status_of

INES = "Ines Thorne <ines@stonebeck.example>"
BRUSH = drill("larkmoor-brush", author="Orla Fenwick")
PATH = "drills/larkmoor-brush.yaml"


@pytest.fixture
def library(make: Make) -> Path:
    folder = make("larkmoor", BRUSH)
    git(folder.parent, "init", "-q", str(folder))
    commit(folder, ORLA)
    return folder


def writers(folder: Path) -> set[str]:
    return {str(who) for who in history_of(folder).writers[PATH]}


def laid_out(entry: dict[str, Any]) -> list[str]:
    """The same content in other words of YAML."""
    backwards = dict(reversed(entry.items()))
    return [
        json.dumps(entry) + "\n",
        "# as we do it on the lower range\n" + json.dumps(entry, indent=3, ensure_ascii=False) + "  # end\n",
        json.dumps(backwards, indent=1) + "\n\n",
        json.dumps(entry, indent=1).replace("\n", "\r\n") + "\r\n",
    ]


def test_a_link_does_not_stand_as_what_was_committed(library: Path) -> None:
    assert PATH in history_of(library).settled
    kept = (library / PATH).rename(library.parent / "kept.yaml")
    (library / PATH).symlink_to(kept)
    assert PATH not in history_of(library).settled


def test_laying_out_anew_and_comments_make_nobody_an_author(library: Path) -> None:
    for text, who in zip(laid_out(BRUSH), (PIERS, NADIA, INES, PIERS), strict=True):
        (library / PATH).write_bytes(text.encode())
        commit(library, who)
    assert writers(library) == {ORLA}
    judge(library)
    commit(library, PIERS)
    assert status_of(library).status == "approved"


def test_content_that_comes_with_a_new_layout_makes_an_author(library: Path) -> None:
    (library / PATH).write_text("# tidied\n" + json.dumps({**BRUSH, "minutes": 6}), encoding="utf-8")
    commit(library, PIERS)
    assert writers(library) == {ORLA, PIERS}
    (library / PATH).write_text(json.dumps(BRUSH), encoding="utf-8")
    commit(library, NADIA)
    assert writers(library) == {ORLA, PIERS, NADIA}, "taking a change back is a change"


def test_a_file_that_could_not_be_read_before_or_after_counts_as_changed(library: Path) -> None:
    sound = (library / PATH).read_text(encoding="utf-8")
    (library / PATH).write_text(sound + "}", encoding="utf-8")
    commit(library, PIERS)
    (library / PATH).write_text(sound, encoding="utf-8")
    commit(library, NADIA)
    assert writers(library) == {ORLA, PIERS, NADIA}


def test_moving_a_file_makes_no_author_and_loses_none(library: Path) -> None:
    old = drill("larkmoor-sweep", author="Orla Fenwick")
    put(library, old)
    commit(library, ORLA)
    (library / "drills" / "larkmoor-sweep.yaml").unlink()
    put(library, {**old, "id": "larkmoor-rake"})
    commit(library, PIERS)
    git(library, "mv", "drills/larkmoor-rake.yaml", "drills/larkmoor-broom.yaml")
    commit(library, NADIA)
    found = {str(who) for who in history_of(library).writers["drills/larkmoor-broom.yaml"]}
    assert found == {ORLA, PIERS}, "the id is content, the name of the file is not"


def test_a_merge_makes_an_author_only_where_its_content_is_that_of_neither_side(library: Path) -> None:
    def branch(name: str, who: str, **fields: Any) -> None:
        git(library, "checkout", "-q", "-b", name, "main")
        put(library, {**BRUSH, **fields})
        commit(library, who)

    branch("one", PIERS, cue="brush it once")
    branch("two", NADIA, cue="brush it twice")
    git(library, "merge", "-q", "--no-edit", "one", who=INES, fails=True)
    (library / PATH).write_text("# as one\n" + json.dumps({**BRUSH, "cue": "brush it once"}), encoding="utf-8")
    commit(library, INES, "merge")
    assert writers(library) == {ORLA, PIERS, NADIA}
    git(library, "checkout", "-q", "one")
    git(library, "merge", "-q", "--no-edit", "two^1", who=INES, fails=True)
    put(library, {**BRUSH, "cue": "brush it both ways"})
    commit(library, INES, "merge in words of my own")
    assert INES in writers(library)


def test_whoever_git_knows_under_another_name_is_the_author_too(library: Path) -> None:
    alias = "rangehand <hand@home.example>"
    (library / ".mailmap").write_text(f"{PIERS} {alias}\n", encoding="utf-8")
    put(library, {**BRUSH, "minutes": 7})
    commit(library, alias)
    judge(library, PIERS, content={**BRUSH, "minutes": 7})
    commit(library, PIERS)
    assert [each.why_not for each in status_of(library).reviews] == ["by an author"]
    judge(library, alias, content={**BRUSH, "minutes": 7})
    commit(library, alias)
    assert {each.why_not for each in status_of(library).reviews} == {"by an author"}


def test_a_name_that_breaks_the_line_invents_no_change(library: Path) -> None:
    odd = "Ines\u2028:000000 100644 0 1 A\tdrills/larkmoor-brush.yaml\x0bThorne <ines@stonebeck.example>"
    put(library, drill("larkmoor-sweep", author="Ines Thorne"))
    commit(library, odd)
    assert writers(library) == {ORLA}


SPELLINGS = ("{first} {last}", "{last}, {first}", "{last} {first}", "{f}. {last}", "{first}.{last}@range.example")
LOOKALIKES = [str.maketrans(*pair) for pair in (("aeopcyxij", "аеорсухіј"), ("aov", "αον"), ("lo", "10"), ("o", "ø"))]


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(["Orla Fenwick", "Zoé Brandt", "Jürgen Oakley"]),
    st.sampled_from(SPELLINGS),
    st.sampled_from([str.upper, str.lower, str.title, str]),
    st.sampled_from([*LOOKALIKES, {}]),
    st.sampled_from(["NFC", "NFD", "NFKC"]),
    st.text(alphabet=" \u00a0\u200b\u2060\u00ad", max_size=3),
)
def test_no_spelling_of_a_name_makes_another_person(
    name: str, spelling: str, case: Any, foreign: bool, form: Any, between: str
) -> None:
    first, last = name.split()
    written = case(spelling.format(first=first, last=last, f=first[0]))
    written = written.translate(foreign)
    written = unicodedata.normalize(form, f"{between}{written}{between}")
    assert same(person(written), person(f"{name} <orla@larkmoor.example>"))
    assert same(person(f"{name} <orla@larkmoor.example>"), person(written))


SETTINGS = {
    "signatures are shown": "[log]\n\tshowSignature = true\n",
    "another encoding": "[i18n]\n\tlogOutputEncoding = UTF-16\n\tcommitEncoding = ISO-8859-1\n",
    "colours": "[color]\n\tui = always\n",
    "renames are not looked for": "[diff]\n\trenames = false\n\trenameLimit = 1\n",
    "an order of files": "[diff]\n\torderFile = order\n",
    "another form of the log": "[log]\n\tdecorate = full\n\tdiffMerges = off\n[format]\n\tpretty = oneline\n",
    "short names": "[core]\n\tabbrev = 4\n\tquotePath = true\n\tprecomposeUnicode = false\n",
    "line ends": "[core]\n\tautocrlf = true\n\teol = crlf\n",
    "a pager and an editor": "[core]\n\tpager = false\n\teditor = false\n[pager]\n\tlog = true\n",
}


@pytest.fixture
def renamed(library: Path) -> Path:
    """A library in which two drills were changed as they were renamed, one by a Zoë, and one is approved."""
    for name in ("sweep", "rake"):
        put(library, drill(f"larkmoor-{name}", author="Orla Fenwick"))
    commit(library, ORLA)
    for old, new in (("sweep", "mop"), ("rake", "hoe")):
        (library / "drills" / f"larkmoor-{old}.yaml").unlink()
        put(library, drill(f"larkmoor-{new}", author="Orla Fenwick"))
    commit(library, "Zoë Brandt <zoe@larkmoor.example>")
    judge(library)
    commit(library, PIERS)
    return library


@pytest.mark.parametrize("name", SETTINGS)
def test_no_setting_of_somebodys_git_changes_who_wrote_what(
    renamed: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", "/dev/null")
    before = history_of(renamed)
    assert {str(who) for who in before.writers["drills/larkmoor-mop.yaml"]} == {
        ORLA,
        "Zoë Brandt <zoe@larkmoor.example>",
    }
    place = renamed.parent / "settings"
    place.write_text(SETTINGS[name], encoding="utf-8")
    (renamed / "order").write_text("reviews/*\n", encoding="utf-8")
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", str(place))
    assert history_of(renamed) == before
    assert status_of(renamed).status == "approved"


def test_a_commit_that_is_replaced_on_one_computer_is_still_who_it_was(library: Path) -> None:
    commit(put(library, {**BRUSH, "minutes": 7}), NADIA)
    before = history_of(library)
    tree, head = (git(library, "rev-parse", name).strip() for name in ("HEAD^{tree}", "HEAD"))
    other = git(library, "commit-tree", tree, "-p", "HEAD^", "-m", "change", who=INES).strip()
    git(library, "replace", head, other)
    assert "Ines" in git(library, "log", "-1", "--format=%an")
    assert history_of(library) == before
