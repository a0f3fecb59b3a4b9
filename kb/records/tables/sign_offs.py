"""Who is signed off for which work, and whose access to manufacturers ends when. No secret has a column."""

from datetime import date

from sqlmodel import Field

from kb.records.tables.columns import OfShop


class SignOffRow(OfShop, table=True):
    """One person, one make (empty: every make), one kind of work; `ended_on` takes it back from that day."""

    __tablename__ = "sign_off"
    user_id: int = Field(foreign_key="shop_user.id", index=True)
    make: str
    kind: str
    signed_on: date
    trained_on: date | None = None
    trained_what: str = ""
    valid_to: date | None = None
    newcomer: bool = False
    note: str = ""
    by: str
    ended_on: date | None = None


class AccessRow(OfShop, table=True):
    """A credential or registration of one person: what for and until when, never the credential itself."""

    __tablename__ = "own_access"
    user_id: int = Field(foreign_key="shop_user.id", index=True)
    kind: str
    make: str
    ends_on: date | None = None
    note: str = ""
    by: str
    gone_on: date | None = None
