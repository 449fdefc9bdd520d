"""Arithmetic, comparison and bit operators of PDF calculator functions (ISO 32000-1 table 42), over arrays.

Knows neither stack nor program. A number is an array with one entry for each row: int64 for whole numbers (kept
to 32 bits as in PostScript), float64 for reals, bool for conditions.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

__all__ = ["OPERATORS", "MachineError", "Number", "is_condition", "whole"]

Number = NDArray[np.int64] | NDArray[np.float64] | NDArray[np.bool_]
Whole = NDArray[np.int64]
Real = NDArray[np.float64]


class MachineError(Exception):
    """The program asks for what cannot be done; the message says what."""


def is_condition(number: Number) -> bool:
    """Whether it is true and false rather than a number."""
    return number.dtype == np.bool_


def _real(number: Number, word: str) -> Real:
    if is_condition(number):
        raise MachineError(f"“{word}” is given true or false where a number belongs")
    return number.astype(np.float64)


def whole(number: Number, word: str) -> Whole:
    """The number as whole numbers.

    Raises
    ------
    MachineError
        It is a real number or a condition.
    """
    if number.dtype != np.int64:
        raise MachineError(f"“{word}” is given something else where a whole number belongs")
    return number.astype(np.int64)


def _kept(found: Number) -> Number:
    """Whole numbers beyond 32 bits become reals, as in PostScript."""
    if found.dtype == np.int64 and len(found) and (found.max() >= 2**31 or found.min() < -(2**31)):
        return found.astype(np.float64)
    return found


def _wrapped(found: Whole) -> Whole:
    """The lower 32 bits, read with their sign."""
    return ((found + 2**31) & 0xFFFFFFFF) - 2**31


def _refuse(wrong: NDArray[np.bool_], why: str) -> None:
    if wrong.any():
        raise MachineError(f"its program {why}")


def _same_kind(word: str, does: Callable[..., Number]) -> Callable[[Number, Number], Number]:
    """Two numbers, whole if both are whole."""

    def operator(one: Number, two: Number) -> Number:
        if one.dtype == two.dtype == np.int64:
            return _kept(does(one, two))
        return does(_real(one, word), _real(two, word))

    return operator


def _one(word: str, does: Callable[[Number], Number]) -> Callable[[Number], Number]:
    """One number; a whole one stays whole."""

    def operator(number: Number) -> Number:
        return _kept(does(number)) if number.dtype == np.int64 else does(_real(number, word))

    return operator


def _to_whole(word: str, does: Callable[[Real], Real]) -> Callable[[Number], Number]:
    """One number brought to a whole value; its kind stays."""

    def operator(number: Number) -> Number:
        return number if number.dtype == np.int64 else does(_real(number, word))

    return operator


def _div(one: Number, two: Number) -> Number:
    divisor = _real(two, "div")
    _refuse(divisor == 0, "divides by 0")
    return _real(one, "div") / divisor


def _idiv(one: Number, two: Number) -> Number:
    number, divisor = whole(one, "idiv"), whole(two, "idiv")
    _refuse(divisor == 0, "divides by 0")
    return _kept(np.abs(number) // np.abs(divisor) * np.sign(number) * np.sign(divisor))


def _mod(one: Number, two: Number) -> Number:
    number, divisor = whole(one, "mod"), whole(two, "mod")
    _refuse(divisor == 0, "divides by 0")
    return np.fmod(number, divisor)  # the sign of the dividend, as PostScript has it


def _atan(one: Number, two: Number) -> Number:
    rise, run = _real(one, "atan"), _real(two, "atan")
    _refuse((rise == 0) & (run == 0), "asks for the angle of a point at the origin")
    return np.degrees(np.arctan2(rise, run)) % 360.0


def _exp(one: Number, two: Number) -> Number:
    base, exponent = _real(one, "exp"), _real(two, "exp")
    with np.errstate(all="ignore"):
        found: Real = base**exponent
    _refuse(~np.isfinite(found), "raises a number to a power that is not defined")
    return found


def _sqrt(number: Number) -> Number:
    found = _real(number, "sqrt")
    _refuse(found < 0, "takes the root of a number below 0")
    return np.sqrt(found)


def _logarithm(word: str, does: Callable[[Real], Real]) -> Callable[[Number], Number]:
    def operator(number: Number) -> Number:
        found = _real(number, word)
        _refuse(found <= 0, "takes the logarithm of a number that is not above 0")
        return does(found)

    return operator


def _cvi(number: Number) -> Number:
    if number.dtype == np.int64:
        return number
    found = np.trunc(_real(number, "cvi"))
    _refuse(~((found >= -(2**31)) & (found < 2**31)), "makes a whole number of one that is too large")
    return found.astype(np.int64)


def _logic(word: str, does: Callable[..., Number]) -> Callable[[Number, Number], Number]:
    def operator(one: Number, two: Number) -> Number:
        if one.dtype != two.dtype or one.dtype == np.float64:
            raise MachineError(f"“{word}” takes two conditions or two whole numbers")
        return does(one, two)

    return operator


def _not(number: Number) -> Number:
    if number.dtype == np.float64:
        raise MachineError("“not” takes a condition or a whole number")
    found: Number = np.invert(number)
    return found


def _bitshift(one: Number, two: Number) -> Number:
    number, by = whole(one, "bitshift"), whole(two, "bitshift")
    bits = number & 0xFFFFFFFF
    moved = np.where(by >= 0, bits << np.clip(by, 0, 32), bits >> np.clip(-by, 0, 32))
    return _wrapped(moved & 0xFFFFFFFF)


def _equal(one: Number, two: Number) -> Number:
    if is_condition(one) != is_condition(two):
        return np.zeros(len(one), dtype=np.bool_)
    found: Number = np.equal(one, two)
    return found


def _compared(word: str, does: Callable[..., Number]) -> Callable[[Number, Number], Number]:
    def operator(one: Number, two: Number) -> Number:
        return does(_real(one, word), _real(two, word))

    return operator


OPERATORS: dict[str, tuple[int, Callable[..., Number]]] = {
    "abs": (1, _one("abs", np.abs)),
    "add": (2, _same_kind("add", np.add)),
    "atan": (2, _atan),
    "ceiling": (1, _to_whole("ceiling", np.ceil)),
    "cos": (1, lambda number: np.cos(np.radians(_real(number, "cos")))),
    "cvi": (1, _cvi),
    "cvr": (1, lambda number: _real(number, "cvr")),
    "div": (2, _div),
    "exp": (2, _exp),
    "floor": (1, _to_whole("floor", np.floor)),
    "idiv": (2, _idiv),
    "ln": (1, _logarithm("ln", np.log)),
    "log": (1, _logarithm("log", np.log10)),
    "mod": (2, _mod),
    "mul": (2, _same_kind("mul", np.multiply)),
    "neg": (1, _one("neg", np.negative)),
    # Halves go up, also below 0: PostScript Language Reference, third edition, "round".
    "round": (1, _to_whole("round", lambda number: np.floor(number + 0.5))),
    "sin": (1, lambda number: np.sin(np.radians(_real(number, "sin")))),
    "sqrt": (1, _sqrt),
    "sub": (2, _same_kind("sub", np.subtract)),
    "truncate": (1, _to_whole("truncate", np.trunc)),
    "and": (2, _logic("and", np.bitwise_and)),
    "or": (2, _logic("or", np.bitwise_or)),
    "xor": (2, _logic("xor", np.bitwise_xor)),
    "not": (1, _not),
    "bitshift": (2, _bitshift),
    "eq": (2, _equal),
    "ne": (2, lambda one, two: np.invert(_equal(one, two))),
    "ge": (2, _compared("ge", np.greater_equal)),
    "gt": (2, _compared("gt", np.greater)),
    "le": (2, _compared("le", np.less_equal)),
    "lt": (2, _compared("lt", np.less)),
}
"""How many numbers each operator takes from the stack, and what it puts in their place."""
