"""Decimal numbers as text, for people and for files."""

from __future__ import annotations


def format_number(number: float, digits: int | None = 3) -> str:
    """
    A decimal number to so many significant digits, without an exponent where that reads well.

    Parameters
    ----------
    number : float
        Finite. [-]
    digits : int or None
        Significant digits; None for the shortest text that reads back to the same number. [-]

    Examples
    --------
    >>> format_number(1500.0), format_number(0.04999), format_number(1.05e-11), format_number(12345.6)
    ('1500', '0.05', '1.05e-11', '12300')
    """
    if digits is None:
        text = repr(float(number))
        return text[:-2] if text.endswith(".0") else text
    rounded = float(f"{number:.{digits}g}")
    if rounded != 0.0 and not 1e-4 <= abs(rounded) < 1e7:
        mantissa, _, exponent = f"{number:.{digits - 1}e}".partition("e")
        return f"{mantissa.rstrip('0').rstrip('.') if '.' in mantissa else mantissa}e{int(exponent)}"
    text = f"{rounded:.12f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
