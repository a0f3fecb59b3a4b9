"""By which words a text's fault, its paperwork and the beginnings of its sentences are told apart.

Read off recall texts of many makers; no source.
"""

from __future__ import annotations

import re

_VEHICLES = (
    r"(?:(?:motor\s+)?vehicles?|models?|units?|trucks?|trailers?|motorhomes?|buses|motorcycles?|coaches)"
)
_MODAL = r"(?:may|might|can|could|will|would|is|are|was|were|has|have|does|do|did)"
VERB = re.compile(rf"\s*{_MODAL}\b", re.I)
FAULT = re.compile(
    r"\b(may(?!\s+\d)|might|can|could|fails?|failed|failure|loss|lose|cracks?|leak\w*|fire|stall\w*|detach\w*|"
    r"separat\w*|incorrect\w*|improper\w*|overheat\w*|corro\w+|loose\w*|misalign\w*|inoperative|fractur\w*|"
    r"break|broken|damaged?|inaccurate|missing|unintended|noncompl\w*|not (?:comply|conform|meet)|"
    r"(?:does|do|did|was|were|is|are|will|would) not|without|wear|worn|short circuit\w*|intru\w+|noise|"
    r"rattl\w*|vibrat\w*|harsh|error|malfunction\w*|blank|illuminat\w*|exceed\w*|insufficient\w*|inadequate\w*|"
    r"defective)\b",
    re.IGNORECASE,
)
PAPER = re.compile(
    r"\b(letters?|notif\w+|notices?|dealers?|owners?|documents?|attached|mailed|bulletin|please|contact|"
    r"instructions?|redacted|copy|questions?|recall\w*|campaign|federal|safety standard|inspect\w*|replac\w+|"
    r"repair\w*|remed\w+|free of charge|description|crash|injur\w+|risk|civil|penalt\w+|law|warranty|decided|"
    r"determined|customers?|postcard|envelope|stop sale|website|emails?|video|appointment|reimburs\w+|"
    r"records?|proof|approved|distribut\w+|provid\w+|advis\w+|rental|loaner|VINs?|identified|listed|report(?:s|ed)|"
    r"aware|issue|accident|potential failure|could happen|subject to|"
    r"discard|uploaded|verbiage|restriction|ordered|USB|charge|managers)\b|@|www",
    re.IGNORECASE,
)
LEANS_BACK = re.compile(
    r"(it|this|these(?!\s+(?:vehicles|units))|those|that|they|which|and|or|then|as such|such|failure to|"
    r"doing so|when this|in this|if this|as a result|in addition|if so|in the event|your vehicle was)\b",
    re.I,
)
BEGINS_WITH_IF = re.compile(r"if\b", re.I)
"""It says what comes of the fault rather than the fault."""
LEAD = re.compile(
    rf"""\s*(?:
      (?:.{{0,120}}?\b(?:has\s+(?:been\s+)?)?|it\s+has\s+been\s+)\b(?:decided|determined|found|discovered
        |identified|learned)
        \s+that,?\s+(?:there\s+is\s+)?
        (?:a\s+defect,?\s+which\s+relates\s+to\s+motor\s+vehicle\s+safety,?\s+exists\s+(?:in
        |on)[^.]*?{_VEHICLES}\.?\s*)?
    | (?:on|in|for|with)\s+(?:(?:certain|some|all|affected|the\s+(?:affected
        |subject))\s+)[^.,;]{{0,90}}?{_VEHICLES}[^.,;]{{0,40}},\s+
    | (?:on|in)\s+(?:certain|some|the\s+affected|affected|the\s+subject|subject|these)\s+{_VEHICLES},?\s+
    | an?\s+(?:potential\s+)?(?:concern|issue|condition)\s+has\s+been\s+identified\s+(?:on|with|in
        |where)\s+(?:[^.,]{{0,120}}?[,\s]where\s+)?
    | (?:the\s+)?vehicles\s+in\s+the\s+recall\s+population\s+(?:may\s+)?(?:have|were\s+built\s+with)\s+
        (?:an?\s+)?(?:certain\s+)?
    | (?:.{{0,400}}?\b)?description\s+of\s+the\s+(?:safety\s+)?defect
        (?:\s+and\s+safety\s+(?:risk|hazard))?\s*:?\s+(?=[A-Z])
    | (?:which\s+|that\s+)?(?:has\s+since|since\s+has)\s+been\s+corrected,\s+
    | (?:[^.,]{{0,80}}\bvehicles?,?\s+)?(?:in\s+which|which|where|regarding)\s+
        (?!were|ha[sd]|have|since|is|are)(?:may\s+contain\s+)?(?:an?\s+|the\s+)?(?=\w)
    | [^.;]{{0,160}}?\bvehicles?,?\s+in\s+which\s+(?:an?\s+|the\s+)?(?=\w)
    | NHTSA\s+ID\s+\w+\s+\w+\s+ID\s+[\w-]+\s+
    | equipped\s+with\s+[^,]{{3,60}},\s+which\s+
    | (?:.{{0,120}}?\b)?notice\s+issued\s+\d[\d/]+\s+(?=[A-Z])
    | (?:over\s+time|as\s+a\s+result|in\s+addition),?\s+
    | (?:on|in)\s+{_VEHICLES}\s+affected[^,]{{0,60}},\s+
    | due\s+to\s+(?:an?\s+)?[^,;]{{3,90}}?,\s+
    | (?:[^.]{{0,60}}?\brecall\s+|)\d{{2}}[VET]-?\d{{3}}\w*\s*(?:recall)?\s*[;:,.]?\s+(?=[A-Za-z])
    | this\s+(?:document|letter|communication|notice)\s+[^.]{{0,200}}?\b(?:regarding|concerning
        |relating\s+to|advis\w+\s+(?:them|you)\s+(?:that|of)|
        informs?\s+(?:owners|dealers|customers)\s+(?:of|that))\s+(?:an?\s+|the\s+)?(?:safety\s+recall\s+
        (?:on|for|of)\s+(?:the\s+)?)?
    | (?:the\s+)?(?:subject|reason|description|condition|concern|problem|issue|defect|background|summary
        |overview)\s*:\s*
    | this\s+(?:recall|campaign|bulletin|safety\s+recall|document)\s+(?:addresses|concerns|describes
        |involves|covers)\s+
    | (?:on|under|in)\s+(?:certain|some|rare)\s+(?:conditions?|circumstances|situations|cases
        |instances),?\s+
    | (?:however|additionally|specifically|therefore|note|furthermore),\s+
    | (?:your|(?:some\s+of\s+)?the\s+(?:affected|subject)|affected|certain)\s+(?:vehicle|unit)s?\s+
        (?:may\s+(?:have|be\s+equipped\s+with)|(?:was|were|is|are)\s+
        (?:built|equipped|manufactured|produced)\s+with)\s+(?:an?\s+)?
    | [^.]{{0,140}}?\b(?:safety|compliance|equipment)\s+recall\s+\d\d[A-Z]\d\d[\w-]*\s*[-\u2013]*\s*
        (?:supplement\s*\#?\d+\s*)?(?=certain\b)
    | new\s+vehicle\s+(?:recommended\s+)?dem\w+\s*/\s*delivery\s+hold\b[^.]*?\b(?:vehicles?|trucks
        |chassis)\s+(?:lines\s+)?
    )""",
    re.IGNORECASE | re.VERBOSE,
)
"""Beginnings of sentences that tell nothing of the fault."""
INTRODUCTION = re.compile(
    rf"\s*(?:during|while|as|after|over|in|on|at|under|for|with|because|since|when|where)\b[^,;]{{3,100}},\s+"
    rf"(?=[\w-]+\s+(?:[\w()/-]+\s+){{0,9}}?{_MODAL}\b)",
    re.I,
)
ASIDE = re.compile(
    rf"\s*,\s+(?:which|that|who|including)\b[^,]{{3,120}},(?=\s+{_MODAL}\b)|\s*\([^()]{{1,60}}\)", re.I
)
"""What stands between, and may go where a sentence is long."""
OF_VEHICLES = re.compile(
    r"[^.;]{0,120}?\b(?:19|20)\d\d\b[^.;]{0,60}?\b(?:model[- ]years?|MY)\s+"
    r"|[^.;]{0,60}?\bcertain\s+(?:MY)?\s*(?:19|20)?\d\d[\d\s,and-]*(?:MY|model[- ]years?)?\s+",
    re.I,
)
"""A heading up to the names of its vehicles."""
TOLD_OF = re.compile(
    r"\b(?:regarding|in\s+regards?\s+(?:to|of)|with\s+regards?\s+to|relat(?:ing|es|ed)\s+to|concerning|pertaining\s+to|"
    r"due\s+to|because\s+of|consists?\s+of|subject\s+is|recall\s+(?:for|of|on)|replac(?:e|ing|ement\s+of)|"
    r"inspect(?:ing|ion\s+of)?|repair(?:ing|\s+of)?)\s+",
    re.I,
)
SHORTER = (
    (re.compile(r"\bfederal\s+motor\s+vehicle\s+safety\s+standards?\s*(?:\(FMVSS\)\s*)?", re.I), "FMVSS "),
    (re.compile(r"\bFMVSS\s+(?:No\.|number|#)\s*(?=\d)", re.I), "FMVSS "),
    (re.compile(r"\bthe\s+requirements\s+of\s+(?:the\s+)?(?=FMVSS)", re.I), ""),
)
SAYS_SOFTWARE = re.compile(r"\b(?:software|reprogram\w*|reflash\w*|program\w*|updat\w+|calibrat\w*)\b", re.I)
VEHICLES = re.compile(r"(?:and|or|all|some|certain|lines?|hybrid|pickup|)|" + _VEHICLES, re.I)
"""What stands among the names of vehicles in a heading."""
