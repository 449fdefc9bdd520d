"""PDF functions (ISO 32000-1 7.10) as callables over arrays of rows. Knows no colour and no page.

Types 2 and 3 and arrays of functions are here; `sampled` holds type 0, `calculator` type 4.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pikepdf
from numpy.typing import ArrayLike, NDArray

from preflight.readers.pdf.document.streams import Streams
from preflight.readers.pdf.document.values import entry, number, numbers

__all__ = ["Function", "FunctionError", "function_of", "intervals"]

Floats = NDArray[np.float64]

_DEEPEST = 16
"""Functions inside one another; real ones stay below three."""
_MOST = 4096
"""Functions that one function may come to: a few objects can name each other ever so often."""


class FunctionError(Exception):
    """The function is damaged, or fails for the values it was given; the message says how."""


class Function:
    """A function of ``inputs`` numbers that gives ``outputs`` numbers.

    Attributes
    ----------
    inputs, outputs : int
    domain : (inputs, 2) array; values are clipped to it before they are used
    range : (outputs, 2) array or None; results are clipped to it
    remarks : what is not evaluated as the file asks for, in words
    """

    def __init__(self, domain: Floats, range_: Floats | None, outputs: int) -> None:
        self.domain = domain
        self.range = range_
        self.inputs = len(domain)
        self.outputs = outputs
        self.remarks: tuple[str, ...] = ()

    def __call__(self, values: ArrayLike) -> Floats:
        """Results for rows of values.

        Parameters
        ----------
        values : (..., inputs)

        Returns
        -------
        (..., outputs) float64

        Raises
        ------
        FunctionError
            The rows have another width, or the function is not defined there.
        """
        given = np.asarray(values, dtype=np.float64)
        if given.ndim == 0 or given.shape[-1] != self.inputs:
            width = given.shape[-1] if given.ndim else 0
            raise FunctionError(f"the function takes {self.inputs} numbers, not {width}")
        rows = np.clip(given.reshape(-1, self.inputs), self.domain[:, 0], self.domain[:, 1])
        with np.errstate(all="ignore"):  # what is undefined is found below, as a number that is none
            found = self._rows(rows)
        if self.range is not None:
            found = np.clip(found, self.range[:, 0], self.range[:, 1])
        if not np.isfinite(found).all():
            raise FunctionError("the function gives no number for some of its values")
        return found.reshape(*given.shape[:-1], self.outputs)

    def _rows(self, rows: Floats) -> Floats:
        """Results (m, outputs) for clipped rows (m, inputs)."""
        raise NotImplementedError

    def breaks(self) -> tuple[float, ...]:
        """Inside values of a one-input function where its pieces meet, in order."""
        return ()


def function_of(value: Any, streams: Streams) -> Function:
    """The function of a PDF object: a function dictionary or stream, or an array of functions.

    The functions of an array get the same input each; their results stand side by side.

    Raises
    ------
    FunctionError
        The object is no function, or a damaged one.
    """
    return _function(value, _Reading(streams), 0)


class _Reading:
    """Unpacks streams, and counts the functions that one function comes to."""

    def __init__(self, streams: Streams) -> None:
        self.streams = streams
        self._left = _MOST

    def count(self, depth: int) -> None:
        self._left -= 1
        if depth > _DEEPEST:
            raise FunctionError(
                f"functions lie more than {_DEEPEST} deep inside one another, or refer to themselves"
            )
        if self._left < 0:
            raise FunctionError(f"it comes to more than {_MOST:,} functions")


def _function(value: Any, reading: _Reading, depth: int) -> Function:
    reading.count(depth)
    if isinstance(value, pikepdf.Array):
        return _Joined([_function(item, reading, depth + 1) for item in _counted(value, 64)])
    if not isinstance(value, (pikepdf.Dictionary, pikepdf.Stream)):
        raise FunctionError("there is no function where one belongs")
    kind = entry(value, "/FunctionType")
    domain = intervals(entry(value, "/Domain"), "Domain")
    if not len(domain):
        raise FunctionError("the function has no Domain")
    given = entry(value, "/Range")
    range_ = None if given is None else intervals(given, "Range")
    if kind == 2:
        return _Exponential(value, domain, range_)
    if kind == 3:
        return _Stitched(value, domain, range_, reading, depth)
    if kind not in (0, 4):
        raise FunctionError(f"there is no function type {_shown(kind)}")
    if range_ is None or not len(range_):
        raise FunctionError(f"a function of type {kind} needs a Range")
    if not isinstance(value, pikepdf.Stream):
        raise FunctionError(f"a function of type {kind} is a stream, and this one has none")
    if kind == 0:
        from preflight.readers.pdf.functions.sampled import Sampled

        return Sampled(value, domain, range_, reading.streams)
    from preflight.readers.pdf.functions.calculator import Calculator

    return Calculator(value, domain, range_, reading.streams)


def _shown(value: Any) -> str:
    return str(value)[:20] if isinstance(value, int) else "of that kind"


def _counted(value: pikepdf.Array, most: int) -> list[Any]:
    if not 0 < len(value) <= most:
        raise FunctionError(f"{len(value)} functions where 1 to {most} belong")
    return list(value)


def intervals(value: Any, what: str) -> Floats:
    """Pairs (n, 2) of an array ``[low high low high …]``.

    Raises
    ------
    FunctionError
        It is no such array, or a low end lies above its high end.
    """
    found = numbers(value)
    if found is None or len(found) % 2:
        raise FunctionError(f"{what} is not a list of pairs of numbers")
    pairs = np.array(found, dtype=np.float64).reshape(-1, 2)
    if (pairs[:, 0] > pairs[:, 1]).any():
        raise FunctionError(f"{what} has its ends the wrong way round")
    return pairs


class _Joined(Function):
    """Several functions of the same input side by side."""

    def __init__(self, parts: list[Function]) -> None:
        inputs = {part.inputs for part in parts}
        if len(inputs) > 1:
            raise FunctionError("the functions of an array take different numbers of values")
        domain = np.stack([part.domain for part in parts])
        # Every part clips to its own domain; together they know no narrower one.
        widest = np.stack([domain[..., 0].min(axis=0), domain[..., 1].max(axis=0)], axis=-1)
        super().__init__(widest, None, sum(part.outputs for part in parts))
        self._parts = parts
        self.remarks = tuple(remark for part in parts for remark in part.remarks)

    def _rows(self, rows: Floats) -> Floats:
        return np.concatenate([part(rows) for part in self._parts], axis=1)

    def breaks(self) -> tuple[float, ...]:
        return tuple(sorted({place for part in self._parts for place in part.breaks()}))


def _ends(value: pikepdf.Object, key: str, default: float) -> list[float] | None:
    given = entry(value, key)
    return [default] if given is None else numbers(given)


class _Exponential(Function):
    """Type 2 (7.10.3): C0 + x^N (C1 - C0)."""

    def __init__(self, value: pikepdf.Object, domain: Floats, range_: Floats | None) -> None:
        start = _ends(value, "/C0", 0.0)
        end = _ends(value, "/C1", 1.0)
        exponent = number(entry(value, "/N"))
        if start is None or end is None or not start or len(start) != len(end):
            raise FunctionError("C0 and C1 are not lists of equally many numbers")
        if exponent is None:
            raise FunctionError("the exponent N is missing or no number")
        if len(domain) != 1:
            raise FunctionError("an exponential function takes one number")
        low = float(domain[0, 0])
        if low < 0 and exponent != int(exponent):
            raise FunctionError(f"the exponent {exponent:g} is not defined below 0, where the Domain begins")
        if exponent < 0 and low <= 0 <= float(domain[0, 1]):
            raise FunctionError(f"the exponent {exponent:g} is not defined at 0, which lies in the Domain")
        if range_ is not None and len(range_) != len(start):
            raise FunctionError("Range has not as many pairs as C0 has numbers")
        super().__init__(domain, range_, len(start))
        self._start, self._rise, self._exponent = np.array(start), np.array(end) - np.array(start), exponent

    def _rows(self, rows: Floats) -> Floats:
        # 0 ** 0 is 1 here as in the standard's formula for N = 0.
        found: Floats = self._start + rows**self._exponent * self._rise
        return found


class _Stitched(Function):
    """Type 3 (7.10.4): one function for each part of the domain."""

    def __init__(
        self, value: pikepdf.Object, domain: Floats, range_: Floats | None, reading: _Reading, depth: int
    ) -> None:
        parts = entry(value, "/Functions")
        if not isinstance(parts, pikepdf.Array):
            raise FunctionError("the list of functions to stitch is missing")
        if len(domain) != 1:
            raise FunctionError("a stitching function takes one number")
        self._parts = [_function(part, reading, depth + 1) for part in _counted(parts, 1024)]
        bounds = numbers(entry(value, "/Bounds"))
        encode = numbers(entry(value, "/Encode"))
        count = len(self._parts)
        if bounds is None or len(bounds) != count - 1:
            raise FunctionError(f"{count} stitched functions need {count - 1} Bounds")
        if encode is None or len(encode) < 2 * count:
            raise FunctionError(f"{count} stitched functions need {2 * count} numbers of Encode")
        if any(part.inputs != 1 for part in self._parts):
            raise FunctionError("a stitched function takes more than one number")
        outputs = {part.outputs for part in self._parts}
        if len(outputs) != 1:
            raise FunctionError("stitched functions give different numbers of values")
        edges = np.array([domain[0, 0], *bounds, domain[0, 1]])
        if (np.diff(edges) < 0).any():
            raise FunctionError("the Bounds of the stitched functions are not in order, or leave the Domain")
        if range_ is not None and len(range_) != min(outputs):
            raise FunctionError("Range has not as many pairs as the stitched functions give")
        super().__init__(domain, range_, outputs.pop())
        self._edges = edges
        self._encode = np.array(encode[: 2 * count]).reshape(-1, 2)
        self.remarks = tuple(remark for part in self._parts for remark in part.remarks)

    def _rows(self, rows: Floats) -> Floats:
        x = rows[:, 0]
        # A bound belongs to the part above it; the end of the domain to the last part.
        which = np.searchsorted(self._edges[1:-1], x, side="right")
        low, high = self._edges[which], self._edges[which + 1]
        width = np.where(high > low, high - low, 1.0)
        start, end = self._encode[which, 0], self._encode[which, 1]
        inner = start + (x - low) / width * (end - start)
        found = np.empty((len(x), self.outputs))
        for index in set(which.tolist()):
            chosen = which == index
            found[chosen] = self._parts[index](inner[chosen, None])
        return found

    def breaks(self) -> tuple[float, ...]:
        low, high = float(self._edges[0]), float(self._edges[-1])
        return tuple(edge for edge in self._edges[1:-1].tolist() if low < edge < high)
