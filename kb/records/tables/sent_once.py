"""What was sent in and taken, so that the same thing sent again is not taken again."""

from datetime import datetime

from sqlmodel import Field

from kb.records.tables.columns import OfShop, instant


class SentOnce(OfShop, table=True):
    """One form or call that was taken, in the transaction of its work. Neither key nor content can be read
    back: only hashes are kept. `status` is 0 while the answer is not known.
    """

    __tablename__ = "sent_once"
    key_hash: str = Field(unique=True)
    content_hash: str
    status: int = 0
    answer: str = ""
    at: datetime = instant(index=True)
