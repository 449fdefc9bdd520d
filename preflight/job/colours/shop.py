"""What a shop's profile says of colours: its libraries of names and its output. Knows no artwork and no rule."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from preflight.profile import Profile, ProfileError
from preflight.profile.names import normalised

if TYPE_CHECKING:
    from preflight.colour.gamut import Output, Reach
    from preflight.colour.gamut_slice import GamutSlices
    from preflight.colour.libraries import Library, Tint

__all__ = ["Defined", "Shop", "shop_of"]

Lab = tuple[float, float, float]


class Defined(NamedTuple):
    """A colour as a library of the shop has it: its name there, Lab D50, the library's name, and tints as measured, if they were."""

    name: str
    lab: Lab
    library: str
    tints: tuple[Tint, ...] = ()


class Shop:
    """Libraries and output of one shop, each read when it is first asked for.

    Parameters
    ----------
    libraries : files of named colours, the first that has a name decides.
    icc_profile : of the output; coated paper stands in where there is none.
    absolute : whether colours are judged by what they measure, not relative to the white of the film.
    """

    def __init__(
        self, libraries: Sequence[Path], icc_profile: Path | None, absolute: bool, origins: dict[str, str]
    ) -> None:
        self._paths = libraries
        self._icc_profile = icc_profile
        self._absolute = absolute
        self._origins = origins

    @cached_property
    def libraries(self) -> tuple[Library, ...]:
        """The libraries.

        Raises
        ------
        ProfileError
            One of them cannot be used.
        """
        if not self._paths:
            return ()
        from preflight.colour.errors import ColourFileError
        from preflight.colour.libraries import read_library

        try:
            return tuple(read_library(path) for path in self._paths)
        except ColourFileError as error:
            raise self._unusable("colours.libraries", error) from None

    @cached_property
    def _defined(self) -> dict[str, Defined]:
        found: dict[str, Defined] = {}
        for library in self.libraries:
            for colour in library.colours:
                found.setdefault(
                    normalised(colour.name), Defined(colour.name, colour.lab, library.name, colour.tints)
                )
        return found

    @cached_property
    def unread(self) -> tuple[str, ...]:
        """What the libraries hold and is not read, a sentence each without its full stop."""
        return tuple(f"{library.name}, {what}" for library in self.libraries for what in library.unread)

    def refusal(self, name: str) -> str | None:
        """Why a library that has a name cannot be asked for its colour; None where none has it."""
        key = normalised(name)
        return next(
            (
                f"{library.name} has it, but {one.reason}"
                for library in self.libraries
                for one in library.refused
                if normalised(one.name) == key
            ),
            None,
        )

    @property
    def names(self) -> tuple[str, ...]:
        """Every name that a library defines."""
        return tuple(one.name for one in self._defined.values())

    def look_up(self, name: str) -> Defined | None:
        """What the libraries say of a name, case, space and punctuation aside."""
        return self._defined.get(normalised(name))

    @cached_property
    def output(self) -> Output:
        """What prints.

        Raises
        ------
        ProfileError
            The output profile cannot be used.
        """
        if self._icc_profile is None:
            return self._coated
        from preflight.colour.errors import ColourFileError
        from preflight.colour.icc import IccOutput

        try:
            return IccOutput(self._icc_profile, "absolute" if self._absolute else "relative")
        except ColourFileError as error:
            raise self._unusable("output.icc_profile", error) from None

    @cached_property
    def _coated(self) -> Output:
        """Offset on coated paper, which stands in."""
        from preflight.colour.coated import CoatedPaper
        from preflight.colour.media_relative import MediaRelative

        return CoatedPaper() if self._absolute else MediaRelative(CoatedPaper())

    @cached_property
    def white(self) -> Lab:
        """Lab D50 of what is printed on, as colours are judged: nothing of an ink, all of a light."""
        if not self._absolute:
            return 100.0, 0.0, 0.0
        bare = 0.0 if len(self.output.channels) == 4 else 1.0
        lightness, a, b = self.output.lab([[bare] * len(self.output.channels)])[0].tolist()
        return lightness, a, b

    @cached_property
    def reach(self) -> Reach:
        """The colours that the output reaches."""
        from preflight.colour.gamut import Reach

        return Reach(self.output)

    @cached_property
    def slices(self) -> GamutSlices:
        """Outlines of what the output reaches, to draw them."""
        from preflight.colour.gamut_slice import GamutSlices

        return GamutSlices(self.output)

    def lab_of_inks(self, shares: Sequence[float]) -> Lab:
        """Lab D50 of process inks, shares 0–1: on the output where it prints in them, else on coated paper."""
        output = self.output if len(self.output.channels) == len(shares) else self._coated
        lightness, a, b = output.lab([list(shares)])[0].tolist()
        return lightness, a, b

    def _unusable(self, key: str, error: Exception) -> ProfileError:
        return ProfileError(str(error), self._origins.get(key), key)


def shop_of(profile: Profile) -> Shop:
    """The shop of a profile; one for all pages judged by profiles that say the same of colours."""
    output = profile.output
    origins = tuple(
        (key, profile.origins[key])
        for key in ("colours.libraries", "output.icc_profile")
        if key in profile.origins
    )
    return _shop(
        tuple(map(Path, profile.colours.libraries)),
        None if output.icc_profile is None else Path(output.icc_profile),
        output.rendering_intent == "absolute colorimetric",
        origins,
    )


@lru_cache(maxsize=4)
def _shop(
    libraries: tuple[Path, ...],
    icc_profile: Path | None,
    absolute: bool,
    origins: tuple[tuple[str, str], ...],
) -> Shop:
    return Shop(libraries, icc_profile, absolute, dict(origins))
