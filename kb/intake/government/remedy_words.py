"""By which words documents say what is done: software, parts, looks; and what is no remedy, or none any more.

Read off recall texts of many makers, and common practice; no source.
"""

from __future__ import annotations

import re

_WORD = r"\b"


def _any(*patterns: str) -> re.Pattern[str]:
    """One of them; those that begin a word are tried at the beginnings of words only, which is far faster."""
    at_words = "|".join(one.removeprefix(_WORD) for one in patterns if one.startswith(_WORD))
    elsewhere = [one for one in patterns if not one.startswith(_WORD)]
    return re.compile("|".join([rf"\b(?:{at_words})", *elsewhere]), re.IGNORECASE)


PAPER = _any(
    r"\b(?<!software )(?<!firmware )(?:updat|revis|amend)\w*\s+(?:(?!and\b)\w+\s+){0,3}?(?:TSB|letters?"
    r"|bulletins?|documents?|notices?|notification|instructions?|labor|parts?\s+list|remedy|owners?|manuals?|chronology)\b",
    r"\b(?:TSB|letter|bulletin|document|notice)s?\s+(?:has|have|is|was)\s+(?:been\s+)?(?:updated|revised|amended)\b"
    r"(?:\s+(?:to|with)\b(?![^.;]*programming)[^.;]*)?",
)
"""What is done to papers, not to vehicles."""
CAUSE = _any(
    r"\b(?:(?:error|fault|flaw|problem|issue)s?\s+(?:in|of|with|during)|due\s+to|caused\s+by|because\s+of)"
    r"\s+(?:an?\s+|the\s+)?(?:\w+\s+){0,3}?(?:software|firmware|calibration)\s+(?:updat|chang|upgrad|install)\w*",
)
"""Software that did the harm: what went before is no remedy."""
TOLD = _any(
    r"\b(?:previously|earlier)\s+issued\b",
    r"\binform\s+(?:the|your)\s+customers?\b",
    r"\bdealer'?s\s+(?:[\w-]+\s+){0,2}(?:device|tablet|tool)s?\b",
)
"""A sentence of what is told to customers, of another paper or of the shop's own equipment."""
PRINT = _any(
    r"\b(?:replac|install|appl|affix|add|attach|mail|provid|updat|correct|inspect)\w*\s+(?:with\s+)?(?:(?!with\b)[\w-]+\s+){0,7}?"
    r"(?:labels?|owner'?s?\s+manuals?|placards?|decals?|stickers?)\b",
    r"\b(?:corrected|revised|updated)\s+(?:inserts?|pages?)\b",
    r"\b(?:mail|send|provid)\w*\s+(?:corrected|revised|updated)\s+information\b",
    r"\b(?<!/)(?:owner'?s?\s+manuals?|labels?|placards?|decals?|stickers?|VIN|tags?)\s+"
    r"(?:addendum|replacement|correction|update)",
    r"\bupdate\s+to\s+(?:the\s+)?(?:owner'?s?\s+)?manual\b|\b(?:supplement\w*|additional)\s+(?:booklets?|pages?)\b",
)
"""Paper that is put into the vehicle: nothing of it is repaired."""

IN_THE_MAKING = _any(
    r"\b(?:is|are|being|currently|under|still)\s+(?:\w+\s+)?develop\w*\b",
    r"\b(?:continu\w*\s+to\s+develop|currently\s+investigating)\b",
    r"\banticipated\s+to\s+be\s+(?:ready|available)",
    r"\b(?:once|when|until)\s+(?:the\s+|updated\s+)?(?:software|parts?)(?:\s+and\s+(?:\w+\s+){0,2}\w+)?"
    r"\s+(?:is|are|becomes?)\s+(?:ready|available)",
    r"\bwork(?:ing)?\s+on\s+a\s+remedy",
    r"\bonce\s+(?:the|a)\s+remedy",
    r"\bremedy\s+is\s+not\b",
    r"\binterim\s+(?:[\w']+\s+){0,2}?(?:notice|(?:re)?notification|letter|communication|combo)",
    r"\b(?:owner|dealer|customer)'?s?\s+interim\b(?!\s+(?:service|repair|inspection|remedy))",
    r"\b(?:remedy|measure|repair|parts?)\s+(?:(?!w(?:as|ere)\b)\w+\s+){0,2}?(?:(?:is|are)\s+)?not\s+(?:(?:yet|currently)\s+)?"
    r"(?:available|finali[sz]ed|ready)",
    r"\bwhen\s+(?:the|a)\s+remedy\s+is\s+(?:ready|available)",
)
BEFORE = _any(
    r"\bprevious(?:ly)?\b",
    r"\b(?:was|were)\s+(?:not\s+)?(?:\w+\s+)?(?:torqued|tightened|installed|replaced|inspected|repaired|updated)\b",
    r"\bprior\s+(?:recall|repair|to\s+(?:sale|delivery))",
    r"\b(?:had|(?:may|might|could)\s+(?:not\s+)?have)\s+(?:\w+\s+)?been\b",
    r"\b(?:have|has)\s+not\s+had\b",
    r"\bimproperly\s+performed\b",
)
WHO_WILL = _any(
    r"\b(?:dealers?|retailers?|technicians?)\s+will\b",
    r"\b(?:recall|campaign)\b[^.;]*,\s+to\s+(?:install|replace|inspect|update|reprogram)\b",
)
"""A notice that the remedy is still to come may yet say what it will be."""
TO_COME = _any(
    r"\b(?:will|must|should|would\s+still|to\s+(?:be|re-?(?:plac|pair|program|flash|tighten|torque|seal|rout|inspect|med)\w*|inspect|install|update|correct|address))\b"
)
"""What was done before is no remedy, unless the sentence goes on to say what will be."""
_WARE = r"(?:software|SW|firmware)\b"
_TO_INSTALL = r"(?:\s+to\s+(?:be\s+)?install(?:ed)?\b)?"
SOFTWARE = _any(
    r"\bre-?(?:program(?!mable)|flash)\w*(?:[^.;]{0,60}?\bcalibrations?\b)?",
    r"\b(?:new|updated|revised|latest|improved)\s+calibrations?\b",
    rf"\bprogram\s+(?:the\s+)?(?:[\w/()-]+\s+){{1,6}}?(?:with|to)\b[^.;]{{0,40}}\b(?:calibration\b|{_WARE})",
    r"\binstall\s+calibration\b",
    r"\blogic\s+(?:improvement|update|upgrade|change|correction)s?",
    r"\b(?:improv|updat|revis|chang)\w*\s+(?:\w+\s+){0,4}logic\b",
    r"\b(?:over[- ]the[- ]air|OTA)\b(?!\W+(?:over\W+the\W+air\W+|OTA\W+)?(?:software\s+update\s+)?"
    r"(?:antenna|systems?|services?|website|equipped)\b)",
    rf"\b(?:ROM|KSDS|calibration|firmware|(?:module|unit|\w+\))\s+{_WARE})\s+(?:update|upgrade|installation)s?{_TO_INSTALL}",
    r"\b(?:module|unit|[BEPTV]C[MU])\)?\s+(?:programming\b|recalibrat)",
    r"\bprogramming\s+(?:procedures?|instructions?)\b",
    r"\bconfiguration\s+update|\b(?-i:(?:Assist|Module|Unit|[A-Z]{3,5})\)?\s+Configuration)$",
    rf"\b(?:availability\s+of|available|upload\w*|(?:provid|receiv)(?:e|es|ing)|get)\s+(?:\w+\s+){{0,3}}?{_WARE}"
    r"(?:\s+updates?\b)?",
    r"\bsoftware\s+remedy\b",
    rf"\b(?:updat|upgrad|install|download|load|rewrit|correct|modify|improv|revis)\w*\b(?:(?!\band\b)[^.;:]){{0,90}}?\b{_WARE}"
    r"(?:\s+that\s+(?:needs?|has|must)[\w\s]{0,9}installed)?",
    r"\bre-?configur\w*|\b(?:software|module)\s+(?:re)?configuration",
    r"\bupdat\w*\s+(?:the\s+)?(?:\w+\s+){0,3}programming\b",
    rf"\b{_WARE}\s+(?:(?:is|are)\s+)?(?:now\s+)?available",
    rf"\b{_WARE}(?:\s+(?:[\w/-]+|\(\w+\))){{0,5}}?\s+(?:(?:updates?|upgrades?)\b(?!\s+(?:service|process)\b)"
    rf"{_TO_INSTALL}|installation|improvement|correction"
    r"|(?:(?:to\s+)?be\s+)?(?:updated|installed|upgraded|applied))\b",
    r"\b(?:repair|remedy)\s+instructions\b(?=[^.;]*\b(?:software|logic)\b)",
    r"\b(?:updat|rewrit|chang|correct)(?!ion)\w*\s+(?:the\s+)?(?:(?!goodwill|assist|warranty|reimburs)\w+\s+){0,4}program\b",
    r"\b(?:software|SW)\s+version\b[^.;]{0,60}\bupdate",
    r"\b(?:unit|module|controller|cluster|(?-i:(?!TSB|FAQ|DIR|VIN)[A-Z]{3,5}))\)?\s+"
    r"(?:(?:will|may|must|should|needs?\s+to)\s+(?:need\s+to\s+)?be\s+(?:updated|upgraded)"
    r"|(?:software\s+)?up(?:date|grade))\b",
    r"\b(?<!an )updat(?:e|ed|ing)\s+(?:of\s+)?(?:the\s+)?(?:[\w/()'-]+\s+){0,6}"
    r"(?:[BETV]C[MU]|PCM|IVI|AVN|module|(?:control|display)\s+unit|controller)\b",
)
PART = _any(
    r"\breplac(?:e|ed|ing)\b(?!\s+by\s+(?-i:[A-Z]{2,}))",
    r"\bparts?\s+(?:is|are)\s+now\s+available",
    r"\breplacement\b(?!\s+(?:parts?|vehicles?|costs?|market))(?<!that require replacement)",
    r"\bhardware\s+(?:updat|upgrad|and\s+(?:the\s+)?software)",
    r"\b(?:exchange(?!\s+or\b|\s+(?:the|your)\s+vehicle)|swap|reseal|(?<!mobility )kit)\b",
    r"\b(?:will|to|and|be|necessary,?)\s+install(?:ed)?\b(?!\s+(?:the\s+)?remedy)",
    r"\binstall(?:ing)?\s+(?:an?|the|new)\b",
    r"\b(?-i:[A-Z]\w+\s+Installation)\b",
    r"\brepair\s+the\s+(?!(?:affected\s+|subject\s+|recalled\s+)?(?:vehicle|unit|condition|issue|defect|problem))",
    r"\badd(?:ing)?\s+(?:an?\s+)?(?:support|clamp|bracket)",
)
LOOK = _any(
    r"\b(?<!emissions )(?<!campaign )(?<!pre-trip )inspect(?:ed|ing|ion)?\b(?!\s+and\s+maintenance)",
    r"\bcheck(?:ed)?\s+(?:the|for)\b(?!\s+(?:VIN|campaign|open))",
    r"\b(?<!board )diagnos(?:e|ed|ing|is|tics?)\b(?!\s+(?:trouble|software|control|system))",
    r"\bwill\s+(?:verify|confirm|test|tighten)\b",
    r"\bre-?(?:tighten|torque|route|align)\w*",
    r"\b(?:(?:dealers?|retailers?|technicians?)\s+(?:will|should|must)|to|and|or|necessary,?)"
    r"\s+(?:tighten|calibrate|adjust)\b",
    r"\A\s*(?:tighten|calibrate|adjust)\b",
    r"\b(?:tightening|calibrating|calibration|adjusting|adjustment)\b",
    r"\bbe\s+(?:tighten|calibrat|adjust)ed\b",
    r"\b(?:to|bolts?|nuts?|fasteners?)\s+torque\b",
    r"\bcorrect\s+the\s+condition\b",
)
AFTER_SOFTWARE = _any(r"\b(?:after|following|once)\s+the\s+(?:software|re-?program|update|re-?flash)\w*")
"""What is looked at then decides nothing of the software."""
EITHER = _any(
    r"\bmay\s+need\b",
    r"\bor\s+(?:update|reprogram)",
    r"\b(?:either|depending|as\s+needed)\b",
    r"\b(?:if|(?:in\s+)?cases?\s+(?:where|when))\b[^.;]*\breplac",
    r"\breplac\w*\b[^.;]{0,60}\bif\b",
)
VERSION = _any(
    r"\b(?:software|SW|ROM)\s+(?:version|ID|level)s?\b",
    r"\b(?:check|inspect|verif)\w*\W+(?:and/or|and)\W+(?:if\W+(?:necessary|needed|required)\W+)?"
    r"update\w*\s+the\s+(?:\w+\s+){1,3}(?:programming|software)\b",
)
"""Software that is looked at for its own state; nothing else is inspected."""
ONLY_MISSING = _any(r"\bif\s+(?:\w+\s+){1,4}missing\b[^.;]*\binstall\b[^.;]*")
