"""Words of letters and forms that say nothing of a fault, and words that only connect."""

from __future__ import annotations

PAPERWORK = frozenset(
    """
    action actual adding advising applicable addendum additional advance advises affected agreement amended
    america announcement announcing appendix approved april assistance attached attachment attn august
    available awareness blast brochure bulletin bulletins buses business call campaign campaigns canada
    canadian card center certain certified check chronology claim claims clarify combo communication
    communications company completed concern confirmation contact contained contains copies copy corp
    corporation correspondence cover customer customers date dated dealer dealer's dealers dealership
    dealerships december decided defect defects delivered delivery demonstration description detailed details
    determined distributed distributor distributors document documents draft drafts email emailed emails
    english envelope equipment exists faq faqs fca february federal field file filed final flyer follow
    follow-up following form fleet forum french frequently general guide hold identified identifies important
    inc included includes including inform information informing informs initial involving instruction
    instructions interim inventory issue issued january july june kit letter letter's letters list listed
    lists llc lot mail mailed mailing manager managers manufacturer manufacturer's manufacturers march may
    media message messages miscellaneous model models motorcycles motorhomes motors new nhtsa notice notices
    notification notifications notified notifies notify notifying november now nsrac number numbers october
    oem official original owner owner's owners package page parts personally phase please portion postcard
    posted posters posting potential potentially press procedure procedures product production products
    program proof provide provided provides puerto purchaser purchasers qa quarterly question questions
    recall recalled recalls redacted redaction reference regarding registered reimbursement related relates
    relating release remedies remedy reminder renot renotification renotifications renotified repair repairs
    replacement report representative request required requirements response retailer retailers revised
    revision rico safety sale sample second select sent september service shipped spanish specific standard
    statement states status step stock stop subject submission submitted submitting summary supplement
    supplemental support technical template text third trailers trucks tsb unit united units upcoming update
    updated usa used vehicle vehicle's vehicles version version's warranty website work year years
    """.split()  # noqa: SIM905 - a list of words reads better as text
)
CONNECTING = frozenset(
    """
    a about after all also an and any are as at be been before being between both but by during for from had
    has have if in into is it its made makes not of off on or our out over per such than that the their them
    there these they this those to under up upon was were what when where which while who will with within
    you your
    """.split()  # noqa: SIM905 - as above
)
