"""The tables. A row does not validate: it is never a request body and never a domain value."""

from kb.records.tables.access import AnonymousCalls, ApiToken, SharedDevice, SharedPlace, SignIn, WrongTries
from kb.records.tables.bulk_changes import NoteBulk, NoteBulkItem
from kb.records.tables.clocks import ClockRow
from kb.records.tables.concerns import (
    CheckAttachment,
    CheckRow,
    ConcernCandidate,
    ConcernCode,
    ConcernRow,
    DecisionRow,
    FindingRow,
    Gate,
    LookUpRow,
    RepairOrder,
    StopLift,
    VehicleRow,
)
from kb.records.tables.notes import (
    ImportedRow,
    ImportJob,
    KeptColumns,
    LeftOutRow,
    LexiconEntry,
    ModelFamily,
    NoteCodeRow,
    NoteCoverage,
    NoteDocumentRow,
    NoteReplaced,
    NoteRevision,
    NoteRow,
    NoteStep,
    SearchLog,
    WaitingFile,
)
from kb.records.tables.outcomes import (
    Authorization,
    FollowUpRow,
    OtherWork,
    Outcome,
    Payment,
    ProgrammingEvent,
    Reflash,
    WatchAcknowledged,
)
from kb.records.tables.photos import PhotoRow
from kb.records.tables.prep import ConfirmedWindow, PrepTick
from kb.records.tables.proposals import Proposal
from kb.records.tables.readings import ReadingRow, ReadoutRow
from kb.records.tables.recalls import RecallLookUp
from kb.records.tables.reflashes_read import ReflashRead
from kb.records.tables.sent_once import SentOnce
from kb.records.tables.shop import (
    BackupTurn,
    Equipment,
    EquipmentVersion,
    FailureSheetRow,
    MakeRequirement,
    PlanOffer,
    Revision,
    Shop,
    ShopSetting,
    Subscription,
    Trail,
    TrailHead,
    User,
)
from kb.records.tables.sign_offs import AccessRow, SignOffRow
from kb.records.tables.ways import SentOutRow, WayPriceRow
