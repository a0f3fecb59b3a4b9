"""The plan of made-up numbers."""

from __future__ import annotations

from typing import Any

from api.deps import SignedInCall
from api.routing import Router
from api.schemas.whatif import WhatIfIn, WhatIfOut
from kb.desk.bay.advice import advice

router = Router(tags=["advice"])


@router.post("/what-if", response_model=WhatIfOut, response_model_exclude_unset=True)
def what_if(body: WhatIfIn, call: SignedInCall) -> dict[str, Any]:
    """Pure arithmetic: what reflashing, diagnosing and checking are worth by these numbers. Saves nothing."""
    with call.reading() as desk:
        return advice.what_if(desk, body.model_dump(exclude_unset=True))
