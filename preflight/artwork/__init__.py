"""The model every reader fills and every rule reads."""

from .model import (
    NO_PAINT,
    Artwork,
    Box,
    Color,
    Kind,
    Layer,
    Note,
    NoteKind,
    Object,
    Origin,
    Page,
    Paint,
    PaintKind,
    ProcessingStep,
    Spot,
    Stroke,
)

__all__ = [
    "NO_PAINT",
    "Artwork",
    "Box",
    "Color",
    "Kind",
    "Layer",
    "Note",
    "NoteKind",
    "Object",
    "Origin",
    "Page",
    "Paint",
    "PaintKind",
    "ProcessingStep",
    "Spot",
    "Stroke",
]
