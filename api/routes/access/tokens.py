"""The caller's own tokens."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.routing import Router
from api.schemas.people import TokenBody
from kb.desk.access import tokens
from kb.desk.access.tokens import NewToken, TokenDraft, TokenView

router = Router(prefix="/me/tokens", tags=["people"])


@router.get("")
def list_tokens(call: SignedInCall) -> tuple[TokenView, ...]:
    """Your tokens, newest first, without their secrets; one past its last day `is_over`."""
    with call.reading() as desk:
        return tokens.list_tokens(desk, desk.actor.user_id)


@router.post("", status_code=201)
def make_token(body: TokenBody, call: SignedInCall) -> NewToken:
    """A new token of your own: `token` is shown this once. By a token none that may do or last more than it
    (403). A new password ends all.
    """
    with call.writing() as desk:
        return tokens.make_token(desk, body.as_value(TokenDraft))


@router.delete("/{token_id}", status_code=204)
def end_token(token_id: Id, call: SignedInCall) -> None:
    """End one of your tokens now."""
    with call.writing() as desk:
        tokens.end_token(desk, desk.actor.user_id, token_id)
