"""Money as it is kept: a whole number of the currency's smallest unit.

The number of decimals is that of ISO 4217; two where it is not listed here (those of the standard that
differ from two, from memory).
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

_DECIMALS = {
    **dict.fromkeys(("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX"), 0),
    **dict.fromkeys(("VND", "VUV", "XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
}
TOO_DEAR_MINOR = 10**9
"""No price or invoice of a shop reaches this."""
_SYMBOLS = {"USD": "$", "CAD": "$", "AUD": "$", "NZD": "$", "MXN": "$", "EUR": "€", "GBP": "£", "JPY": "¥"}


def is_currency(code: str) -> bool:
    """Whether this has the form of an ISO 4217 code: three capital letters."""
    return len(code) == 3 and code.isascii() and code.isalpha() and code.isupper()


def decimals(currency: str) -> int:
    """Digits after the decimal point: 2 for USD, 0 for JPY."""
    return _DECIMALS.get(currency, 2)


def to_minor(amount: float | Decimal, currency: str) -> int:
    """1.005 of a two-decimal currency is 101 minor units: halves go up, and decimals are read as written."""
    exact = Decimal(str(amount)).scaleb(decimals(currency))
    return int(exact.to_integral_value(ROUND_HALF_UP))


def to_major(minor: int, currency: str) -> float:
    """The amount as a number in whole units."""
    return float(Decimal(minor).scaleb(-decimals(currency)))


def typed_amount(minor: int, currency: str) -> str:
    """Money as somebody types it: "45", "180.50"."""
    whole, _, rest = f"{to_major(minor, currency):.{decimals(currency)}f}".partition(".")
    return f"{whole}.{rest}" if rest.strip("0") else whole


def symbol(currency: str) -> str:
    """What stands before an amount: "$", or the currency's three letters and a space."""
    return _SYMBOLS.get(currency, f"{currency} ")


def amount_said(minor: int, currency: str) -> str:
    """Money as people read it, decimals where there are any: "$1,250", "$180.50", "−$40"."""
    places = decimals(currency)
    whole, rest = divmod(abs(minor), 10**places)
    shown = f"{whole:,}" + (f".{rest:0{places}d}" if rest else "")
    return f"{'−' if minor < 0 else ''}{symbol(currency)}{shown}"
