"""Paths of PDF: what each operator makes of them. ISO 32000-1, 8.5, tables 59 to 61, unless another source is named."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_pages import MM, corners, drawn, noted

from preflight.artwork.model import NoteKind, PaintKind
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits


def test_lines_and_curves_start_where_the_last_one_ended() -> None:
    artwork = drawn("10 10 m 20 10 l 20 20 30 30 40 10 c S")
    assert corners(artwork) == [[(10, 10), (20, 10), (40, 10)]]
    assert artwork.outlines.straight.tolist() == [True, False]
    curve = artwork.outlines.segments[1] / MM
    assert curve[:, 0].tolist() == pytest.approx([20, 20, 30, 40])
    assert (100 - curve[:, 1]).tolist() == pytest.approx([10, 20, 30, 10])


def test_v_begins_and_y_ends_at_its_own_handle() -> None:
    segments = drawn("10 10 m 20 30 40 10 v 50 30 70 10 y S").outlines.segments / MM
    segments[..., 1] = 100 - segments[..., 1]
    assert segments[0].ravel() == pytest.approx([10, 10, 10, 10, 20, 30, 40, 10])
    assert segments[1].ravel() == pytest.approx([40, 10, 50, 30, 70, 10, 70, 10])


def test_a_closed_contour_gets_the_line_that_closes_it() -> None:
    artwork = drawn("10 10 m 20 10 l 20 20 l h S")
    assert corners(artwork) == [[(10, 10), (20, 10), (20, 20), (10, 10)]]
    assert artwork.outlines.closed.tolist() == [True]
    assert artwork.outlines.gaps.tolist() == pytest.approx([np.hypot(10, 10) * MM])


def test_no_line_closes_a_contour_whose_ends_meet() -> None:
    artwork = drawn("10 10 m 20 10 l 20 20 l 10 10 l h S")
    assert corners(artwork) == [[(10, 10), (20, 10), (20, 20), (10, 10)]]
    assert artwork.outlines.gaps.tolist() == [0]


def test_a_coincident_end_is_no_closure_and_filling_closes_nothing() -> None:
    artwork = drawn("10 10 m 20 10 l 20 20 l 10 10 l f 50 50 m 60 50 l 60 60 l B")
    assert artwork.outlines.closed.tolist() == [False, False]
    assert artwork.outlines.gaps.tolist() == pytest.approx([0, np.hypot(10, 10) * MM])
    assert corners(artwork, 1) == [[(50, 50), (60, 50), (60, 60)]]


@pytest.mark.parametrize("operator", ["s", "b", "b*"])
def test_some_operators_close_before_they_paint(operator: str) -> None:
    artwork = drawn(f"5 5 m 9 5 l 10 10 m 20 10 l 20 20 l {operator}")
    assert artwork.outlines.closed.tolist() == [False, True]
    assert corners(artwork)[1] == [(10, 10), (20, 10), (20, 20), (10, 10)]


def test_a_rectangle_is_m_l_l_l_h() -> None:
    artwork = drawn("10 20 30 -5 re f")
    assert corners(artwork) == [[(10, 20), (40, 20), (40, 15), (10, 15), (10, 20)]]
    assert artwork.outlines.closed.tolist() == [True]
    assert artwork.outlines.straight.all()


def test_after_closing_a_contour_the_next_starts_where_that_one_did() -> None:
    artwork = drawn("10 10 m 20 10 l 20 20 l h 5 5 l S 0 0 9 9 re 50 50 l 60 60 l h 70 70 l S")
    assert corners(artwork)[1:] == [[(10, 10), (5, 5)]]
    assert artwork.outlines.closed[:2].tolist() == [True, False]
    assert corners(artwork, 1)[1:] == [[(0, 0), (50, 50), (60, 60), (0, 0)], [(0, 0), (70, 70)]]


def test_a_moveto_overrides_one_right_before_it_and_one_at_the_end_is_nothing() -> None:
    assert corners(drawn("1 1 m 2 2 m 3 3 m 4 4 l 5 5 m S")) == [[(3, 3), (4, 4)]]
    assert corners(drawn("1 1 m 2 2 m S")) == [[(2, 2)]]


def test_closing_twice_is_closing_once() -> None:
    artwork = drawn("10 10 m 20 10 l 20 20 l h h s")
    assert artwork.outlines.contour_count == 1
    assert len(artwork.outlines.segments) == 3


def test_a_point_closed_is_a_contour_without_length() -> None:
    artwork = drawn("10 10 m h S 20 20 m 20 20 l S")
    assert artwork.outlines.closed.tolist() == [True, False]
    assert artwork.outlines.segment_counts.tolist() == [0, 1]


@pytest.mark.parametrize("start", ["20 10 l", "1 2 3 4 20 10 c", "3 4 20 10 v", "3 4 20 10 y", "h 20 10 l"])
def test_without_a_moveto_the_first_point_begins_and_it_is_said(start: str) -> None:
    artwork = drawn(f"{start} 30 10 l S 1 1 m 2 2 l S")
    assert corners(artwork) == [[(20, 10), (30, 10)]]
    assert artwork.objects[0].broken
    assert artwork.objects[1].broken is None
    assert [note.origin.ref for note in noted(artwork, "path") if note.origin] == [
        artwork.objects[0].origin.ref
    ]


@pytest.mark.parametrize(
    ("operator", "rule", "fills", "strokes"),
    [
        ("f", "nonzero", True, False),
        ("F", "nonzero", True, False),
        ("f*", "evenodd", True, False),
        ("B", "nonzero", True, True),
        ("B*", "evenodd", True, True),
        ("b", "nonzero", True, True),
        ("b*", "evenodd", True, True),
        ("S", "nonzero", False, True),
        ("s", "nonzero", False, True),
    ],
)
def test_each_painting_operator_makes_one_object(
    operator: str, rule: str, fills: bool, strokes: bool
) -> None:
    (one,) = drawn(f"1 0 0 rg 0 1 0 RG 0 0 9 9 re 2 2 5 5 re {operator}").objects
    assert one.fill_rule == rule
    assert (one.fill.paints, one.stroke.paint.paints) == (fills, strokes)
    assert one.fill.kind is (PaintKind.COLOR if fills else PaintKind.NONE)


def test_n_paints_nothing_and_ends_the_path() -> None:
    artwork = drawn("0 0 9 9 re n 1 1 m 2 2 l S")
    assert len(artwork.objects) == 1
    assert corners(artwork) == [[(1, 1), (2, 2)]]


def test_a_clip_takes_effect_after_the_painting_operator() -> None:
    artwork = drawn("10 10 20 20 re W f 12 12 2 2 re f 100 50 5 5 re f")
    assert [one.clip for one in artwork.objects] == [None, 0, 0]
    assert [one.clipped_away for one in artwork.objects] == [False, False, True]
    assert artwork.clip_rules == (("nonzero",),)


def test_clips_narrow_each_other_and_go_with_the_graphics_state() -> None:
    artwork = drawn(
        "q 0 0 50 50 re W n q 30 0 50 50 re W* n 0 0 9 9 re f 35 5 9 9 re f Q 0 0 9 9 re f Q 0 0 9 9 re f"
    )
    assert [one.clip for one in artwork.objects] == [0, 0, 1, None]
    assert [one.clipped_away for one in artwork.objects] == [True, False, False, False]
    assert artwork.clip_rules[0] == ("nonzero", "evenodd")
    assert [clip.object_count for clip in artwork.clips] == [2, 1]


def test_the_same_clip_again_is_the_same_clip() -> None:
    artwork = drawn("q 0 0 50 50 re W n 0 0 9 9 re f Q q 0 0 50 50 re W n 0 0 9 9 re f Q")
    assert [one.clip for one in artwork.objects] == [0, 0]
    assert len(artwork.clips) == 1


def test_a_clip_of_one_point_leaves_nothing_and_one_without_a_path_is_none() -> None:
    artwork = drawn("10 10 m W n 0 0 50 50 re f")
    assert artwork.objects[0].clipped_away
    artwork = drawn("W n 0 0 50 50 re f")
    assert not artwork.objects[0].clipped_away
    assert noted(artwork, "clip")


def test_a_clip_that_paints_is_an_object_too() -> None:
    artwork = drawn("10 10 20 20 re W S 12 12 2 2 re f")
    assert corners(artwork)[0][0] == (10, 10)
    assert artwork.objects[1].clip == 0


def test_points_are_mapped_as_they_are_constructed() -> None:
    # A matrix between construction and painting is not allowed (8.2, figure 9); what is drawn already stays.
    artwork = drawn("10 10 m 2 0 0 2 0 0 cm 10 10 l 30 10 40 10 v S")
    assert corners(artwork) == [[(10, 10), (20, 20), (80, 20)]]
    assert noted(artwork, "path")
    assert corners(drawn("10 10 m 20 20 l 2 0 0 2 0 0 cm S")) == [[(10, 10), (20, 20)]]


def test_matrices_multiply_from_the_left() -> None:
    # 8.3.4: scale by 2, then move by (3, 4) of the scaled space.
    artwork = drawn("2 0 0 2 0 0 cm 1 0 0 1 3 4 cm 0 0 m 1 0 l S")
    assert corners(artwork) == [[(6, 8), (8, 8)]]


def test_operators_with_too_few_operands_are_left_out_and_with_too_many_use_the_last() -> None:
    artwork = drawn("1 1 m 5 l 9 2 2 l S")
    assert corners(artwork) == [[(1, 1), (2, 2)]]
    assert len(noted(artwork, "operand")) == 2


def test_a_path_that_is_never_painted_is_said() -> None:
    artwork = drawn("1 1 m 2 2 l")
    assert artwork.objects == ()
    assert [note.kind for note in noted(artwork, "path")] == [NoteKind.FAULT]


def test_absurd_coordinates_are_said_and_left_out() -> None:
    artwork = drawn(f"1 1 m {'9' * 400} 2 l S 1 1 m 99999999999 1 l S 1 1 m 2 2 l S")
    assert [bool(one.broken) for one in artwork.objects] == [True, True, False]
    assert np.isfinite(artwork.outlines.segments).all()


def test_segments_have_a_limit() -> None:
    limits = Limits(path_segments=100)
    with pytest.raises(Unreadable, match="segments"):
        drawn("0 0 m " + "1 1 l " * 300 + "S", limits=limits)
    with pytest.raises(Unreadable, match="segments"):
        drawn("0 0 1 1 re " * 30 + "S", limits=limits)
    assert len(drawn("0 0 m " + "1 1 l " * 100 + "S", limits=limits).objects) == 1


def test_objects_have_a_limit() -> None:
    with pytest.raises(Unreadable, match="objects"):
        drawn("0 0 m 1 1 l S " * 11, limits=Limits(objects=10))


def test_clips_have_a_limit() -> None:
    nested = "".join(f"{number} 0 m 90 90 l 0 9 l W n 0 0 m 1 1 l S " for number in range(30))
    with pytest.raises(Unreadable, match="clips"):
        drawn(nested, limits=Limits(objects=100))
    assert len(drawn(nested).clips) == 30


def test_blocks_of_any_size_give_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    content = "q 0 0 60 60 re W n 1 1 m 9 1 l 9 9 l h 5 5 9 9 re f Q 3 3 m 4 4 l 5 9 l s 1 1 l 7 7 m 8 8 l S 2 2 3 3 re f"
    whole = drawn(content)
    monkeypatch.setattr("preflight.readers.pdf.content.paths._BLOCK", 1)
    pieces = drawn(content)
    assert np.array_equal(whole.outlines.segments, pieces.outlines.segments)
    assert np.array_equal(whole.outlines.object_offsets, pieces.outlines.object_offsets)
    assert pieces.objects == whole.objects
