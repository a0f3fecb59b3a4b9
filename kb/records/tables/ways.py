"""What others ask for programming, and what was sent out to them."""

from datetime import date, datetime

from sqlalchemy import Index
from sqlmodel import Field

from kb.records.tables.columns import NEVER_REUSE_IDS, OfShop, instant, maybe_instant


class WayPriceRow(OfShop, table=True):
    """A price asked (`way`: kb.nouns.shop.ways.Way); `make_folded` and `module_folded` are one writing of
    each, an empty module stands for any.
    """

    __tablename__ = "way_price"
    make: str
    make_folded: str
    module: str = ""
    module_folded: str = ""
    way: str
    price_minor: int
    days: int
    asked_on: date
    asked_of: str = ""
    remark: str = ""
    by: str
    retired_on: date | None = None
    version: int = 1


class SentOutRow(OfShop, table=True):
    """A concern whose module somebody else programs; `result` is empty while nothing was heard.

    What came back programmed is the event, with that way; the invoice is a payment.
    """

    __tablename__ = "sent_out"
    __table_args__ = (Index("sent_out_waiting", "shop_id", "result", "due_on"), NEVER_REUSE_IDS)
    concern_id: int = Field(foreign_key="concern.id", index=True)
    way: str
    module: str = ""
    update_id: int | None = Field(default=None, foreign_key="note.id", index=True)
    sent_to: str = ""
    told_price_minor: int | None = None
    sent_on: date
    due_on: date
    by: str
    at: datetime = instant()
    result: str = ""
    back_on: date | None = None
    what_was_done: str = ""
    invoice_number: str = ""
    event_id: int | None = Field(default=None, foreign_key="programming_event.id", index=True)
    payment_id: int | None = Field(default=None, foreign_key="payment.id")
    told_by: str = ""
    told_at: datetime | None = maybe_instant()
    version: int = 1
