"""Trouble codes that speak of the same fault: P0300 and P0301 are both misfires.

From the generic code lists every technician knows (SAE J2012): common practice, from memory.
"""

from __future__ import annotations

from collections.abc import Iterable

_FAMILIES: tuple[tuple[str, ...], ...] = (
    tuple(f"P03{cylinder:02d}" for cylinder in range(13)),
    tuple(f"P02{circuit:02d}" for circuit in range(13)),
    tuple(f"P03{coil}" for coil in range(51, 63)),
    ("P0171", "P0174"),
    ("P0172", "P0175"),
    ("P0420", "P0430"),
    ("P0440", "P0441", "P0442", "P0446", "P0455", "P0456", "P0457", "P0496"),
    ("P0335", "P0336", "P0337", "P0338", "P0339"),
    ("P0340", "P0341", "P0342", "P0343", "P0344", "P0345", "P0346"),
    ("P0010", "P0011", "P0012", "P0013", "P0014", "P0020", "P0021", "P0022", "P0023", "P0024"),
    ("P0016", "P0017", "P0018", "P0019"),
    ("P0087", "P0088", "P0089", "P0190", "P0191", "P0192", "P0193"),
    ("P0121", "P0122", "P0123", "P0221", "P0222", "P0223", "P2135"),
    ("P2122", "P2123", "P2127", "P2128", "P2138"),
    ("P0700", "P0701", "P0702", "P0706", "P0715", "P0720"),
    ("P0730", "P0731", "P0732", "P0733", "P0734", "P0735", "P0736"),
    ("P0740", "P0741", "P0742", "P0743", "P0744"),
    ("P0562", "P0563", "P0620", "P0622"),
    ("P0325", "P0326", "P0327", "P0328", "P0330", "P1326"),
    ("P0505", "P0506", "P0507"),
    ("P0234", "P0299"),
    ("U0100", "U0101", "U0121", "U0140", "U0155", "U0073", "U0001"),
)  # fmt: skip


def _by_code(families: Iterable[tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    return {code: tuple(other for other in family if other != code) for family in families for code in family}


_RELATED = _by_code(_FAMILIES)


def related_codes(code: str) -> tuple[str, ...]:
    """Other codes of the same fault family, without the code itself; empty for a code that stands alone."""
    return _RELATED.get(code.upper(), ())
