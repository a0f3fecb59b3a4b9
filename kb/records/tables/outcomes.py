"""What was done to modules, what came of it, and who paid.

What a history tells carries the row that told it first (`history_row_id`); later files tell that row anew.
"""

from datetime import date, datetime

from sqlalchemy import Index, false, true
from sqlmodel import Field

from kb.records.tables.columns import NEVER_REUSE_IDS, Numbered, OfShop, instant


class ProgrammingEvent(OfShop, table=True):
    """One sitting at one vehicle: technician, equipment, subscription, minutes. Fees count once here.

    `way` says who did it (kb.nouns.shop.ways.Way); of what others did, no technician is named. The versions
    are what ran on its device, computer and support unit, as entered by then for that day.
    """

    __tablename__ = "programming_event"
    __table_args__ = (Index("programming_event_by_way", "shop_id", "way"), NEVER_REUSE_IDS)
    vehicle_id: int = Field(foreign_key="vehicle.id", index=True)
    technician: str
    performed_on: date
    minutes: int | None = None
    device_id: int | None = Field(default=None, foreign_key="equipment.id")
    computer_id: int | None = Field(default=None, foreign_key="equipment.id")
    support_unit_id: int | None = Field(default=None, foreign_key="equipment.id")
    device_version: str = Field(default="", sa_column_kwargs={"server_default": ""})
    computer_version: str = Field(default="", sa_column_kwargs={"server_default": ""})
    support_unit_version: str = Field(default="", sa_column_kwargs={"server_default": ""})
    subscription_id: int | None = Field(default=None, foreign_key="subscription.id", index=True)
    who_was_called: str = ""
    remark: str = ""
    recorded_at: datetime = instant()
    import_id: int | None = Field(default=None, foreign_key="import_job.id", index=True)
    version: int = 1
    way: str = Field(default="here", sa_column_kwargs={"server_default": "here"})


class Reflash(Numbered, table=True):
    """One module within a programming event, in order."""

    __tablename__ = "reflash"
    event_id: int = Field(foreign_key="programming_event.id", index=True)
    position: int
    module: str
    update_id: int | None = Field(default=None, foreign_key="note.id", index=True)
    result: str
    calibration_before: str = ""
    calibration_after: str = ""
    cvn_after: str = ""
    cvn_before: str = Field(default="", sa_column_kwargs={"server_default": ""})
    error_text: str = ""


class Outcome(OfShop, table=True):
    """What one reflash did for one concern; every report counts the installed ones from here.

    The columns from `counted_as` to `comeback_cost_minor` are its story as whole numbers that reports group
    by (`Story.columns` of kb.outcomes.story says what each is). They follow from what was done and heard, and
    are renewed in the same transaction. `ask_on` is the day on which the customer was promised a call; it
    goes with the next answer.
    """

    __tablename__ = "outcome"
    __table_args__ = (
        Index("outcome_for_reports", "shop_id", "update_id", "reflashed_on"),
        Index(
            "outcome_counts",
            "shop_id",
            "counted_as",
            "update_id",
            "other_work",
            "event_kind",
            "event_day",
            "reflashed_month",
            "reflashed_day",
            "heard_day",
            "comeback_cost_minor",
        ),
        NEVER_REUSE_IDS,
    )
    reflash_id: int = Field(foreign_key="reflash.id", index=True)
    concern_id: int = Field(foreign_key="concern.id", index=True)
    update_id: int | None = Field(default=None, foreign_key="note.id", index=True)
    reflashed_on: date
    odometer: int | None = None
    duplicated_before: str
    road_test: str
    other_work: bool = False
    installed: bool = True
    counted_as: int = 0
    reflashed_day: int = 0
    reflashed_month: int = 0
    event_kind: int = 7
    event_day: int = 0
    heard_day: int = 0
    comeback_cost_minor: int = 0
    ask_on: date | None = None
    import_id: int | None = Field(default=None, foreign_key="import_job.id", index=True)
    history_row_id: int | None = Field(default=None, foreign_key="imported_row.id", index=True)


class OtherWork(Numbered, table=True):
    """Other work in the same visit, which makes "cured by the update" unknowable."""

    __tablename__ = "other_work"
    event_id: int = Field(foreign_key="programming_event.id", index=True)
    what: str
    history_row_id: int | None = Field(default=None, foreign_key="imported_row.id", index=True)


class FollowUpRow(Numbered, table=True):
    """What was heard of a vehicle after its reflash, on the day it was true.

    Where `day_known` is not, `seen_on` is the day of hearing. `settled_call_on`: the day of the promised call
    that this answered. `heard`: "unasked" or "asked", empty where nobody said (kb.nouns.concerns.HowHeard).
    `at_visit`: the concern with which the vehicle was here when this was heard.
    """

    __tablename__ = "follow_up"
    __table_args__ = (
        Index("follow_up_heard", "heard", "result"),
        Index("follow_up_written", "recorded_at", "by"),
        NEVER_REUSE_IDS,
    )
    concern_id: int = Field(foreign_key="concern.id", index=True)
    result: str
    seen_on: date
    odometer: int | None = None
    how: str = ""
    remark: str = ""
    cost_minor: int | None = None
    by: str
    recorded_at: datetime = instant()
    import_id: int | None = Field(default=None, foreign_key="import_job.id", index=True)
    day_known: bool = Field(default=True, sa_column_kwargs={"server_default": true()})
    settled_call_on: date | None = None
    version: int = Field(default=1, sa_column_kwargs={"server_default": "1"})
    heard: str = Field(default="", sa_column_kwargs={"server_default": ""})
    at_visit: int | None = Field(default=None, foreign_key="concern.id", index=True)
    history_row_id: int | None = Field(default=None, foreign_key="imported_row.id", index=True)


class WatchAcknowledged(OfShop, table=True):
    """Somebody answered an alarm of an update (`which`: kb.nouns.review.alarms.AlarmKind); for that one the
    update is watched anew from the next day.
    """

    __tablename__ = "watch_acknowledged"
    update_id: int = Field(foreign_key="note.id", index=True)
    on: date
    by: str
    remark: str = ""
    which: str = Field(default="shop", sa_column_kwargs={"server_default": "shop"})


class Authorization(Numbered, table=True):
    """What the customer agreed to or declined, who asked, how, and what it costs if it does not cure."""

    __tablename__ = "customer_authorization"
    repair_order_id: int = Field(foreign_key="repair_order.id", index=True)
    amount_minor: int
    who: str
    how: str = ""
    if_not_cured: str
    told_may_not_cure: bool = False
    told_module_can_fail: bool = False
    declined: bool = Field(default=False, sa_column_kwargs={"server_default": false()})
    proposed: str = Field(default="", sa_column_kwargs={"server_default": ""})
    number_called: str = Field(default="", sa_column_kwargs={"server_default": ""})
    by: str
    at: datetime = instant()


class Payment(Numbered, table=True):
    """Billed, cost and credited are three numbers; who paid is said with each."""

    __tablename__ = "payment"
    repair_order_id: int = Field(foreign_key="repair_order.id", index=True)
    kind: str
    amount_minor: int
    who_paid: str
    remark: str = ""
    by: str
    at: datetime = instant()
