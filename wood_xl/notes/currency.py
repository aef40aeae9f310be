"""Currency signs in cells of money: which currencies a sign may stand for, and amounts typed with one."""

from __future__ import annotations

import re

# Codes by ISO 4217 that a sign is used for; a sign that is not here is not judged.
CODES_OF_SIGN = {
    "\u20ac": {"EUR"},
    "\u00a3": {"GBP", "EGP", "GIP", "FKP", "SHP"},
    "\u00a5": {"JPY", "CNY"},
    "\u20b9": {"INR"},
    "\u20a9": {"KRW"},
    "\u20bd": {"RUB"},
    "\u20ba": {"TRY"},
    "\u20b4": {"UAH"},
    "\u20aa": {"ILS"},
    "kr": {"SEK", "NOK", "DKK", "ISK", "FOK"},
    "z\u0142": {"PLN"},
    "K\u010d": {"CZK"},
    "Ft": {"HUF"},
}
DOLLAR = "$"
PESOS = {"MXN", "ARS", "CLP", "COP", "UYU", "BRL", "CUP", "DOP"}  # beside the dollars, whose codes end in D

_SIGN = r"[A-Za-z\u0142\u010d$\u00a3\u00a5\u20a0-\u20cf]{1,3}\.?"
_AMOUNT = r"\d+(?:\.\d+)?"
_WITH_SIGN = re.compile(rf"(?:{_SIGN})\s*({_AMOUNT})|({_AMOUNT})\s*(?:{_SIGN})")


def amount_with_sign(text: str) -> str | None:
    """The number of an amount that is typed with a currency sign or code, or None if the text is none.

    >>> amount_with_sign("USD 30"), amount_with_sign("12.50 kr"), amount_with_sign("about 30")
    ('30', '12.50', None)
    """
    match = _WITH_SIGN.fullmatch(text)
    return match and (match[1] or match[2])


def is_other_currency(shown: str, code: str) -> bool:
    """Whether a sign or code that a cell shows cannot stand for the currency of that code.

    >>> is_other_currency("$", "CAD"), is_other_currency("$", "EUR"), is_other_currency("NOK", "SEK")
    (False, True, True)
    """
    if shown == DOLLAR:
        return not (code.endswith("D") or code in PESOS)
    if shown in CODES_OF_SIGN:
        return code not in CODES_OF_SIGN[shown]
    return len(shown) == len(code) and shown.isascii() and shown.isalpha() and shown.isupper() and shown != code
