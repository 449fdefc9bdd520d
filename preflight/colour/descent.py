"""Searches downhill for the devices that print wanted colours best. Knows only what an output prints; where to start is given.

Least squares of the components of ΔE00, or of another measure (Levenberg and Marquardt), held within the limits of the channels, for all starts at
once. Outputs bend where cells of their tables meet and many devices print the same dark, so that slopes may mislead or vanish:
each step is tried with several dampings, and a start that gets no further takes shorter ones.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preflight.colour.difference import components, length

if TYPE_CHECKING:
    from preflight.colour.gamut import Printing

__all__ = ["Descent", "Measure"]

Floats = NDArray[np.float64]
Places = NDArray[np.intp]
Measure = Callable[[Floats, Floats], Floats]
"""From colours wanted and printed, (..., 3) Lab, to (..., m) numbers whose length as a vector is to be least."""


_DAMPINGS = np.array((0.05, 1.0, 20.0))
"""Dampings that each step is tried with, as multiples of the last that served."""
_FIRST_DAMPING = 3.0
"""Against slopes of some hundred ΔE00 for the whole of a channel, squared: next to none."""
_REACHED = 0.01
"""ΔE00 below which nothing better is looked for."""


class Descent:
    """Starts on their way down.

    Parameters
    ----------
    output
    colour : (s,) which colour a start belongs to
    wanted : (s, 3) that colour, Lab
    device : (s, k) the start
    measure : of how far what is printed is from what is wanted
    """

    def __init__(
        self,
        output: Printing,
        colour: Places,
        wanted: Floats,
        device: Floats,
        measure: Measure = components,
    ) -> None:
        self.output, self.measure = output, measure
        self.colour, self.wanted, self.device = colour, wanted, device
        self.lab = output.lab(device)
        self.parts = measure(wanted, self.lab)
        self.difference = length(self.parts)
        self.damping = np.full(len(wanted), _FIRST_DAMPING)
        self.going = np.ones(len(wanted), dtype=bool)

    def step(self) -> None:
        """One step of each start that is still on its way."""
        at = np.flatnonzero(self.going)
        device, damping = self.device[at], self.damping[at, None] * _DAMPINGS
        slopes = self._slopes(at)
        uphill = np.einsum("ski,si->sk", slopes, self.parts[at])
        held = ((device <= 0) & (uphill > 0)) | ((device >= 1) & (uphill < 0))
        slopes = np.where(held[:, :, None], 0.0, slopes)
        uphill = np.where(held, 0.0, uphill)
        normal = np.einsum("ski,sji->skj", slopes, slopes)
        damped = normal[:, None] + damping[:, :, None, None] * np.eye(device.shape[1])
        moves = np.linalg.solve(damped, -uphill[:, None, :, None])[..., 0]
        tried = np.clip(device[:, None] + moves, 0.0, 1.0)
        lab = self._printed(tried)
        better, best = self._take(at, tried, lab, self.measure(self.wanted[at, None], lab))
        self.damping[at] = np.where(better, damping[np.arange(len(at)), best], damping[:, -1] * 5)

    def wander(self, offsets: Floats) -> None:
        """Look round each start that is still on its way, and move to the best of the places looked at.

        Parameters
        ----------
        offsets : (t, k) shares of the channels
        """
        at = np.flatnonzero(self.going)
        tried = np.clip(self.device[at, None] + offsets, 0.0, 1.0)
        lab = self._printed(tried)
        self._take(at, tried, lab, self.measure(self.wanted[at, None], lab))

    def keep(self, most: int) -> None:
        """Go on with the best few starts of each colour, and with none of a colour that is reached."""
        order, rank = self._ranked()
        best = np.empty(len(order))
        best[order] = self.difference[order][np.arange(len(order)) - rank[order]]
        self.going &= (rank < most) & (best > _REACHED)

    def leading(self, most: int) -> Places:
        """The best few starts of each colour."""
        return np.flatnonzero(self._ranked()[1] < most)

    def best(self) -> Places:
        """The best start of each colour that has any, in the colours' order."""
        order, rank = self._ranked()
        best: Places = order[rank[order] == 0]
        return best

    def _ranked(self) -> tuple[Places, Places]:
        """Starts by colour and difference, and how many of its colour go before each start."""
        order = np.lexsort((self.difference, self.colour))
        rank = np.empty(len(order), dtype=np.intp)
        rank[order] = np.arange(len(order)) - np.searchsorted(self.colour[order], self.colour[order])
        return order, rank

    def _printed(self, devices: Floats) -> Floats:
        return self.output.lab(devices.reshape(-1, devices.shape[-1])).reshape(*devices.shape[:-1], 3)

    def _take(
        self, at: Places, tried: Floats, lab: Floats, parts: Floats
    ) -> tuple[NDArray[np.bool_], Places]:
        """Move starts to the best of the places tried, (a, t, ...), where it is better; which moved, and which place was best."""
        difference = length(parts)
        rows, best = np.arange(len(at)), np.argmin(difference, axis=1)
        better = difference[rows, best] < self.difference[at]
        to, row, place = at[better], rows[better], best[better]
        self.device[to], self.lab[to], self.parts[to] = tried[row, place], lab[row, place], parts[row, place]
        self.difference[to] = difference[row, place]
        return better, best

    def _slopes(self, at: Places) -> Floats:
        """(s, k, m) by how much the components change with each channel, taken towards the inside at the upper limit."""
        device = self.device[at]
        channels = device.shape[1]
        moves = np.where(device + self.output.step > 1.0, -self.output.step, self.output.step)
        moved = device[:, None] + moves[:, :, None] * np.eye(channels)
        slopes: Floats = (
            self.measure(self.wanted[at, None], self._printed(moved)) - self.parts[at, None]
        ) / moves[:, :, None]
        return slopes
