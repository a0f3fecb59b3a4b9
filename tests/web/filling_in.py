"""A new concern typed into its form in a real Chromium, as more than one test begins."""

from __future__ import annotations

from tests.web.chromium import Screen

COMPLAINT = "bucks n jerks lite throtle goin uphill only wen warm"
VEHICLE = (("#year", "2019"), ("#make", "norvane"), ("#model", "tessel"))


def fill_in_a_concern(bay: Screen) -> None:
    """Everything that its form asks for; it is not sent."""
    page = bay.page
    page.fill("#ro_number", "2087")
    page.fill("#complaint", COMPLAINT)
    bay.chip("warm engine")
    page.fill("#codes", "p0171")
    page.click("text=More: odometer")
    for field, text in VEHICLE:
        page.fill(field, text)
