"""The text of a bulletin's file: plain text in any usual encoding, or the text that a PDF holds."""

from __future__ import annotations

import threading

import pypdfium2 as pdfium

from kb.errors import Unreadable
from kb.intake.source import open_text

MOST_BYTES = 40 << 20
MOST_PAGES = 200
_one_at_a_time = threading.Lock()
"""PDFium's library must not be called by two threads at once, its own documentation says."""
_NO_TEXT = (
    "There is no text in this PDF: its pages are pictures. Open it where text can be recognized, or type the "
    "note by hand."
)
_DAMAGED = (
    "This PDF cannot be read: it is damaged or locked with a password. Open it, copy its text and paste that."
)


def text_of_file(name: str, data: bytes) -> str:
    """The text of a file. Raises Unreadable that says what to do: too big, damaged, locked, or without
    text.
    """
    if len(data) > MOST_BYTES:
        raise Unreadable(f"{name or 'The file'} is larger than 40 MB. Paste the text of the bulletin alone.")
    if data[:1024].lstrip().startswith(b"%PDF-"):
        with _one_at_a_time:
            return _text_of_pdf(data)
    with open_text(data).open() as stream:
        return stream.read()


def _text_of_pdf(data: bytes) -> str:
    try:
        document = pdfium.PdfDocument(data)
    except pdfium.PdfiumError as damage:
        raise Unreadable(_DAMAGED) from damage
    try:
        pages = [_text_of_page(document, n) for n in range(min(len(document), MOST_PAGES))]
    except pdfium.PdfiumError as damage:
        raise Unreadable(_DAMAGED) from damage
    finally:
        document.close()
    text = "\n\f\n".join(pages)
    if not text.strip():
        raise Unreadable(_NO_TEXT)
    return text


def _text_of_page(document: pdfium.PdfDocument, n: int) -> str:
    page = document[n]
    try:
        words = page.get_textpage()
        try:
            return str(words.get_text_bounded()).replace("\x00", " ")
        finally:
            words.close()
    finally:
        page.close()
