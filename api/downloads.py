"""Long answers that are saved as a file: put down on the disk first, so that none is cut off by an error."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from tempfile import SpooledTemporaryFile
from typing import IO

from starlette.responses import Response, StreamingResponse

MEDIA_TYPES = {"csv": "text/csv; charset=utf-8", "jsonl": "application/jsonl"}
_IN_MEMORY = 1 << 20
_CHUNK = 1 << 16


def file_to_save(lines: Iterable[str], name: str, form: str) -> Response:
    """The lines as NAME.FORM; nobody keeps a copy on the way. What `lines` raises comes before the answer."""
    file = SpooledTemporaryFile(_IN_MEMORY)  # noqa: SIM115  # closed when it has been sent
    try:
        file.writelines(line.encode() for line in lines)
        file.seek(0)
    except BaseException:
        file.close()
        raise
    headers = {"Content-Disposition": f'attachment; filename="{name}.{form}"', "Cache-Control": "no-store"}
    return StreamingResponse(_chunks(file), media_type=MEDIA_TYPES[form], headers=headers)


def _chunks(file: IO[bytes]) -> Iterator[bytes]:
    with file:
        yield from iter(lambda: file.read(_CHUNK), b"")
