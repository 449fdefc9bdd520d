"""Rule ``image-absent``. Knows no file format: the reader says what is not there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.rule import Finding, Group, Level, Rule

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["AbsentImage"]


class AbsentImage(Rule):
    """An image that is to be printed and is not there, or not whole.

    What it finds
    -------------
    A linked image that is missing, lies outside the folder of the file, on another machine or in the web; an image of a PDF whose
    content is in another file; and an image, linked or in the file, whose content is damaged, cut off or of no kind that is known.
    Layers for white, varnish and marks count too. What is hidden or clipped away does not.

    Why it matters
    --------------
    A link ends where the file leaves the designer's machine. Programs print a box, a coarse preview or nothing in the image's place,
    mostly without a word.

    Known limits
    ------------
    Nothing is fetched, and nothing outside the folder of the file is opened, so that an image there may be in order and is reported
    all the same. Of a file that comes without its folder, links are listed as not checked. Whether all of a picture is there is told
    by its length and end marks, its pixels are not looked at one by one; of pictures in SVG, PNG and JPEG are looked at. A drawing
    placed as an image is not looked into.

    How to mend it
    --------------
    Embed the image, or put it in the folder of the file and link it from there; send the folder along. Export a damaged image
    anew and place it again.
    """

    id = "image-absent"
    group = Group.CONTENT
    level = Level.ERROR

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each place where such an image is drawn."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for item in job.content.absent_images:
            linked = item.object.linked is not None
            yield self.finding(
                item.object.absent or "",
                "Embed it, or send it along in the file's own folder."
                if linked
                else "Export the image anew and place it again.",
                of=item,
                bounds=item.box,
            )
