from __future__ import annotations

import json
import struct
import zlib
from pathlib import Path
from threading import Barrier, Thread

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.errors import Unreadable
from kb.records.files.array_file import ArrayFolder, Arrays
from kb.records.files.whole_files import UNFINISHED

ARRAYS: Arrays = {
    "numbers": np.arange(1000, dtype=np.int32),
    "shares": np.linspace(0, 1, 77, dtype=np.float32),
    "none": np.empty(0, np.int64),
    "flags": np.array([True, False]),
}
FACTS = {"what": "ü", "of": [1, 2]}


def kept(folder: Path, mark: str = "ours") -> ArrayFolder:
    files = ArrayFolder(folder / "search", "some")
    with files.alone(1) as alone:
        assert alone
        files.keep(mark, FACTS, ARRAYS)
    return files


def read(files: ArrayFolder) -> Arrays | None:
    """The arrays, or None where the file is not taken."""
    found = files.newest("ours")
    try:
        return found.arrays() if found else None
    except Unreadable:
        return None


def only_file(files: ArrayFolder) -> Path:
    (one,) = files.folder.glob("*.arrays")
    return one


def test_what_was_kept_is_mapped_as_it_was_and_cannot_be_written_to(tmp_path: Path) -> None:
    files = kept(tmp_path)
    found = files.newest("ours")
    assert found is not None
    assert found.facts == FACTS
    arrays = found.arrays()
    for name, array in ARRAYS.items():
        assert arrays[name].dtype == array.dtype
        assert arrays[name].tolist() == array.tolist()
    with pytest.raises(ValueError, match="read-only"):
        arrays["numbers"][0] = 1
    assert only_file(files).stat().st_mode & 0o077 == 0
    assert files.newest("another program's") is None


def test_a_newer_one_has_a_name_of_its_own_and_the_older_goes_though_it_is_mapped(tmp_path: Path) -> None:
    files = kept(tmp_path)
    first, older = only_file(files), read(files)
    kept(tmp_path)
    assert only_file(files) != first
    assert older is not None
    assert older["numbers"].tolist() == list(range(1000))


@settings(max_examples=40)
@given(st.integers(0), st.integers(1, 255), st.booleans())
def test_of_a_file_that_was_changed_or_cut_anywhere_nothing_is_taken(
    tmp_path_factory: pytest.TempPathFactory, place: int, change: int, cut: bool
) -> None:
    files = kept(tmp_path_factory.mktemp("kept"))
    file = only_file(files)
    whole = file.read_bytes()
    place %= len(whole)
    broken = whole[:place] if cut else whole[:place] + bytes([whole[place] ^ change]) + whole[place + 1 :]
    file.write_bytes(broken)
    taken = read(files)
    header = struct.calcsize("<8sQI") + int.from_bytes(whole[8:16], "little")
    between = header <= place < -(-header // 64) * 64  # the gap before the first array says nothing
    assert taken is None or (between and not cut)
    kept(files.folder.parent)
    assert read(files) is not None


def test_nothing_but_numbers_is_ever_read(tmp_path: Path) -> None:
    """An array of objects would be pickled: such a header is refused, however well it is summed."""
    files = kept(tmp_path)
    told = {"mark": "ours", "facts": {}, "arrays": [["x", "|O", 1, 0]], "checksum": 0, "size": 1 << 20}
    contents = json.dumps(told).encode()
    head = struct.pack("<8sQI", b"BFARRAY1", len(contents), zlib.crc32(contents))
    only_file(files).write_bytes(head + contents + bytes(1 << 20))
    assert files.newest("ours") is None


def test_what_a_killed_writer_left_is_no_file_and_goes_with_the_next_one(tmp_path: Path) -> None:
    files = kept(tmp_path)
    left = files.folder / f"some-00000009.arrays{UNFINISHED}"
    left.write_bytes(b"half")
    assert read(files) is not None
    kept(tmp_path)
    assert not left.exists()


def test_of_two_at_once_one_is_alone_and_the_other_waits_and_where_nobody_can_write_none_is(
    tmp_path: Path,
) -> None:
    files, begin, order = ArrayFolder(tmp_path / "search", "some"), Barrier(2), []

    def work(name: str) -> None:
        begin.wait()
        with files.alone(10) as alone:
            assert alone
            order.extend((name, name))

    both = [Thread(target=work, args=(name,)) for name in "ab"]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert order in (list("aabb"), list("bbaa"))
    with files.alone(0) as first, files.alone(0) as second:
        assert (first, second) == (True, False)
    (tmp_path / "no folder").write_bytes(b"")
    with ArrayFolder(tmp_path / "no folder", "some").alone(0) as nowhere:
        assert not nowhere
