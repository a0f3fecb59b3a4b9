"""Numbers read one by one, put together as what each module shows."""

from __future__ import annotations

from kb.nouns.read_values import ReadKind, ReadValue, of_modules
from kb.nouns.vehicles import CalibrationId, CalibrationReading, CalibrationSource


def test_numbers_are_put_to_their_modules_and_the_first_cvn_to_the_first_id() -> None:
    photo = CalibrationSource.PHOTO
    read = (
        ReadValue(ReadKind.CVN, "1A2B3C4D", "PCM", source=CalibrationSource.READ),
        ReadValue(ReadKind.CALIBRATION_ID, "0447B", "pcm", source=photo),
        ReadValue(ReadKind.HARDWARE_NUMBER, "88210", "TCM", source=photo),  # of it no ID was read
        ReadValue(ReadKind.CALIBRATION_ID, "0447C", "PCM", source=CalibrationSource.READ),
        ReadValue(ReadKind.SOFTWARE_NUMBER, "5150", "PCM", source=photo),
    )
    assert of_modules(read) == (
        CalibrationReading(
            "PCM",
            "0447B",
            photo,
            cvn="1A2B3C4D",
            software_number="5150",
            more=(CalibrationId("0447C"),),
        ),
    )
