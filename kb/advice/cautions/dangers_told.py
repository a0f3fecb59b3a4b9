"""What can hurt somebody, decided from the words of a complaint as the search reads them.

Whole words, put right by the shop's spelling, with its shop talk and what it denies. Which words speak of
which danger is data (dangers/*.toml). It warns; the manufacturer's instructions and trained people decide.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import product

from kb.advice.cautions.danger_over import is_over
from kb.advice.cautions.danger_words import Danger, DangerWords, Rule
from kb.advice.cautions.word_patterns import Place
from kb.search.spoken import Spoken
from kb.words.normalise import SILENT

BESIDE = 4
"""Words before and after a match in which an `unless` takes it back."""
_MOST_PLACES = 12  # of one group that are tried in one complaint


def dangers_in(said: Spoken, known: DangerWords) -> tuple[Danger, ...]:
    """The dangers that a complaint speaks of, in the order of the file, each once."""
    places = known.patterns.said_in(said)
    found = {rule.danger for rule in known.rules if _holds(rule, said, places)}
    covered = {name for danger in known.dangers if danger.name in found for name in danger.covers}
    return tuple(danger for danger in known.dangers if danger.name in found - covered)


def _holds(rule: Rule, said: Spoken, places: Mapping[str, Sequence[Place]]) -> bool:
    of = [places.get(name, ())[:_MOST_PLACES] for name in rule.of]
    if not all(of):
        return False
    against = [one for name in rule.unless for one in places.get(name, ())]
    rivals = places.get(rule.nearest, ())
    return any(
        _is_close(rule, said, match)
        and not _taken_back(said, match, against)
        and not is_over(said, match, places)
        and _is_nearest(said, match, rivals)
        for match in product(*of)
    )


def _is_close(rule: Rule, said: Spoken, match: Sequence[Place]) -> bool:
    first, last = min(start for start, _ in match), max(end for _, end in match)
    inside = {at for start, end in match for at in range(start, end + 1)}
    between = last - first + 1 - len(inside)
    apart = said.words[last].clause - said.words[first].clause
    return between <= rule.near and apart <= rule.clauses and (not rule.in_order or _is_in_order(said, match))


def _is_in_order(said: Spoken, match: Sequence[Place]) -> bool:
    """Whether what is wrong is told behind its part, or opens an earlier clause: "leaking, fuel line"."""
    clause = said.words[match[0][0]].clause
    earlier = [start for start, _ in match[1:] if said.words[start].clause < clause]
    return all(_opens_clause(said, start) for start in earlier)


def _opens_clause(said: Spoken, start: int) -> bool:
    before = (word for word in reversed(said.words[:start]) if word.clause == said.words[start].clause)
    return all(word.typed in SILENT for word in before)


def _taken_back(said: Spoken, match: Sequence[Place], against: Iterable[Place]) -> bool:
    """Whether something that speaks against it stands in the same clause, among its words or right beside."""
    first, last = min(start for start, _ in match), max(end for _, end in match)
    clauses = {said.words[at].clause for start, end in match for at in (start, end)}
    return any(
        start <= last + BESIDE
        and end >= first - BESIDE
        and clauses.intersection((said.words[start].clause, said.words[end].clause))
        for start, end in against
    )


def _is_nearest(said: Spoken, match: Sequence[Place], rivals: Iterable[Place]) -> bool:
    """Whether no rival in the clauses of the match is nearer; another sentence is about something else."""
    if len(match) < 2:
        return True
    own, clauses = _apart(said, match[0], match[1]), {said.words[start].clause for start, _ in match}
    return all(
        _apart(said, match[0], rival) >= own
        for rival in rivals
        if rival not in match and said.words[rival[0]].clause in clauses
    )


def _apart(said: Spoken, one: Place, other: Place) -> tuple[int, int]:
    """Clauses, then words, from one to the other."""
    clauses = abs(said.words[one[0]].clause - said.words[other[0]].clause)
    return clauses, max(one[0] - other[1], other[0] - one[1], 0)
