"""What can hurt somebody, decided from the words of a complaint as the search reads them.

Whole words, put right by the shop's spelling, with its shop talk and what it denies. Which words speak of
which danger is data (cautions.toml). It warns; the manufacturer's instructions and trained people decide.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import product

from kb.advice.danger_words import Danger, DangerWords, Group, Rule
from kb.search.spoken import Spoken
from kb.words.normalise import SILENT

BESIDE = 4
"""Words before and after a match in which an `unless` takes it back."""
_MOST_PLACES = 12  # of one group that are tried in one complaint
Place = tuple[int, int]


def dangers_in(said: Spoken, known: DangerWords) -> tuple[Danger, ...]:
    """The dangers that a complaint speaks of, in the order of the file, each once."""
    places = {name: _places(said, group) for name, group in known.groups.items()}
    found = {rule.danger for rule in known.rules if _holds(rule, said, places)}
    covered = {name for danger in known.dangers if danger.name in found for name in danger.covers}
    return tuple(danger for danger in known.dangers if danger.name in found - covered)


def _places(said: Spoken, group: Group) -> list[Place]:
    """Where a group is said, from its first to its last word, denied or not."""
    found = [(one.first, one.last) for one in said.named if one.concept in group.concepts]
    for at, word in enumerate(said.words):
        either = (word.read, word.typed)
        if group.words.intersection(either) or any(one.startswith(group.beginnings) for one in either):
            found.append((at, at))
        ends = (_end_of(phrase, said, at) for first in set(either) for phrase in group.phrases.get(first, ()))
        found.extend((at, end) for end in ends if end is not None)
    return found


def _end_of(phrase: Sequence[str], said: Spoken, start: int) -> int | None:
    """Where a phrase ends that begins at `start`; small words may stand in between."""
    at = start
    for part in phrase[1:]:
        at += 1
        while at < len(said.words) and part not in (said.words[at].read, said.words[at].typed):
            if said.words[at].typed not in SILENT:
                return None
            at += 1
        if at >= len(said.words):
            return None
    return at


def _holds(rule: Rule, said: Spoken, places: dict[str, list[Place]]) -> bool:
    of = [[one for one in places[name] if not _is_denied(said, one)][:_MOST_PLACES] for name in rule.of]
    if not all(of):
        return False
    against = [one for name in rule.unless for one in places[name] if not _is_denied(said, one)]
    rivals = places[rule.nearest] if rule.nearest else []
    return any(
        _is_close(rule, said, match)
        and not _taken_back(said, match, against)
        and _is_nearest(said, match, rivals)
        for match in product(*of)
    )


def _is_denied(said: Spoken, place: Place) -> bool:
    return any(word.denied for word in said.words[place[0] : place[1] + 1])


def _is_close(rule: Rule, said: Spoken, match: Sequence[Place]) -> bool:
    first, last = min(start for start, _ in match), max(end for _, end in match)
    inside = {at for start, end in match for at in range(start, end + 1)}
    between = last - first + 1 - len(inside)
    return between <= rule.near and said.words[last].clause - said.words[first].clause <= rule.clauses


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
    own, clauses = _apart(match[0], match[1]), {said.words[start].clause for start, _ in match}
    return all(
        _apart(match[0], rival) >= own
        for rival in rivals
        if rival not in match and said.words[rival[0]].clause in clauses
    )


def _apart(one: Place, other: Place) -> int:
    return max(one[0] - other[1], other[0] - one[1], 0)
