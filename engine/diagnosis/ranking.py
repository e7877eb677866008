"""The posterior of one case: prior x flight x findings x checks, over the sets of a model.

Answers are the units that can be taken back one at a time: a club's variable ("driver, start"), a finding, a check, a
measurement. The flight's blocks multiply, so a block is worked out again only for the answers that belong to it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from arclore.engine.diagnosis.akin import counted_share
from arclore.engine.diagnosis.beside import reading_of, told_beside
from arclore.engine.diagnosis.blocks import BROAD, BlockTable
from arclore.engine.diagnosis.case import Case
from arclore.engine.diagnosis.condition import BLOCK_OF, BLOCKS, Condition
from arclore.engine.diagnosis.evidence import SCATTER_CLASSES, BlockEvidence, block_evidence, claimed, likelihood_field
from arclore.engine.diagnosis.grid import Ints
from arclore.engine.diagnosis.measured import MEASURED_IN, measured_field, read_range
from arclore.engine.diagnosis.model import SIZE_NODES, Model
from arclore.engine.diagnosis.posterior import Acting, Finding, check_factor, compound_to_net, marginals, normalised
from arclore.engine.diagnosis.turned import USUAL_BEND
from arclore.engine.diagnosis.yes_no import test_of
from arclore.engine.quantities import Array


@dataclass(frozen=True)
class Answer:
    """One thing answered: its kind (flight, finding, check, changed, measured) and name ("driver: start", an id)."""

    kind: str
    name: str
    club: str = ""
    variable: str = ""
    value: Any = None


class Ranking:
    """A case played against a model. Everything is computed when it is first asked for, and kept."""

    def __init__(
        self,
        model: Model,
        case: Case,
        symptoms: Mapping[str, Any],
        checks: Mapping[str, Any],
        still: Callable[[], None] = lambda: None,
        barred: frozenset[int] = frozenset(),
    ) -> None:
        """still: called before each long step; what it raises ends the work. barred: causes not to be worked on."""
        self.barred = barred
        self.model = model
        self.case = case
        self.symptoms = symptoms
        self.checks = checks
        self.still = still

    @cached_property
    def answers(self) -> tuple[Answer, ...]:
        """All answers of the case, in a fixed order that does not depend on the order of the input."""
        case = self.case
        flight = {
            Answer("flight", f"{line.club}: {variable}", line.club, variable)
            for line in case.shots
            for variable in line.values
            if line.club in self.model.conditions
        }
        findings = {
            Answer("finding", name, value=state)
            for state in ("present", "absent", "unsure", "told", "proposed")
            for name in self._findings(state)
        }
        checks = {
            Answer("check", name, value=result)
            for name, result in case.checks.items()
            if self.checks[name]["type"] == "likelihood"
        }
        changed = {
            Answer("changed", name, condition.named, key, case.checks[check])
            for key, condition in self.model.conditions.items()
            for check in case.checks
            if key == changed_name(condition.named, check)
            for name in (f"{condition.named}: {check}",)
        }
        measured = {
            Answer("measured", f"{m['club']}: {m['quantity']}", m["club"], m["quantity"], (*m["range"], m["error_sd"]))
            for m in self.measurements
            if m["club"] in self.model.conditions
        }
        everything = flight | findings | checks | changed | measured
        return tuple(sorted(everything, key=lambda a: (a.kind, a.name, str(a.value))))

    def _findings(self, state: str) -> Sequence[str]:
        case = self.case
        stated = {*case.present, *case.absent, *case.unsure}
        if state in ("told", "proposed"):
            told = {f for p in case.proposed if p["told"] for f in p["findings"]} - stated
            named = {f for p in case.proposed for f in p["findings"]} - stated
            return sorted(told if state == "told" else named - told)
        return [name for name in getattr(case, state) if "leak" in self.symptoms[name]]

    @cached_property
    def measurements(self) -> list[dict[str, Any]]:
        """Measured numbers of the case, those given as the result of a measuring check included."""
        result = [{"error_sd": None, **m, "range": (m["value"], m["value"])} for m in self.case.measured]
        for name, value in self.case.checks.items():
            check = self.checks[name]
            if check["type"] == "measurement" and (read := read_range(check, value)):
                result.append({"club": self.case.club_of(check), "range": read, **check["measurement"]})
        return result

    @property
    def statement(self) -> Mapping[str, float]:
        """The library's settings of what a statement is worth."""
        settings: Mapping[str, float] = self.model.settings["statement"]
        return settings

    # --- factors over the sets ---------------------------------------------------------------------------------------

    @cached_property
    def _finding_factors(self) -> dict[Answer, Array]:
        return {
            answer: self.factor(answer, self.model.sets)
            for answer in self.answers
            if answer.kind in ("finding", "check")
        }

    def factor(self, answer: Answer, sets: Acting) -> Array:
        """The likelihood (sets,) of a finding or a check for sets of the model's members."""
        return self.report(answer)(sets)

    def report(self, answer: Answer) -> Callable[[Acting], Array]:
        """What gives the likelihood of a finding or a check for any sets of the model's members."""
        if answer.kind == "check":
            test = test_of(self.model, self.checks[answer.name])
            if answer.value not in (test.positive, test.negative):
                return lambda sets: sets.product(np.ones(self.model.unlisted + 1))
            positive = answer.value == test.positive
            return lambda sets: check_factor(sets, test.members, test.sensitivity, test.specificity, positive)
        links, leak = self.links(answer.name)
        unsure = self.model.settings["statement"]["unsure"]
        doubt = {"present": 0.0, "told": unsure * TOLD_SHARE}.get(answer.value, unsure)
        absent = answer.value == "absent"
        finding = Finding.absent(links, leak) if absent else Finding.present(links, leak, doubt)
        counted = self.counted(answer)
        return lambda sets: np.asarray(finding.factor(sets) ** counted)

    def counted(self, finding: Answer) -> float:
        """How much of a finding counts beside those akin to it."""
        absent = finding.value == "absent"
        alike = [a.name for a in self.answers if a.kind == "finding" and (a.value == "absent") == absent]
        words = self.model.settings["frequency_words"]
        # a rare sign tells most where it is there, a common one where it is not
        alike.sort(key=lambda name: (words[self.symptoms[name]["leak"]] * (-1.0 if absent else 1.0), name))
        return counted_share(finding.name, alike, self.symptoms)

    def links(self, symptom: str) -> tuple[Array, float]:
        """The chance (members,) that each member alone makes the symptom (the unlisted one: the mean), and its leak."""
        words = self.model.settings["frequency_words"]
        leak = words[self.symptoms[symptom]["leak"]]
        links = np.zeros(self.model.unlisted + 1)
        for i, candidate in enumerate(self.model.candidates):
            for link in candidate.entry.get("leads_to", ()):
                if link["symptom"] == symptom:
                    links[i] = compound_to_net(words[link["how_often"]], leak)
        if told := self.model.learned.symptoms.get(symptom):
            leak = told.leak
            links[:-1] = [told.links.get(name, 0.0) for name in self.model.ids]
        links[-1] = links[:-1] @ self.model.weights[:-1] / self.model.weights[:-1].sum()
        return links, leak

    # --- the flight --------------------------------------------------------------------------------------------------

    def block_answers(self, block: str, answers: frozenset[Answer]) -> frozenset[Answer]:
        """The answers that bear on a block."""
        told = {a.club for a in self.answers if a.kind == "flight" and BLOCK_OF[a.variable] == block}
        return frozenset(
            a
            for a in answers
            if (a.kind == "flight" and BLOCK_OF[a.variable] == block)
            or (a.kind == "measured" and a.variable in MEASURED_IN[block] and a not in self.beside)
            or (a.kind == "changed" and a.club in told and block in self._put_right(a))
        )

    @cached_property
    def beside(self) -> frozenset[Answer]:
        """The measured numbers that the flight has nearly told."""
        return frozenset(a for a in self.answers if told_beside(a, self.answers))

    def _put_right(self, changed: Answer) -> frozenset[str]:
        """The blocks that a changed set-up can put right: aim, say, never mends a thin strike."""
        return self.model.moved_by_set_up(changed.club, self.model.conditions[changed.variable].put_right)

    def clubs_of(self, block: str) -> tuple[str, ...]:
        """The clubs that have something to say of a block, over all answers: the table's conditions."""
        own = self.block_answers(block, frozenset(self.answers))
        return tuple(name for name in self.model.conditions if any(condition_of(a) == name for a in own))

    def field(
        self, block: str, club: str, answers: frozenset[Answer], scatter: int = 0, bend_class: int = USUAL_BEND
    ) -> Array:
        """The likelihood of the answers over a club's grid of typical deliveries, for one class of scatter and bend."""
        own, seen, scatter = self._own(block, club, answers, scatter)
        made: Array = self.model.kept.of(
            ("field", block, club, own, scatter, bend_class, self._lines(block, club)),
            lambda: self._field(block, club, own, seen, scatter, bend_class),
        )
        return made

    def _own(
        self, block: str, club: str, answers: frozenset[Answer], scatter: int
    ) -> tuple[frozenset[Answer], BlockEvidence | None, int]:
        """A club's answers on a block, what they say, and the scatter class that its field is made for."""
        own = frozenset(a for a in self.block_answers(block, answers) if condition_of(a) == club)
        seen = self._seen(block, club, own)
        counted = seen is not None and not seen.typical  # only there does it matter how much balls scatter
        return own, seen, scatter if counted and scatter != BROAD else 0

    def _lines(self, block: str, club: str) -> Hashable:
        """All that the case's lines say of a block with a club: what its field hangs on, beside the answers."""
        named = self.model.conditions[club].named
        return tuple(
            (
                tuple((v, line.values[v]) for v in sorted(line.values) if BLOCK_OF[v] == block),
                line.count,
                line.chance,
                tuple(v for v in sorted(line.unsure) if BLOCK_OF.get(v) == block),
            )
            for line in self.case.shots
            if line.club in (club, named)
        )

    def smoothed(
        self, block: str, club: str, answers: frozenset[Answer], scatter: int, bend_class: int = USUAL_BEND
    ) -> Array:
        """The field of a club with its own spread worked in, for sets of one class of scatter (or BROAD) and bend."""
        own, _, made_for = self._own(block, club, answers, scatter)
        clubs = self.clubs_of(block)
        made: Array = self.model.kept.of(
            ("smoothed", block, clubs, club, own, made_for, scatter == BROAD, bend_class, self._lines(block, club)),
            lambda: self.table(block).smoothed(
                clubs.index(club), self.field(block, club, answers, made_for, bend_class), scatter
            ),
        )
        return made

    def _seen(self, block: str, club: str, own: frozenset[Answer]) -> BlockEvidence | None:
        variables = frozenset(a.variable for a in own if a.kind == "flight")
        lines = [line for line in self.case.shots if line.club == club]
        return block_evidence(lines, block, self.statement, variables) if variables else None

    def _field(
        self, block: str, club: str, own: frozenset[Answer], seen: BlockEvidence | None, kind: int, bend_class: int
    ) -> Array:
        condition = self.model.conditions[club]
        field = np.ones(condition.grids[block].shape)
        if seen is not None:
            scatter = SCATTER_CLASSES[kind]
            field = field * likelihood_field(condition, block, seen, scatter, self.statement["label_error"], bend_class)
        for answer in own:
            if answer.kind == "measured":
                field = field * measured_field(condition, block, answer.variable, *answer.value)
            elif answer.kind == "changed":
                field = field * self._changed_field(condition, block, answer, bend_class)
        return field

    def _changed_field(self, condition: Condition, block: str, answer: Answer, bend_class: int) -> Array:
        """Likelihood that what was told of this club is still, or no longer, its typical ball in a changed set-up."""
        seen = block_evidence([x for x in self.case.shots if x.club == condition.named], block, self.statement)
        said = self.checks[answer.name.split(": ")[1]]["changed_set_up"]
        if seen is None or answer.value not in (said["positive"], said["negative"]):
            return np.ones(condition.grids[block].shape)
        told = claimed(condition, block, seen, bend_class)
        inside = 1.0 - told if answer.value == said["positive"] else told
        return (1.0 - CHANGED_ERROR) * inside + CHANGED_ERROR / 2.0

    def block_values(self, block: str, answers: frozenset[Answer]) -> Array | None:
        """P(block's answers | pair of nodes); None where there are none."""
        own = self.block_answers(block, answers)
        if not own:
            return None
        clubs = self.clubs_of(block)
        key = ("block", block, clubs, own, tuple(self._lines(block, club) for club in clubs))
        made: Array = self.model.kept.of(key, lambda: self._evaluated(block, clubs, own))
        return made

    def _evaluated(self, block: str, clubs: Sequence[str], own: frozenset[Answer]) -> Array:
        def smoothed(c: int, scatter: int, bend_class: int) -> Array:
            self.still()
            return self.smoothed(block, clubs[c], own, scatter, bend_class)

        return self.table(block).evaluate(smoothed)

    def table(self, block: str) -> BlockTable:
        return self.model.table(block, self.clubs_of(block), self.still)[0]

    @cached_property
    def _pairs(self) -> dict[str, Ints]:
        """Per block: the pair of nodes of every set at each of the SIZE_NODES, (size nodes, sets)."""
        result = {}
        for block in BLOCKS:
            if clubs := self.clubs_of(block):
                self.still()
                result[block] = self.model.pairs(block, clubs, self.still)
        return result

    def flight_by_size(self, answers: frozenset[Answer], leave: str = "") -> list[Array]:
        """P(flight | set, sizes) for each of the SIZE_NODES, the block `leave` left out."""
        self.still()
        result = [np.ones(len(self.model.sets.sizes)) for _ in SIZE_NODES]
        for block, places in self._pairs.items():
            values = self.block_values(block, answers) if block != leave else None
            if values is not None:
                result = [r * values[place] for r, place in zip(result, places, strict=True)]
        for answer in sorted(self.beside & answers, key=lambda a: a.name):
            reading = reading_of(self, answer, answers)
            at = zip(result, self._pairs[reading.near], SIZE_NODES, strict=True)
            result = [r * reading.factor(self.model.two, sizes, place) for r, place, sizes in at]
        return result

    def flight(self, answers: frozenset[Answer]) -> Array:
        """P(flight | set), (sets,), the sizes of its causes summed out."""
        sizes, by_size = self.model.sizes, self.flight_by_size(answers)
        total: Array = np.sum([weight * flight for weight, flight in zip(sizes, by_size, strict=True)], axis=0)
        return total

    def other(self, answers: frozenset[Answer]) -> Array:
        """Prior x findings x checks, (sets,)."""
        mass = self.model.prior.copy()
        for answer, factor in self._finding_factors.items():
            if answer in answers:
                mass *= factor
        return mass

    def posterior(self, answers: frozenset[Answer] | None = None) -> Array:
        """Posterior probability of every set under these answers (all where None)."""
        chosen = frozenset(self.answers) if answers is None else answers
        return normalised(self.other(chosen) * self.flight(chosen))

    @cached_property
    def probability(self) -> Array:
        return self.posterior()

    @cached_property
    def marginal(self) -> Array:
        """P(member acts), the unlisted one last."""
        return marginals(self.model.sets, self.probability)

    @property
    def nothing_to_fix(self) -> float:
        return float(self.probability[0])

    @property
    def none_of_these(self) -> float:
        return float(self.marginal[self.model.unlisted])

    def holding(self, chosen: Sequence[bool]) -> float:
        """P(at least one of these members acts)."""
        return float(self.probability[self.model.sets.holding(np.asarray(chosen))].sum())

    def grouped(self, group_of: Ints) -> Array:
        """P(at least one member of the group acts), (groups,). group_of: the group (members,) of each member."""
        none = group_of.max() + 1
        groups = np.append(group_of, none)[self.model.sets.columns]
        total = np.zeros(none + 1)
        for place, group in enumerate(groups):
            first = (groups[:place] != group).all(axis=0)
            total += np.bincount(group, self.probability * first, minlength=none + 1)
        return total[:none]

    @cached_property
    def flight_bits(self) -> Array:
        """log2 P(flight | {cause}) / P(flight | {}) for every member."""
        likelihood = self.flight(frozenset(self.answers))
        sets = self.model.sets
        alone = np.zeros(self.model.unlisted + 1)
        single = sets.sizes == 1
        alone[sets.members[single, 0]] = np.log2(likelihood[single] / likelihood[0])
        return alone


TOLD_SHARE = 0.25
"""Of the doubt of a loose word, what is left where a plain expression stands among the findings of a case."""
CHANGED_ERROR = 0.15
"""How often a few balls in a changed set-up tell the wrong thing (estimate)."""


def changed_name(club: str, check: str) -> str:
    """The condition of a club under a check that changes the set-up."""
    return f"{club} | {check}"


def condition_of(answer: Answer) -> str:
    """The condition whose grid an answer bears on."""
    return answer.variable if answer.kind == "changed" else answer.club
