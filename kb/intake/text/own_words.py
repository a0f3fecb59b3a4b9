"""What a sentence of a paper says of the vehicle, without the papers, risks and laws that stand around it."""

from __future__ import annotations

import re
from dataclasses import replace

from kb.intake.text.paper.layout import Paper, Sentence

_THE_CONCERN = (
    r"(?:an?|the)\s+(?:\w+\s+){0,2}?(?:condition|concern|issue|problem|error|defect)\s+"
    r"(?:where(?:in)?|in\s+which|that|which)\s+(?!ha(?:s|ve)\s+(?:since|been)\b)"
)
_LEADS = (
    re.compile(
        r"(?:\w+\s+){1,4}(?:e-?mail|letter|postcard|announcement|notice|notification)\s+[-\u2013]\s+(?=\w)",
        re.IGNORECASE,
    ),
    re.compile(
        r"description\s*:\s*|(?:additionally|also|further|furthermore|moreover|consequently|therefore|as\s+a\s+result"
        r"|over\s+time|however|separately),\s*|\w+\s+has\s+(?:determined|decided)\s+that\s+|(?:on|in)\s+(?:certain|some|the\s+"
        r"(?:affected|subject))\s+(?:\w+\s+)?(?:vehicles?|trucks?|cases?|instances?|models?),\s*",
        re.IGNORECASE,
    ),
    re.compile(
        r"(?:due\s+to|because\s+of)\s+[^,.]{1,160},\s+(?=[^.]{0,200}\b(?:may|might|can|could|will)\b)",
        re.IGNORECASE,
    ),
    re.compile(
        r"in\s+the\s+worst\s+case,\s+|under\s+certain\s+(?:\w+\s+)?(?:conditions|circumstances),\s+",
        re.IGNORECASE,
    ),
    re.compile(
        r"(?:on\s+)?certain\b[^.;]{0,240}?\bvehicles\b(?:\s+\([^)]*\))?\s+(?=[^.;,]{0,100}?\b(?:may|might|can|could)\b)",
        re.IGNORECASE,
    ),
    re.compile(r"\w+\s+regarding\b[^.;]{0,120};\s*", re.IGNORECASE),
    re.compile(
        rf"[^.]{{0,240}}?\b(?:due\s+to|to\s+address|to\s+correct|may\s+have)\s+{_THE_CONCERN}", re.IGNORECASE
    ),
    re.compile(
        r"[^.]{0,120}?\b(?:to|will)\s+(?:remedy|address|correct|fix)\s+(?=(?:(?:an?|the)\s+)?(?:\w+\s+){1,5}?(?:which|that)\s+(?:may|might|can|could)\b)",
        re.IGNORECASE,
    ),
)
"""What stands in front of it: what the paper is, what a recall or an update is for."""
RISK = re.compile(
    r"(?:[,.]|\band\b)?\s*(?:(?:which|this|that|and|thereby|thus|therefore|potentially|could|may|can)\s+)*"
    r"(?:increas\w+|rais\w+)\s+(?:the\s+|a\s+)?(?:potential\s+|possible\s+)?(?:risk|likelihood|possibility|chance)\s+"
    r"of\s+(?:an?\s+|the\s+)?(?:\w+\s+)?(?:crash|injur\w+|accident|collision|rollaway)\b.*$",
    re.IGNORECASE | re.DOTALL,
)
LAW = re.compile(
    r",?\s*(?:\b(?:and|which|that)\s+)?(?:\bcreat\w+\s+a\s+non-?compliance\b|\brequired\s+by\b|\b(?:(?:do(?:es)?|will|may)\s+not|fails?\s+to)\s+(?:comply|conform|meet)\b"
    r"|\b(?:is|are|would)\s+not\s+(?:be\s+)?(?:in\s+)?complian\w+|\bas\s+required\b).*$",
    re.IGNORECASE | re.DOTALL,
)
_LEAST_LEFT = 20


def own_words(paper: Paper, one: Sentence) -> Sentence:
    """What of a sentence may tell what the vehicle does; all of it where nothing else stands there."""
    begins, ends = one.begins, one.ends
    for lead in _LEADS:
        found = lead.match(paper.flat, begins, ends)
        begins = found.end() if found else begins
    for tail in (RISK, LAW):
        found = tail.search(paper.flat, begins, ends)
        ends = found.start() if found and found.start() - begins > _LEAST_LEFT else ends
    return replace(one, text=" ".join(paper.flat[begins:ends].split()), begins=begins, ends=ends)
