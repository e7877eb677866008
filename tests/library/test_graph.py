"""The graph: every entry a node, every name an edge or a row, the same bytes each time."""

from __future__ import annotations

import copy
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from arclore.engine.library.graph import build_graph, names_what, wrong_names
from arclore.engine.library.read import Document
from arclore.engine.library.stack import load_layers

Entry = Callable[..., dict[str, Any]]
Write = Callable[..., Path]


def test_nodes_are_the_entries_and_edges_what_they_name(entry: Entry, write: Write) -> None:
    cause = entry("cause", leads_to=[{"symptom": "stings", "how_often": "often"}])
    check = entry("check")
    check["likelihood"]["causes"] = ["bent-low"]
    drill, words, case = entry("drill"), entry("words"), entry("case")
    case["case"] = {"present": ["stings"], "checks": {"look-at-back": "bent"}}
    library = load_layers([write(entry("symptom"), cause, check, drill, words, case)])
    graph, problems = build_graph(library)
    assert library.problems == problems == []
    assert set(graph) == set(library.documents) and len(graph) == 6
    assert {(a[0], b[0], name) for a, b, name in graph.edges(keys=True)} == {
        ("cause", "symptom", "leads_to"),
        ("check", "cause", "tests"),
        ("drill", "cause", "treats"),
        ("words", "symptom", "means"),
        ("case", "symptom", "present"),
        ("case", "check", "checked"),
    }
    assert graph.edges[("cause", "bent-low"), ("symptom", "stings"), "leads_to"] == {"how_often": "often"}


def test_an_unknown_name_is_a_row_at_its_place_and_no_node(entry: Entry, write: Write) -> None:
    cause = entry("cause", leads_to=[{"symptom": "stingz", "how_often": "often"}], upstream_of=["gone"])
    claim = {"about": "cue", "kind": "published", "direction": "mixed", "source": "no-paper"}
    drill = entry("drill", sources=["no-book"], evidence={"kind": "estimate", "claims": [claim]})
    root = write(entry("symptom"), cause, drill)
    graph, problems = build_graph(load_layers([root]))
    assert len(graph) == 3 and graph.number_of_edges() == 1
    found = {(row.code, row.field): row for row in problems}
    assert set(found) == {
        ("unknown-id", "leads_to.0.symptom"),
        ("unknown-id", "upstream_of.0"),
        ("unknown-source", "sources.0"),
        ("unknown-source", "evidence.claims.0.source"),
    }
    row = found["unknown-id", "leads_to.0.symptom"]
    lines = (root / "causes" / "bent-low.yaml").read_text(encoding="utf-8").split("\n")
    assert lines[row.line - 1][row.column - 1 :].startswith('"symptom": "stingz"')
    assert row.hint == "nearest: stings"


def test_an_entry_left_out_is_told_its_wrong_names_at_once(entry: Entry, write: Write) -> None:
    cause = entry("cause", leads_to=[{"symptom": "stingz", "how_often": "often"}], stage="nowhere", upstream_of=7)
    library = load_layers([write(entry("symptom"), cause)])
    assert [row.field for row in library.problems] == ["stage", "upstream_of"]
    graph, problems = build_graph(library)
    assert [(row.code, row.field) for row in problems] == [("unknown-id", "leads_to.0.symptom")]
    assert len(graph) == 1


def test_a_name_of_an_entry_left_out_says_so(entry: Entry, write: Write) -> None:
    cause = entry("cause", leads_to=[{"symptom": "stings", "how_often": "often"}])
    _, problems = build_graph(load_layers([write(entry("symptom", leak="now and then"), cause)]))
    assert [row.hint for row in problems] == ["it is left out until its own problems are mended"]


def test_two_relations_of_one_pair_both_survive(entry: Entry, write: Write) -> None:
    cause = entry("cause", exclusive_with=["other"], upstream_of=["other"])
    graph, problems = build_graph(load_layers([write(cause, entry("cause", "other"))]))
    assert problems == []
    one, other = ("cause", "bent-low"), ("cause", "other")
    assert set(graph[one][other]) == {"exclusive_with", "upstream_of"}
    assert set(graph[other][one]) == {"exclusive_with"}  # excludes both ways, though one entry says it


def test_progressions_agree_from_either_end(entry: Entry, write: Write) -> None:
    easy, hard = entry("drill", "easy", harder_drill="hard"), entry("drill", "hard", easier_drill="easy")
    graph, problems = build_graph(load_layers([write(entry("cause"), easy, hard)]))
    assert problems == []
    assert [(a[1], b[1]) for a, b, name in graph.edges(keys=True) if name == "harder"] == [("easy", "hard")]


def test_a_cycle_is_reported_with_its_members(entry: Entry, write: Write) -> None:
    drills = [entry("drill", name, harder_drill=after) for name, after in ("ab", "bc", "ca")]
    for drill in drills:
        drill["id"] = f"drill-{drill['id']}"
        drill["harder_drill"] = f"drill-{drill['harder_drill']}"
    root = write(entry("cause"), *drills, entry("drill", "drill-d", harder_drill="drill-a"))
    _, problems = build_graph(load_layers([root]))
    assert [row.code for row in problems] == ["cycle"]
    assert problems[0].message.endswith("drill-a > drill-b > drill-c > drill-a")
    assert problems[0].path.endswith("drill-a.yaml") and problems[0].field == "harder_drill"


def test_an_entry_that_names_itself_is_a_row(entry: Entry, write: Write) -> None:
    _, problems = build_graph(load_layers([write(entry("cause", upstream_of=["bent-low"]))]))
    assert [row.code for row in problems] == ["names-itself"]


def test_results_that_no_check_has_are_rows(entry: Entry, write: Write) -> None:
    check = entry("check")
    check["likelihood"]["positive"] = "bend"
    case = entry("case", case={"checks": {"look-at-back": "crooked"}})
    _, problems = build_graph(load_layers([write(check, case)]))
    assert [(row.code, row.field) for row in problems] == [
        ("unknown-result", "case.checks.look-at-back"),
        ("unknown-result", "likelihood.positive"),
    ]


def test_one_entry_alone_is_told_the_same_as_in_its_library(entry: Entry, write: Write) -> None:
    check = entry("check")
    check["likelihood"] |= {"positive": "bend", "causes": ["bent-lo", "bent-low"], "source": "nobody-1900"}
    drill = entry("drill", easier_drill="brush", sources=["nobody-1900"])
    library = load_layers([write(check, drill, entry("cause"))])
    told = {row for key in library.documents for row in wrong_names(library, library.documents[key])}
    assert sorted(told) == build_graph(library)[1] != []
    half = Document(Path("x.yaml"), {"kind": "check", "likelihood": {"positive": "bend"}}, {})
    assert [row.code for row in wrong_names(library, half)] == ["unknown-result"]


def test_fields_that_name_something_say_what() -> None:
    assert names_what("cause", ("leads_to", "*", "symptom")) == "symptom"
    assert names_what("drill", ("harder_drill",)) == "drill"
    assert names_what("drill", ("sources", "*")) == "source"
    assert names_what("check", ("changed_set_up", "negative")) == "result"
    assert names_what("drill", ("title",)) == ""


def test_building_writes_nothing_into_the_entries(entry: Entry, write: Write) -> None:
    cause = entry("cause", leads_to=[{"symptom": "stings", "how_often": "often"}])
    library = load_layers([write(cause, entry("symptom"), entry("drill"))])
    before = copy.deepcopy([library.causes, library.symptoms, library.drills])
    graph, _ = build_graph(library)
    for _, _, beside in graph.edges(data=True):
        beside["how_often"] = "spoiled"
    assert [library.causes, library.symptoms, library.drills] == before


PROGRAM = """
import sys
from pathlib import Path
from arclore.engine.library.graph import build_graph, names_what, wrong_names
from arclore.engine.library.read import Document
from arclore.engine.library.stack import load_layers
assert "networkx" not in sys.modules
library = load_layers([Path(sys.argv[1])])
graph, problems = build_graph(library)
rows = [row.row() for row in library.problems + problems]
print(list(graph), list(graph.edges(keys=True, data=True)), rows)
"""


def test_the_same_bytes_under_any_hash_seed(entry: Entry, write: Write) -> None:
    ring = [entry("drill", f"d{n}", harder_drill=f"d{(n + 1) % 5}", **{"zz": 1, "yy": 2}) for n in range(5)]
    good = [
        entry("drill", f"e{n}", harder_drill=f"e{(n + 1) % 5}", easier_drill=f"e{n - 1 & 3}")
        for n in range(5)
    ]
    root = write(entry("cause", exclusive_with=["x", "y"]), *ring, *good)
    printed = set()
    for seed in ("1", "2", "3"):
        done = subprocess.run(
            [sys.executable, "-c", PROGRAM, str(root)],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
        )
        printed.add(done.stdout)
    assert len(printed) == 1 and b"cycle" in printed.pop()


def test_five_hundred_entries_are_read_and_tied_together(entry: Entry, tmp_path: Path) -> None:
    """Every entry is a node and every reference an edge; how fast is a matter of tests/bench/library.py."""
    symptoms = [entry("symptom", f"symptom-{n}") for n in range(100)]
    causes = [
        entry(
            "cause",
            f"cause-{n}",
            leads_to=[{"symptom": f"symptom-{(n * 7 + k) % 100}", "how_often": "often"} for k in range(5)],
            moves=[{"input": "face_deg", "size": 1.5 + k, "size_sd": 1} for k in range(3)],
        )
        for n in range(150)
    ]
    drills = [entry("drill", f"drill-{n}", **{"for": {"causes": [f"cause-{n % 150}"]}}) for n in range(250)]
    for item in [*symptoms, *causes, *drills]:
        folder = tmp_path / (item["kind"] + "s")
        folder.mkdir(exist_ok=True)
        (folder / f"{item['id']}.yaml").write_text(json.dumps(item, indent=1), encoding="utf-8")
    library = load_layers([tmp_path])
    graph, problems = build_graph(library)
    assert library.problems == problems == []
    assert len(graph) == 500 and graph.number_of_edges() == 1000
