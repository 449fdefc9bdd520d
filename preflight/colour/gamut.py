"""The nearest colour an output can reach: least ΔE00 over all it can be told to print. Knows no profile, no press and no artwork.

ΔE00 was made for small differences. Beyond some 13 it has odd minima: where two hues have their mean in the blues, a far hue that is
nearly grey can count as nearer than the vivid colour anybody would choose. The least ΔE00 is given all the same; how far a colour is
out of reach is told rightly, its neighbour is one of many that are all far off, and need not be the very least of them. What people
would choose can be asked for beside it: the nearest of those that keep the hue.
"""

from __future__ import annotations

from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.colour.descent import Descent, Measure
from preflight.colour.difference import between, components, length, rough

__all__ = ["HUE_KEPT", "Nearest", "Output", "Printing", "Reach", "hue_apart"]

Floats = NDArray[np.float64]
Places = NDArray[np.intp]


class Printing(Protocol):
    """Shares of channels in, colours out."""

    @property
    def step(self) -> float:
        """Share of a channel over which a slope is taken: no finer than tells colours apart."""

    def lab(self, devices: ArrayLike) -> Floats:
        """Lab D50 (n, 3) of shares of the channels (n, k), 0-1; what is beyond counts as the limit."""


class Output(Printing, Protocol):
    """What prints."""

    @property
    def name(self) -> str:
        """What people call it."""

    @property
    def channels(self) -> tuple[str, ...]:
        """Names of its three or four channels, such as C, M, Y, K."""

    @property
    def error(self) -> float:
        """ΔE00 by which its colours may be off, 95 of 100 times: within this band of a limit a verdict is uncertain."""

    @property
    def sketch(self) -> Printing:
        """A likeness that is quicker and off by no more than some ΔE00, to search by; itself where it is quick."""


class Nearest(NamedTuple):
    """For each of n colours the nearest that can be reached: ``lab`` (n, 3), ``device`` (n, k) 0-1, ``difference`` (n,) ΔE00."""

    lab: Floats
    device: Floats
    difference: Floats


HUE_KEPT = 10.0
"""Degrees of CIELAB hue within which a colour keeps its hue: a project assumption, a third of the way from red to orange."""
_HUE_WEIGHT = 4.0
"""ΔE00 that each degree beyond costs in the search: dear enough to be kept to a tenth of a degree or so."""

_AXES = {
    3: (0.0, 0.03, 0.07, 0.13, 0.2, 0.27, 0.33, 0.4, 0.47, 0.53, 0.6, 0.67, 0.73, 0.8, 0.87, 0.93, 0.97, 1.0),
    4: (0.0, 0.04, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0),
}
"""Shares of each channel from which searches start, by the number of channels; closer where a little turns the hue of white."""
_APART = 4.0
"""ΔE00, roughly, within which nodes of the grid stand for one another."""
_LOOKED_AT = 96
"""Nodes whose difference from each colour is worked out in full."""
_STARTS = 8
_STARTS_APART = 0.15
"""Share of a channel in which starts of one colour part."""
_STEPS = (8, 8, 8, 6, 6, 5, 5, 4, 4)
"""Starts of each colour that take a step downhill, step by step."""
_LOOKS = (4, 4, 3, 3, 2, 2, 2, 2, 1, 1)
"""Starts of each colour that are looked round at in the end, with a look that shortens each time: outputs bend, slopes mislead."""
_FIRST_LOOK, _SHORTER = 0.12, 0.65
"""Share of a channel that the first look reaches, and by how much each is shorter than the last."""
_PLACES = 24
"""Places looked at in a look."""
_FINALISTS = 2
_LAST_LOOKS = (2, 2, 1, 1)
_LAST_PLACES = 12
"""How the end of a search by a likeness is done again by the output itself, which is some ten times as slow."""
_AT_ONCE = 256
"""Colours searched for together: more would take memory and no less time."""


class Reach:
    """What one output can reach. The grid of devices is laid when it is made, and serves every search after.

    Parameters
    ----------
    output : of three or four channels
    """

    def __init__(self, output: Output) -> None:
        self.output = output
        channels = len(output.channels)
        grid = np.stack(np.meshgrid(*[np.array(_AXES[channels])] * channels, indexing="ij"), axis=-1)
        devices = grid.reshape(-1, channels)
        labs = output.sketch.lab(devices)
        # Devices that print alike are many, of darks above all. One of each is enough to start from.
        _, kept = np.unique(np.floor(_spread(labs) / _APART), axis=0, return_index=True)
        self._devices, self._labs = devices[kept], labs[kept]
        random = np.random.default_rng(0)  # the same places every time
        places = random.normal(size=(len(_LOOKS), _PLACES, channels))
        places *= random.random(places.shape) < 0.6
        self._offsets = places * (_FIRST_LOOK * _SHORTER ** np.arange(len(_LOOKS)))[:, None, None]

    def nearest(self, labs: ArrayLike) -> Nearest:
        """The nearest colours in reach of those asked for, (n, 3) Lab D50; their differences are found to 0.05 ΔE00."""
        wanted = np.reshape(labs, (-1, 3)).astype(float)
        lots = [self._nearest(wanted[at : at + _AT_ONCE]) for at in range(0, max(1, len(wanted)), _AT_ONCE)]
        lab, device, difference = (np.concatenate(parts) for parts in zip(*lots, strict=True))
        return Nearest(lab, device, difference)

    def of_same_hue(self, labs: ArrayLike) -> Nearest:
        """The nearest, in ΔE00, of those in reach that keep the hue within `HUE_KEPT`; what has no neighbour of its hue gets one near it.

        Parameters
        ----------
        labs : (n, 3) Lab D50, of so much chroma that they have a hue; few, for each costs as much as to `nearest`
        """
        wanted = np.reshape(labs, (-1, 3)).astype(float)
        found = self._nearest(wanted, _with_hue)
        return found._replace(difference=between(wanted, found.lab))

    def _nearest(self, wanted: Floats, measure: Measure = components) -> Nearest:
        colour, device = self._starts(wanted, measure)
        search = Descent(self.output.sketch, colour, wanted[colour], device, measure)
        for most in _STEPS:
            search.keep(most)
            search.step()
        for most, offsets in zip(_LOOKS, self._offsets, strict=True):
            search.keep(most)
            search.wander(offsets)
        if self.output.sketch is not self.output:
            search = self._finished(search)
        best = search.best()
        return Nearest(search.lab[best], search.device[best], search.difference[best])

    def _finished(self, search: Descent) -> Descent:
        """The end of a search by a likeness, once more by the output itself."""
        kept = search.leading(_FINALISTS)
        final = Descent(
            self.output, search.colour[kept], search.wanted[kept], search.device[kept], search.measure
        )
        for most, offsets in zip(_LAST_LOOKS, self._offsets[-len(_LAST_LOOKS) :], strict=True):
            final.keep(most)
            final.step()
            final.wander(offsets[:_LAST_PLACES])
        return final

    def _starts(self, wanted: Floats, measure: Measure) -> tuple[Places, Floats]:
        """Where to search from: the number of a colour and a device, (s,) and (s, k)."""
        rows = np.arange(len(wanted))
        roughly = rough(wanted, self._labs)
        if measure is _with_hue:
            roughly += ((_HUE_WEIGHT * _off_hue(wanted[:, None], self._labs)) ** 2).astype(np.float32)
        looked_at = min(_LOOKED_AT, roughly.shape[1])
        near = np.argpartition(roughly, looked_at - 1, axis=1)[:, :looked_at]
        left = length(measure(wanted[:, None], self._labs[near]))
        devices = self._devices[near]
        chosen = []
        for _ in range(_STARTS):
            device = devices[rows, np.argmin(left, axis=1)]
            chosen.append(device)
            left = left + 1000.0 * (np.abs(devices - device[:, None]).max(axis=2) < _STARTS_APART)
        return np.repeat(rows, _STARTS), np.stack(chosen, axis=1).reshape(-1, devices.shape[2])


def hue_apart(first: ArrayLike, second: ArrayLike) -> Floats:
    """Degrees 0-180 between the CIELAB hues of colours (..., 3); grey counts as of hue 0."""
    one, other = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    turn = np.arctan2(one[..., 2], one[..., 1]) - np.arctan2(other[..., 2], other[..., 1])
    apart: Floats = np.abs((np.degrees(turn) + 180.0) % 360.0 - 180.0)
    return apart


def _off_hue(wanted: Floats, printed: Floats) -> Floats:
    """Degrees by which hues are farther apart than `HUE_KEPT`."""
    return np.maximum(hue_apart(wanted, printed) - HUE_KEPT, 0.0)


def _with_hue(wanted: Floats, printed: Floats) -> Floats:
    """The components of ΔE00, and what a lost hue costs, (..., 4)."""
    lost = _HUE_WEIGHT * _off_hue(wanted, printed)
    return np.concatenate((components(wanted, printed), lost[..., None]), axis=-1)


def _spread(labs: Floats) -> Floats:
    """Lab in which equal distances are about equal ΔE00, drawn apart round grey, where a little turns the hue, (n, 3)."""
    chroma = np.hypot(labs[:, 1], labs[:, 2])
    length = (np.log1p(0.045 * chroma) / 0.045 + 5.0 * np.log1p(0.3 * chroma)) / np.maximum(chroma, 1e-9)
    return np.column_stack((labs[:, 0], labs[:, 1] * length, labs[:, 2] * length))
