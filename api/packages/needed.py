"""What each package of an installation is for; what needs which is known from their own metadata."""

from __future__ import annotations

from collections.abc import Mapping

NEEDED_FOR: Mapping[str, str] = {
    "alembic": "every schema change is a migration, from the first table on",
    "click": "how far an import is, on a terminal (comes with uvicorn anyway)",
    "cryptography": "hashes of passwords; the shop's own certificate authority, for HTTPS in its network",
    "fastapi": "JSON interface and its OpenAPI description",
    "ifaddr": "the addresses by which tablets reach this computer, on every system",
    "jinja2": "pages",
    "numpy": "arrays of the search index, the plan and the rates",
    "pillow": "opens photos of labels and screens, bounded before they are decoded",
    "platformdirs": "where each system keeps a program's data",
    "pypdfium2": "the text of a bulletin that came as PDF",
    "pyspellchecker": "a word list of English: what is right is never corrected",
    "python-calamine": "workbooks (.xlsx) of a shop's own history, read many times faster than in Python",
    "python-multipart": "form posts and uploaded files",
    "rapidfuzz": "edit distances of the spelling search",
    "scipy": "beta quantiles, Kaplan-Meier, sparse matrices",
    "sqlalchemy": "what SQLModel stands on; bulk writes use its Core",
    "sqlmodel": "tables",
    "tzdata": "the shop's local dates on machines without a zone database",
    "ultravin": "make, model, year and engine from a VIN, offline: its tables are inside",
    "uvicorn": "the server",
    "zxcvbn": "a list of common passwords and what is easily made of them, no network",
    "zxing-cpp": "the VIN in a label's bar or 2-D code; draws the QR code of the shop's address",
    "rapidocr-onnxruntime": "the letters in photos; its models come inside the package",
    "psycopg": "PostgreSQL, for shops that set BEFOREFLASH_DATABASE_URL",
}
"""Those that are asked for here, the last two as extras."""

CARRIED: Mapping[str, str] = {
    "numpy": "GNU Fortran's runtime (GPL-3.0-or-later WITH GCC-exception-3.1, LGPL-2.1-or-later)",
    "scipy": "GNU Fortran's runtime (GPL-3.0-or-later WITH GCC-exception-3.1, LGPL-2.1-or-later)",
    "shapely": "GEOS (LGPL-2.1-or-later)",
    "opencv-python": "FFmpeg and Qt (LGPL-2.1-or-later, LGPL-3.0-only)",
}
"""Libraries under a copyleft licence that a package holds as files of their own, beside its own licence."""
