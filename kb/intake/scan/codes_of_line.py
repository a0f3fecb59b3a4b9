"""The codes and the module that one line of a text speaks of."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from kb.intake.scan.found import Found, Seen
from kb.intake.scan.labels import Label, Labelled, module_alone, module_said
from kb.intake.scan.statuses import status_beside, status_headed
from kb.intake.scan.trouble_codes import CodeHere, codes_in_line

_BRACKET_MODULE = re.compile(
    r"\s*(?:[(\[]\s*(?P<bracket>[^)\]]{2,40})[)\]]|(?:in|on|at)\s+(?:the\s+)?(?P<word>[A-Z][A-Z0-9]{1,5})\b)"
)
_BEFORE_CODE = re.compile(
    r"(?:^|[\s,;|(\[])(?P<said>[A-Za-z][A-Za-z0-9 ()/]{1,50}?)"
    r"\s*(?:[:|>\]\u2013\u2014-]|\s{2,}|\t|\bhas\b|\bsets?\b|\bshows?\b|$)[^A-Za-z0-9]*$"
)
_SAID_OF = re.compile(r"\s*(?:(?:is|was|set|as|not)\s+)*[a-z]{4,12}\s+(?:in|on|at)\s", re.I)
"""What stands between a code and its module in a sentence ("P0171 pending in the ECM")."""
_NEXT_HEAD = re.compile(r"[;,.|]\s*[A-Za-z][A-Za-z ()/-]{1,40}:\s*$")
"""The name in front of the next code, at the end of what follows this one."""
_JOINED = re.compile(r"[\s,&/+]*(?:and|or)?\s*")


def codes_said(line: str, codes: Sequence[CodeHere], module: str, own: str, headed: str) -> Iterator[Found]:
    """The codes of a line, each with its module and state; what is said of a module holds on."""
    if not codes:
        return
    ends = [*(one.begins for one in codes[1:]), len(line)]
    afters = [line[one.ends : until] for one, until in zip(codes, ends, strict=True)]
    begins = [0, *(one.ends for one in codes[:-1])]
    befores = [line[since : one.begins] for one, since in zip(codes, begins, strict=True)]
    behind = len(codes) > 1 and any(status_beside("", after) for after in afters[-1:] + afters[:1])
    states = [
        _status_among(line, "" if behind else before, after, len(codes))
        for before, after in zip(befores, afters, strict=True)
    ]
    for n in reversed(range(len(codes) - 1)):
        states[n] = states[n] or (states[n + 1] if _JOINED.fullmatch(afters[n]) else "")
    above = own
    for one, before, after, state in zip(codes, befores, afters, states, strict=True):
        own = above if re.search(r"[.;]\s", before) else own
        own = module or _module_beside(before, after) or own
        yield Found(Seen.CODE, one.code, line[one.begins : one.ends], own, state or headed)


def _status_among(line: str, before: str, after: str, count: int) -> str:
    """The state of a code of a line; where several share one, what stands in front of all."""
    status = status_beside(before, after)
    if status or count == 1:
        return status
    head = re.split(r"[:=]", line)[0]
    return (status_headed(head) or "") if len(head) < len(line) else ""


def module_of_line(line: str, labels: Sequence[Labelled]) -> str:
    """The module that a line names by its label."""
    for n, one in enumerate(labels):
        if one.label is Label.MODULE:
            until = labels[n + 1].begins if n + 1 < len(labels) else len(line)
            words = re.split(
                r"\s{2,}|[|,;\t]|\s[-\u2013\u2014]\s", line[one.ends : until].lstrip(" :=\"'\t|-")
            )[0]
            if next(codes_in_line(words), None) is None and words.strip():
                return module_said(words)
    return ""


def module_in_front(line: str, labels: Sequence[Labelled]) -> str:
    """The module that begins a line of values ("ECM: Cal ID ...", "TCM calibration ...")."""
    if not labels or not labels[0].begins:
        return ""
    return module_alone(re.sub(r"^\W*(?:the|this|its|our)\s", "", line[: labels[0].begins], flags=re.I))


def _module_beside(before: str, after: str) -> str:
    after = _NEXT_HEAD.sub("", after)
    found = _BRACKET_MODULE.search(after) if _SAID_OF.match(after) else _BRACKET_MODULE.match(after)
    if found and (module := module_alone(found["bracket"] or found["word"])):
        return module
    pieces = re.split(r"\s{2,}|[|,;:\t\[\]()]|\s[-\u2013\u2014]\s", after)
    alone = [module for piece in pieces if len(piece) < 40 and (module := module_alone(piece))]
    if alone and re.search(r"[|\t,;]|\s{2,}", after):
        return alone[0]
    in_front = [
        module for piece in re.split(r"[|,;:\t\[\]()]|\s{2,}", before) if (module := module_alone(piece))
    ]
    if in_front:
        return in_front[-1]
    said = _BEFORE_CODE.search(before)
    return (module_alone(said["said"]) if said else "") or module_alone(before)
